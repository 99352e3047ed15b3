//! Words to tree.
//!
//! ```text
//! expression := "if" expression "then" expression "else" expression | or
//! or         := and ("or" and)*
//! and        := not ("and" not)*
//! not        := "not" not | quantified | comparison
//! quantified := ("every" | "some" | "no") binder "has" expression
//! binder     := NAME "of" member ["where" or]              inside "where", `has` needs brackets
//! comparison := default [ORDER default | "is" ["not"] what | "has" NAME | "matches" "/" PATTERN "/"
//!             | "comes" ("before" | "after") member]
//! what       := "given" | "the same as" member | "one of" "(" word ("," word)* ")" | word
//! word       := NAME | TEXT | number with unit
//! default    := changed ["or else" sum]
//! changed    := sum ["with" member "=" sum ("," member "=" sum)*]
//! sum        := product (("+" | "-") product)*
//! product    := sign (("*" | "/") sign)*
//! sign       := "-" sign | power
//! power      := member ["^" ["-"] WHOLE NUMBER]
//! member     := atom ("." NAME)*
//! atom       := number with unit | TEXT | NAME | NAME "(" expression, … ")" | "(" expression ")"
//!             | "true" | "false" | "all" NAME | "the" NAME "named" TEXT | "count of" (binder | member)
//!             | ("sum" | "least" | "greatest" | "mean" | "middle") "of" sum "over" binder
//! ```
//!
//! A number takes the unit that follows it (`0.1 in`, `15 m/s`, `1/4 in`); a unit of several parts has no spaces in it.

use std::ops::Range;

use super::LanguageError;
use super::lex::{KEYWORDS, Placed, Token, tokens};
use super::tree::{Arithmetic, Binder, ExprNode, ExprTree, Order, Quantifier, Word};

/// Deeper than any rule, shallow enough for every stack.
const DEEPEST: u32 = 48;
/// Each operator of a chain (`a + b + c …`) puts the one before it a level deeper in the tree.
const MOST_LINKS: u32 = 100;
/// No path of the vocabulary is longer.
pub(super) const LONGEST_PATH: usize = 16;

pub(super) struct Parser<'t> {
    pub(super) text: &'t str,
    pub(super) tokens: Vec<Placed<'t>>,
    pub(super) at: usize,
    pub(super) depth: u32,
    pub(super) links: u32,
    pub(super) in_where: bool,
}

pub(super) type Parsed = Result<ExprTree, LanguageError>;

/// Parses an expression.
///
/// # Errors
/// With the place where it stops making sense.
pub fn parse(text: &str) -> Parsed {
    let mut parser = Parser { text, tokens: tokens(text)?, at: 0, depth: 0, links: 0, in_where: false };
    let tree = parser.expression()?;
    match parser.peek() {
        None => Ok(tree),
        Some((token, range)) => {
            let help = parser.left_over(token);
            Err(LanguageError::new("the expression should end here", range.clone()).maybe_help(help))
        }
    }
}

pub(super) fn boxed(node: ExprNode, range: Range<usize>) -> ExprTree {
    ExprTree { range, node }
}

