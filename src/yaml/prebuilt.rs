//! Trees of the texts that are built in, prepared when the program is built, so that a run does not parse them.
//!
//! The build script parses each text with [`Tree::parse`] and writes its nodes down as bytes (`src/yaml/prebuilt_writer.rs`);
//! this file reads them back. Numbers are LEB128, differences zigzag. In the order of the nodes:
//!
//! ```text
//! tree   := number of nodes, root, node*
//! node   := tag, start less the start of the node before (difference), length, what follows its tag
//! scalar := nothing where the value is the text of its span without quotes; else length, bytes
//! map    := number of entries, (key less the key before (difference), value less key (difference), origin)*
//! origin := nothing where no entry of the map is merged; else 0, or 1 with start and length of the merge's value
//! list   := number of items, (item less the item before (difference))*
//! alias  := target
//! ```

use std::borrow::Cow;

use super::Span;
use super::node::{Entry, Node, NodeId, NodeKind, Origin, Scalar, ScalarStyle};
use super::tree::Tree;

/// The kind of a node in the two lowest bits of its tag.
pub(super) const SCALAR: u8 = 0;
pub(super) const MAP: u8 = 1;
pub(super) const LIST: u8 = 2;
pub(super) const ALIAS: u8 = 3;
/// An anchor stands before the node.
pub(super) const ANCHORED: u8 = 1 << 2;
/// A map or a list is written in braces or brackets.
pub(super) const FLOW: u8 = 1 << 3;
/// The number of a scalar's style begins at this bit.
pub(super) const STYLE_SHIFT: u8 = 3;
/// A scalar's value follows; or some entry of a map is merged.
pub(super) const FULL: u8 = 1 << 6;
/// The styles of scalars, by number.
pub(super) const STYLES: [ScalarStyle; 5] =
    [ScalarStyle::Plain, ScalarStyle::Single, ScalarStyle::Double, ScalarStyle::Literal, ScalarStyle::Folded];

/// The bytes of a scalar's span without its quotes.
pub(super) fn inner(text: &str, span: Span, style: ScalarStyle) -> Option<&str> {
    let quote = usize::from(matches!(style, ScalarStyle::Single | ScalarStyle::Double));
    text.get((span.start as usize + quote)..(span.end as usize).checked_sub(quote)?)
}

struct Bytes {
    rest: &'static [u8],
}

impl Bytes {
    fn byte(&mut self) -> Option<u8> {
        let (first, rest) = self.rest.split_first()?;
        self.rest = rest;
        Some(*first)
    }

    fn number(&mut self) -> Option<u32> {
        let mut number = 0_u32;
        for shift in [0, 7, 14, 21, 28] {
            let byte = self.byte()?;
            number |= u32::from(byte & 0x7f) << shift;
            if byte < 0x80 {
                return Some(number);
            }
        }
        None
    }

    /// The number that differs from another by the next difference.
    fn after(&mut self, from: u32) -> Option<u32> {
        let zigzag = self.number()?;
        let by = (zigzag >> 1) ^ (zigzag & 1).wrapping_neg();
        Some(from.wrapping_add(by))
    }

    fn span(&mut self, start: u32) -> Option<Span> {
        Some(Span { start, end: start.checked_add(self.number()?)? })
    }

    fn text(&mut self) -> Option<&'static str> {
        let length = self.number()? as usize;
        let (text, rest) = self.rest.split_at_checked(length)?;
        self.rest = rest;
        std::str::from_utf8(text).ok()
    }

    fn entries(&mut self, map: u32, merged: bool) -> Option<Vec<Entry>> {
        let count = self.number()?;
        let mut entries = Vec::with_capacity(count as usize);
        let mut key = map;
        for _ in 0..count {
            key = self.after(key)?;
            let value = self.after(key)?;
            let origin = if merged && self.byte()? == 1 {
                let start = self.number()?;
                Origin::Merged(self.span(start)?)
            } else {
                Origin::Own
            };
            entries.push(Entry { key: NodeId(key), value: NodeId(value), origin });
        }
        Some(entries)
    }

    fn items(&mut self, list: u32) -> Option<Vec<NodeId>> {
        let count = self.number()?;
        let mut items = Vec::with_capacity(count as usize);
        let mut item = list;
        for _ in 0..count {
            item = self.after(item)?;
            items.push(NodeId(item));
        }
        Some(items)
    }
}

impl Tree {
    /// The tree of a text from the bytes that were prepared of it; `None` where they are no such bytes.
    pub(crate) fn prepared(text: &'static str, bytes: &'static [u8]) -> Option<Self> {
        let mut bytes = Bytes { rest: bytes };
        let count = bytes.number()?;
        let root = NodeId(bytes.number()?);
        let mut nodes = Vec::with_capacity(count as usize);
        let mut start = 0;
        for id in 0..count {
            let tag = bytes.byte()?;
            start = bytes.after(start)?;
            let span = bytes.span(start)?;
            let full = tag & FULL != 0;
            let flow = tag & FLOW != 0;
            let kind = match tag & 3 {
                SCALAR => {
                    let style = *STYLES.get(usize::from(tag >> STYLE_SHIFT & 7))?;
                    let value = if full { bytes.text()? } else { inner(text, span, style)? };
                    NodeKind::Scalar(Scalar { value: Cow::Borrowed(value), style })
                }
                MAP => NodeKind::Map { entries: bytes.entries(id, full)?, flow },
                LIST => NodeKind::List { items: bytes.items(id)?, flow },
                ALIAS => NodeKind::Alias(NodeId(bytes.number()?)),
                _ => return None,
            };
            nodes.push(Node { span, kind, anchored: tag & ANCHORED != 0 });
        }
        Some(Self { nodes, root })
    }
}
