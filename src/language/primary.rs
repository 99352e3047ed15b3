//! The innermost pieces of an expression: values, names with their paths, calls and brackets.

use super::LanguageError;
use super::lex::{KEYWORDS, Token};
use super::parse::{LONGEST_PATH, Parsed, Parser, boxed};
use super::tree::{ExprNode, Fold, Word};
use std::ops::Range;

impl Parser<'_> {
    pub(super) fn member(&mut self) -> Parsed {
        let mut left = self.atom()?;
        let mut steps = 0;
        while self.take_sign(".") {
            steps += 1;
            if steps > LONGEST_PATH {
                return Err(LanguageError::new("no path is this long", self.end()));
            }
            let name = self.field("the name of a part or value")?;
            let range = left.range.start..name.range.end;
            left = boxed(ExprNode::Member(Box::new(left), name), range);
        }
        Ok(left)
    }

    fn atom(&mut self) -> Parsed {
        let Some((token, range)) = self.peek().cloned() else {
            return Err(LanguageError::new("a value is missing at the end", self.end()));
        };
        self.at += 1;
        match token {
            Token::Quantity(quantity) => Ok(boxed(ExprNode::Quantity(quantity), range)),
            Token::Date(date) => Ok(boxed(ExprNode::Date(date), range)),
            Token::Text(text) => Ok(boxed(ExprNode::Text(text.to_owned()), range)),
            Token::Sign("(") => {
                let outer = std::mem::replace(&mut self.in_where, false);
                let inner = self.expression()?;
                self.in_where = outer;
                if !self.take_sign(")") {
                    return Err(LanguageError::new("expected `)`", self.end())
                        .also(range, "for the `(` opened here")
                        .maybe_help(self.brackets_of_has()));
                }
                Ok(boxed(inner.node, range.start..self.before()))
            }
            Token::Word(word) => self.word_atom(word, range),
            Token::Sign(sign) => Err(LanguageError::new(format!("expected a value, not `{sign}`"), range)),
            Token::Pattern(_) => Err(LanguageError::new("expected a value, not a pattern", range)),
        }
    }

    fn word_atom(&mut self, word: &str, range: Range<usize>) -> Parsed {
        let fold = match word {
            "true" | "false" => return Ok(boxed(ExprNode::Name(word.to_owned()), range)),
            "all" => {
                let entity_type = self.name("a type of part")?;
                let whole = range.start..entity_type.range.end;
                return Ok(boxed(ExprNode::All(entity_type), whole));
            }
            "count" => return self.count(range.start),
            "the" => return self.named(range.start),
            _ => Fold::ALL.iter().find(|(name, _)| *name == word).map(|(_, fold)| *fold),
        };
        if let Some(fold) = fold {
            self.expect_word("of", "before what is taken of each member")?;
            let value = self.sum()?;
            self.expect_word("over", "before the members")?;
            let binder = self.binder()?;
            return Ok(boxed(ExprNode::Fold(fold, Box::new(value), binder), range.start..self.before()));
        }
        if KEYWORDS.contains(&word) {
            return Err(LanguageError::new(format!("expected a value, not `{word}`"), range));
        }
        if !self.take_sign("(") {
            return Ok(boxed(ExprNode::Name(word.to_owned()), range));
        }
        let outer = std::mem::replace(&mut self.in_where, false);
        let mut arguments = Vec::new();
        if !self.take_sign(")") {
            loop {
                arguments.push(self.expression()?);
                if self.take_sign(",") {
                    continue;
                }
                if self.take_sign(")") {
                    break;
                }
                return Err(LanguageError::new("expected `)` or a comma", self.end()));
            }
        }
        self.in_where = outer;
        let name = Word { text: word.to_owned(), range: range.clone() };
        Ok(boxed(ExprNode::Call(name, arguments), range.start..self.before()))
    }

    fn named(&mut self, start: usize) -> Parsed {
        let entity_type = self.name("a type of part")?;
        self.expect_word("named", "before the part's name, as in `the altimeter named \"primary\"`")?;
        let Some((Token::Text(text), range)) = self.peek().cloned() else {
            return Err(LanguageError::new("expected the part's name", self.end())
                .help("write it in double quotes: `the altimeter named \"primary\"`"));
        };
        self.at += 1;
        let name = Word { text: text.to_owned(), range: range.clone() };
        Ok(boxed(ExprNode::Named(entity_type, name), start..range.end))
    }

    fn count(&mut self, start: usize) -> Parsed {
        self.expect_word("of", "before what is counted")?;
        let named = matches!(self.peek(), Some((Token::Word(w), _)) if !KEYWORDS.contains(w));
        if named && self.is_word(1, "of") {
            let binder = self.binder()?;
            let over = binder.over.clone();
            return Ok(boxed(ExprNode::Count(over, Some(binder)), start..self.before()));
        }
        let over = self.member()?;
        let range = start..over.range.end;
        Ok(boxed(ExprNode::Count(Box::new(over), None), range))
    }
}
