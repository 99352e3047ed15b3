//! Papers as Markdown, for a repository or a printer that has no browser.

use std::fmt::Write as _;

use super::Bound;
use super::block::Block;
use crate::report::caution::caution;
use crate::report::tables::Table;
use crate::yaml::clean_line;

pub(super) fn document(title: &str, blocks: &[Block], bound: &Bound) -> String {
    let mut out = format!("<!-- {} -->\n\n# {}\n", bound.line(), plain(title));
    for block in blocks {
        piece(&mut out, block);
    }
    let _ = write!(out, "\n---\n\n{}", caution());
    out
}

fn piece(out: &mut String, block: &Block) {
    match block {
        Block::Heading(words) => {
            let _ = writeln!(out, "\n## {}", plain(words));
        }
        Block::Subheading(words) => {
            let _ = writeln!(out, "\n### {}", plain(words));
        }
        Block::Words(words) | Block::Drawing(_, words) => {
            let _ = writeln!(out, "\n{}", plain(words));
        }
        Block::Table(one) => table(out, one),
        Block::Tick(all) => {
            out.push('\n');
            for (text, why) in all {
                let _ = writeln!(out, "- [ ] {} *{}*", plain(text), plain(why));
            }
        }
        Block::List(all) => {
            out.push('\n');
            for words in all {
                let _ = writeln!(out, "- {}", plain(words));
            }
        }
        Block::Sign(all) => {
            out.push_str("\n| who | name | signature | date |\n|---|---|---|---|\n");
            for who in all {
                let _ = writeln!(out, "| {} | | | |", plain(who));
            }
        }
        Block::Empty(head, rows) => {
            let _ = writeln!(out, "\n| {} |", head.join(" | "));
            let _ = writeln!(out, "|{}", "---|".repeat(head.len()));
            for _ in 0..*rows {
                let _ = writeln!(out, "|{}", " |".repeat(head.len()));
            }
        }
        Block::Beside(_, words, one) => {
            let _ = writeln!(out, "\n{}", plain(words));
            table(out, one);
        }
    }
}

fn table(out: &mut String, one: &Table) {
    let _ = writeln!(out, "\n**{}** {}\n", plain(&one.title), plain(&one.about));
    let columns = one.rows.first().map_or(one.head.len(), Vec::len);
    let head: Vec<String> =
        (0..columns).map(|at| one.head.get(at).map(|h| plain(h)).unwrap_or_default()).collect();
    let _ = writeln!(out, "| {} |\n|{}", head.join(" | "), "---|".repeat(columns));
    for row in &one.rows {
        let cells: Vec<String> = row.iter().map(|cell| plain(&cell.to_string())).collect();
        let _ = writeln!(out, "| {} |", cells.join(" | "));
    }
}

/// Text in which nothing is Markdown or HTML.
fn plain(text: &str) -> String {
    let mut out = String::new();
    for c in clean_line(text).chars() {
        match c {
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '&' => out.push_str("&amp;"),
            // A line that begins with a number and a dot would be a list; inside a sentence a dot is none.
            '\\' | '`' | '*' | '_' | '[' | ']' | '|' | '#' | '!' | '~' => {
                out.push('\\');
                out.push(c);
            }
            _ => out.push(c),
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::plain;

    #[test]
    fn nothing_of_a_text_is_markup() {
        assert_eq!(plain("a|b_c*d* <b> [x](y) `z`"), r"a\|b\_c\*d\* &lt;b&gt; \[x\](y) \`z\`");
        assert_eq!(plain("# no heading\nnor this"), "\\# no heading nor this");
    }
}