impl<'t> Parser<'t> {
    pub(super) fn peek(&self) -> Option<&Placed<'t>> {
        self.tokens.get(self.at)
    }

    pub(super) fn end(&self) -> Range<usize> {
        self.peek().map_or(self.text.len()..self.text.len(), |(_, range)| range.clone())
    }

    pub(super) fn is_word(&self, ahead: usize, word: &str) -> bool {
        matches!(self.tokens.get(self.at + ahead), Some((Token::Word(w), _)) if *w == word)
    }

    fn take_word(&mut self, word: &str) -> bool {
        let found = self.is_word(0, word);
        self.at += usize::from(found);
        found
    }

    pub(super) fn take_sign(&mut self, sign: &str) -> bool {
        let found = matches!(self.peek(), Some((Token::Sign(s), _)) if *s == sign);
        self.at += usize::from(found);
        found
    }

    pub(super) fn expect_word(&mut self, word: &str, before: &str) -> Result<(), LanguageError> {
        if self.take_word(word) {
            return Ok(());
        }
        Err(LanguageError::new(format!("expected `{word}`, {before}"), self.end()))
    }

    pub(super) fn name(&mut self, what: &str) -> Result<Word, LanguageError> {
        match self.peek() {
            Some((Token::Word(text), range)) if !KEYWORDS.contains(text) => {
                let word = Word { text: (*text).to_owned(), range: range.clone() };
                self.at += 1;
                Ok(word)
            }
            _ => Err(LanguageError::new(format!("expected {what}"), self.end())),
        }
    }

    /// A field's name: after a dot even a word of the language is one.
    pub(super) fn field(&mut self, what: &str) -> Result<Word, LanguageError> {
        match self.peek() {
            Some((Token::Word(text), range)) => {
                let word = Word { text: (*text).to_owned(), range: range.clone() };
                self.at += 1;
                Ok(word)
            }
            _ => Err(LanguageError::new(format!("expected {what}"), self.end())),
        }
    }

    pub(super) fn expression(&mut self) -> Parsed {
        self.depth += 1;
        if self.depth > DEEPEST {
            return Err(LanguageError::new("the expression is nested too deep", self.end()));
        }
        let start = self.end().start;
        let result = if self.take_word("if") {
            let condition = self.expression()?;
            self.expect_word("then", "after the condition")?;
            let yes = self.expression()?;
            self.expect_word("else", "since every `if` gives a value either way")?;
            let no = self.expression()?;
            let range = start..no.range.end;
            boxed(ExprNode::If(Box::new(condition), Box::new(yes), Box::new(no)), range)
        } else {
            self.or()?
        };
        self.depth -= 1;
        Ok(result)
    }

    /// Counts an operator of a chain.
    fn link(&mut self) -> Result<(), LanguageError> {
        self.links += 1;
        if self.links > MOST_LINKS {
            return Err(LanguageError::new("the expression has too many parts", self.end())
                .help("give some of them names under `derived`"));
        }
        Ok(())
    }

    fn or(&mut self) -> Parsed {
        let mut left = self.and()?;
        while self.is_word(0, "or") && !self.is_word(1, "else") {
            self.at += 1;
            self.link()?;
            let right = self.and()?;
            let range = left.range.start..right.range.end;
            left = boxed(ExprNode::Or(Box::new(left), Box::new(right)), range);
        }
        Ok(left)
    }

    fn and(&mut self) -> Parsed {
        let mut left = self.not()?;
        while self.take_word("and") {
            self.link()?;
            let right = self.not()?;
            let range = left.range.start..right.range.end;
            left = boxed(ExprNode::And(Box::new(left), Box::new(right)), range);
        }
        Ok(left)
    }

    fn not(&mut self) -> Parsed {
        self.depth += 1;
        if self.depth > DEEPEST {
            return Err(LanguageError::new("the expression is nested too deep", self.end()));
        }
        let start = self.end().start;
        let quantifier = [("every", Quantifier::Every), ("some", Quantifier::Some), ("no", Quantifier::No)]
            .into_iter()
            .find(|(word, _)| self.is_word(0, word));
        let result = if self.take_word("not") {
            let inner = self.not()?;
            let range = start..inner.range.end;
            boxed(ExprNode::Not(Box::new(inner)), range)
        } else if let Some((_, quantifier)) = quantifier {
            self.at += 1;
            let binder = self.binder()?;
            self.expect_word("has", "before what is asked of the members")?;
            let body = self.expression()?;
            let range = start..body.range.end;
            boxed(ExprNode::Quantified(quantifier, binder, Box::new(body)), range)
        } else {
            self.comparison()?
        };
        self.depth -= 1;
        Ok(result)
    }

    pub(super) fn binder(&mut self) -> Result<Binder, LanguageError> {
        let name = self.name("a name for the members")?;
        self.expect_word("of", "before the collection")?;
        let over = Box::new(self.member()?);
        let filter = if self.take_word("where") {
            let outer = std::mem::replace(&mut self.in_where, true);
            let filter = self.or()?;
            self.in_where = outer;
            Some(Box::new(filter))
        } else {
            None
        };
        Ok(Binder { name, over, filter })
    }

    fn comparison(&mut self) -> Parsed {
        let left = self.default()?;
        let start = left.range.start;
        let order = match self.peek() {
            Some((Token::Sign(sign), _)) => match *sign {
                "<" => Some(Order::Less),
                "<=" => Some(Order::AtMost),
                "=" => Some(Order::Equal),
                "!=" => Some(Order::NotEqual),
                ">=" => Some(Order::AtLeast),
                ">" => Some(Order::More),
                _ => None,
            },
            _ => None,
        };
        if let Some(order) = order {
            self.at += 1;
            let right = self.default()?;
            let range = start..right.range.end;
            return Ok(boxed(ExprNode::Compare(order, Box::new(left), Box::new(right)), range));
        }
        if !self.in_where && self.take_word("has") {
            let part = self.field("the part or value it should have")?;
            let range = start..part.range.end;
            return Ok(boxed(ExprNode::Has(Box::new(left), part), range));
        }
        if self.take_word("matches") {
            let Some((Token::Pattern(pattern), range)) = self.peek().cloned() else {
                return Err(LanguageError::new("expected a pattern", self.end())
                    .help("write it between slashes: `/^K/`"));
            };
            self.at += 1;
            let whole = start..range.end;
            let word = Word { text: pattern.to_owned(), range: range.start + 1..range.end - 1 };
            return Ok(boxed(ExprNode::Matches(Box::new(left), word), whole));
        }
        let is_after = self.is_word(1, "after");
        if self.is_word(0, "comes") && (is_after || self.is_word(1, "before")) {
            self.at += 2;
            let right = self.member()?;
            let range = start..right.range.end;
            let (first, second) = if is_after { (right, left) } else { (left, right) };
            return Ok(boxed(ExprNode::Before(Box::new(first), Box::new(second)), range));
        }
        if !self.take_word("is") {
            return Ok(left);
        }
        let negative = self.take_word("not");
        let left = Box::new(left);
        let tree = if self.take_word("given") {
            boxed(ExprNode::Given(left), start..self.before())
        } else if self.is_word(0, "the") {
            self.at += 1;
            self.expect_word("same", "in `is the same as`")?;
            self.expect_word("as", "in `is the same as`")?;
            let right = self.member()?;
            let range = start..right.range.end;
            boxed(ExprNode::Same(left, Box::new(right)), range)
        } else if self.is_word(0, "one") && self.is_word(1, "of") {
            self.at += 2;
            if !self.take_sign("(") {
                return Err(LanguageError::new("expected `(`, before the words", self.end()));
            }
            let mut words = vec![self.word()?];
            while self.take_sign(",") {
                words.push(self.word()?);
            }
            if !self.take_sign(")") {
                return Err(LanguageError::new("expected `)` or a comma", self.end()));
            }
            boxed(ExprNode::OneOf(left, words), start..self.before())
        } else {
            let word = self.word()?;
            let range = start..word.range.end;
            boxed(ExprNode::OneOf(left, vec![word]), range)
        };
        if negative {
            let range = tree.range.clone();
            return Ok(boxed(ExprNode::Not(Box::new(tree)), range));
        }
        Ok(tree)
    }

    pub(super) fn before(&self) -> usize {
        self.at.checked_sub(1).and_then(|i| self.tokens.get(i)).map_or(0, |(_, range)| range.end)
    }

    /// One of the words that a value can be.
    fn word(&mut self) -> Parsed {
        let Some((token, range)) = self.peek().cloned() else {
            return Err(LanguageError::new("expected a word", self.end()));
        };
        self.at += 1;
        match token {
            Token::Word(text) | Token::Text(text) => Ok(boxed(ExprNode::Text(text.to_owned()), range)),
            Token::Quantity(quantity) => Ok(boxed(ExprNode::Quantity(quantity), range)),
            _ => {
                Err(LanguageError::new("expected a word", range)
                    .help("words with spaces stand in double quotes"))
            }
        }
    }

    /// A value, with some fields otherwise.
    fn changed(&mut self) -> Parsed {
        let value = self.sum()?;
        if !self.take_word("with") {
            return Ok(value);
        }
        let start = value.range.start;
        let mut changes = Vec::new();
        loop {
            let field = self.member()?;
            if !self.take_sign("=") {
                let help = "the comma goes on with the first `with`: put each value with its `with` in brackets, as `larger((… with … = …), (… with … = …))`";
                return Err(LanguageError::new("expected `=`, before what the field would be", self.end())
                    .maybe_help((!changes.is_empty()).then(|| help.to_owned())));
            }
            changes.push((field, self.sum()?));
            if !self.take_sign(",") {
                return Ok(boxed(ExprNode::With(Box::new(value), changes), start..self.before()));
            }
        }
    }

    fn default(&mut self) -> Parsed {
        let left = self.changed()?;
        if self.is_word(0, "or") && self.is_word(1, "else") {
            self.at += 2;
            let right = self.sum()?;
            let range = left.range.start..right.range.end;
            return Ok(boxed(ExprNode::Default(Box::new(left), Box::new(right)), range));
        }
        Ok(left)
    }

    pub(super) fn sum(&mut self) -> Parsed {
        let mut left = self.product()?;
        loop {
            let which = if self.take_sign("+") {
                Arithmetic::Add
            } else if self.take_sign("-") {
                Arithmetic::Subtract
            } else {
                return Ok(left);
            };
            self.link()?;
            let right = self.product()?;
            let range = left.range.start..right.range.end;
            left = boxed(ExprNode::Arithmetic(which, Box::new(left), Box::new(right)), range);
        }
    }

    fn product(&mut self) -> Parsed {
        let mut left = self.sign()?;
        loop {
            let which = if self.take_sign("*") {
                Arithmetic::Multiply
            } else if self.take_sign("/") {
                Arithmetic::Divide
            } else {
                return Ok(left);
            };
            self.link()?;
            let right = self.sign()?;
            let range = left.range.start..right.range.end;
            left = boxed(ExprNode::Arithmetic(which, Box::new(left), Box::new(right)), range);
        }
    }

    fn sign(&mut self) -> Parsed {
        let start = self.end().start;
        if !self.take_sign("-") {
            return self.power();
        }
        self.depth += 1;
        if self.depth > DEEPEST {
            return Err(LanguageError::new("the expression is nested too deep", self.end()));
        }
        let inner = self.sign()?;
        self.depth -= 1;
        let range = start..inner.range.end;
        Ok(boxed(ExprNode::Negate(Box::new(inner)), range))
    }

    fn power(&mut self) -> Parsed {
        let base = self.member()?;
        if !self.take_sign("^") {
            return Ok(base);
        }
        let negative = self.take_sign("-");
        let Some((Token::Quantity(quantity), range)) = self.peek().cloned() else {
            return Err(LanguageError::new("expected a whole number", self.end()));
        };
        self.at += 1;
        let whole = quantity.dimension == crate::quantity::Dimension::NUMBER
            && quantity.si.fract() == 0.0
            && quantity.si.abs() <= 12.0;
        if !whole {
            return Err(LanguageError::new("a power is a whole number of at most 12", range)
                .help("for a root write `sqrt(…)`"));
        }
        #[allow(clippy::cast_possible_truncation, reason = "a whole number of at most 12")]
        let exponent = quantity.si as i8;
        let whole = base.range.start..range.end;
        Ok(boxed(ExprNode::Power(Box::new(base), if negative { -exponent } else { exponent }), whole))
    }
}
