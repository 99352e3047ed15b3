//! Papers as a page of HTML that prints.

use maud::{DOCTYPE, Markup, html};

use super::Bound;
use super::block::Block;
use crate::report::page::{POLICY, caution_box, head, table};
use crate::yaml::clean_line;

pub(super) fn document(title: &str, blocks: &[Block], bound: &Bound) -> String {
    let page = html! {
        (DOCTYPE)
        html lang="en" {
            head { (head(title, POLICY)) meta name="holdpoint-papers" content=(bound.line()); }
            body class="papers" {
                main {
                    header { p class="kind" { "papers" } h1 { (clean_line(title)) } }
                    @for block in blocks { (piece(block)) }
                }
                footer { (caution_box()) }
            }
        }
    };
    page.into_string()
}

fn piece(block: &Block) -> Markup {
    match block {
        Block::Heading(words) => html! { h2 { (words) } },
        Block::Subheading(words) => html! { h3 { (words) } },
        Block::Words(words) => html! { p { (words) } },
        Block::Table(one) => table(one, "", &|_| html! {}),
        Block::Tick(all) => html! {
            ul class="tick" { @for (text, why) in all { li { span class="box" {} (text) " " span class="about" { (why) } } } }
        },
        Block::List(all) => html! { ul { @for words in all { li { (words) } } } },
        Block::Drawing(drawn, _) => drawn.clone(),
        Block::Sign(all) => html! {
            div class="sign" { @for who in all { div { p { (who) } p class="rule-line" { "name" } p class="rule-line" { "signature" } p class="rule-line" { "date" } } } }
        },
        Block::Empty(head, rows) => html! {
            div class="scroll" { table class="empty" {
                thead { tr { @for words in head { th { (words) } } } }
                tbody { @for _ in 0..*rows { tr { @for _ in head { td { "\u{a0}" } } } } }
            } }
        },
        Block::Beside(drawn, _, one) => {
            html! { div class="pair" { (drawn) (table(one, "", &|_| html! {})) } }
        }
    }
}
