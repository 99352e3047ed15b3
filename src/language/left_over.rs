//! What to do about what stands where the grammar has no place for it.

use super::lex::{Placed, Token};
use super::parse::Parser;
use crate::quantity::Dimension;

/// What other languages write with a word between two values, and what it is here.
fn meant(word: &str) -> &'static str {
    match word.to_lowercase().as_str() {
        "and" => "write `and`",
        "or" => "write `or`",
        "between" => "write two comparisons and join them with `and`",
        "in" => {
            "of several words write `is one of (…)`; a unit behind `in` stands in braces only: `{… in ft}`"
        }
        "like" | "contains" | "starts" | "ends" => {
            "a text is asked with `matches /…/`, a list with `contains(list, text)`"
        }
        "equals" => "write `=`, of a word `is`",
        _ => "is an operator missing before it?",
    }
}

/// What other languages call what is taken of members, and what it is here.
const OTHER_FOLDS: &[(&str, &[&str])] = &[
    ("middle", &["median"]),
    ("mean", &["average", "avg"]),
    ("greatest", &["largest", "biggest", "highest", "maximum", "max"]),
    ("least", &["smallest", "lowest", "minimum", "min"]),
    ("sum", &["total"]),
    ("count", &["number"]),
];

const MISSING_OPERATOR: &str =
    "is an operator missing before it? A word with a space stands in double quotes, as `\"level 2\"`";

/// What to do about `… has …` as a condition behind `where`.
const HAS_BEHIND_WHERE: &str =
    "behind `where`, a condition with `has` stands in brackets: `where (part has altimeters)`";

/// What to do about a path behind `has`.
const PATH_BEHIND_HAS: &str = "behind `has` stands one name: lead to its owner before, as `a.b has c`";

impl Parser<'_> {
    /// Whether the words before the next one have a `where` with a `has` behind it.
    fn has_behind_where(&self) -> bool {
        let behind =
            self.tokens.iter().take(self.at + 1).skip_while(|(token, _)| *token != Token::Word("where"));
        behind.into_iter().any(|(token, _)| *token == Token::Word("has"))
    }

    /// The brackets that a `has` behind `where` needs, where the next word shows that they are missing.
    pub(super) fn brackets_of_has(&self) -> Option<String> {
        let stops = matches!(
            self.peek(),
            Some((Token::Word("has") | Token::Sign("<" | "<=" | "=" | ">=" | ">" | "!="), _))
        );
        (stops && self.has_behind_where()).then(|| HAS_BEHIND_WHERE.to_owned())
    }

    /// What to do about a token that no rule of the grammar takes.
    pub(super) fn left_over(&self, token: &Token<'_>) -> Option<String> {
        if let Some(help) = self.brackets_of_has() {
            return Some(help);
        }
        let last = self.at.checked_sub(1).and_then(|at| self.tokens.get(at));
        let after = self.tokens.get(self.at + 1);
        let number = |one: Option<&Placed<'_>>| match one {
            Some((Token::Quantity(quantity), range)) => {
                let plain = quantity.dimension == Dimension::NUMBER;
                Some((plain, self.text.get(range.clone()).unwrap_or("")))
            }
            _ => None,
        };
        Some(match token {
            Token::Sign("<" | "<=" | "=" | ">=" | ">" | "!=") => {
                "a comparison has two sides; join two with `and`".to_owned()
            }
            Token::Sign(",") => {
                let ((_, whole), (_, part)) = (number(last)?, number(after)?);
                format!("a decimal number has a point and no comma: `{whole}.{part}`")
            }
            Token::Word("of") => match last {
                Some((Token::Word(word), _)) => {
                    let lower = word.to_lowercase();
                    let (ours, _) = OTHER_FOLDS.iter().find(|(_, theirs)| theirs.contains(&&*lower))?;
                    format!("write `{ours} of …`")
                }
                _ => return None,
            },
            Token::Word(word) => meant(word).to_owned(),
            Token::Quantity(_) => match (number(last), number(self.peek())) {
                (Some((true, before)), Some((_, more))) => {
                    format!("a number has no spaces in it: `{before}{more}`")
                }
                _ => MISSING_OPERATOR.to_owned(),
            },
            Token::Text(_) => MISSING_OPERATOR.to_owned(),
            Token::Sign(".") => {
                if self.has_behind_where() { HAS_BEHIND_WHERE } else { PATH_BEHIND_HAS }.to_owned()
            }
            Token::Sign(")") => {
                "this bracket closes nothing: leave it out, or open one before what it closes".to_owned()
            }
            _ => return None,
        })
    }
}
