//! What a pack names for its own expressions, read off its text as far as that is written.

use crate::yaml::{NodeId, Source, Tree};

/// A name, what it stands for in a few words, and its doc.
#[derive(Clone, Debug)]
pub(super) struct OwnName {
    pub(super) name: String,
    pub(super) gives: String,
    pub(super) doc: String,
}

/// The limits, functions and tables of a pack, and the parameters of the function that an expression belongs to.
#[derive(Clone, Debug, Default)]
pub(super) struct PackNames {
    pub(super) limits: Vec<OwnName>,
    pub(super) functions: Vec<OwnName>,
    /// Each with its columns.
    pub(super) tables: Vec<(OwnName, Vec<OwnName>)>,
    pub(super) parameters: Vec<OwnName>,
}

impl PackNames {
    /// The names in a text; `path` is the way to the expression. Where the line of the cursor at a byte breaks the text, the others
    /// are read without it.
    pub(super) fn read(text: &str, path: &[String], offset: usize) -> Self {
        let whole = Tree::parse(&Source::new("", text)).tree;
        let tree = whole.or_else(|| {
            let start = text.get(..offset)?.rfind('\n').map_or(0, |at| at + 1);
            let end = text.get(offset..)?.find('\n').map_or(text.len(), |at| offset + at);
            let without = format!("{}{}", text.get(..start)?, text.get(end..)?);
            Tree::parse(&Source::new("", without)).tree
        });
        let Some(tree) = tree else { return Self::default() };
        let names = Reader { tree: &tree };
        let of_function = match path {
            [group, function, ..] if group == "functions" => names
                .get(tree.root(), "functions")
                .and_then(|all| names.get(all, function))
                .and_then(|function| names.get(function, "of")),
            _ => None,
        };
        let plain = |(name, value): (String, NodeId), gives: String| OwnName {
            doc: names.text(value, "doc"),
            name,
            gives,
        };
        Self {
            limits: names
                .under("limits")
                .map(|(name, value)| {
                    let gives = format!("a limit of the pack: {}", names.text(value, "is"));
                    plain((name, value), gives)
                })
                .collect(),
            functions: names
                .under("functions")
                .map(|(name, value)| {
                    let takes = names.get(value, "of").map(|of| names.pairs(of)).unwrap_or_default();
                    let takes: Vec<String> =
                        takes.into_iter().map(|(name, what)| format!("{name}: {what}")).collect();
                    let gives = format!("a function of the pack: {name}({})", takes.join(", "));
                    plain((name, value), gives)
                })
                .collect(),
            tables: names
                .under("tables")
                .map(|(name, value)| {
                    let columns = names.get(value, "columns").map(|all| names.pairs(all)).unwrap_or_default();
                    let doc = names.text(value, "doc");
                    let column = |(column, unit): (String, String)| OwnName {
                        name: column,
                        gives: format!("a column of the table `{name}`: {unit}"),
                        doc: doc.clone(),
                    };
                    let columns = columns.into_iter().skip(1).map(column).collect();
                    (plain((name.clone(), value), "a table of the pack".to_owned()), columns)
                })
                .collect(),
            parameters: of_function
                .map(|of| names.pairs(of))
                .unwrap_or_default()
                .into_iter()
                .map(|(name, gives)| OwnName { name, gives, doc: "What the function takes.".to_owned() })
                .collect(),
        }
    }
}

struct Reader<'t> {
    tree: &'t Tree,
}

impl Reader<'_> {
    fn get(&self, map: NodeId, key: &str) -> Option<NodeId> {
        self.tree.get(map, key).map(|entry| entry.value)
    }

    fn word(&self, node: NodeId) -> String {
        self.tree.scalar(node).map(|scalar| scalar.value.trim().to_owned()).unwrap_or_default()
    }

    fn text(&self, map: NodeId, key: &str) -> String {
        self.get(map, key).map(|node| self.word(node)).unwrap_or_default()
    }

    /// The entries of a group of the pack.
    fn under(&self, group: &str) -> impl Iterator<Item = (String, NodeId)> {
        let entries = self.get(self.tree.root(), group).map(|all| self.tree.entries(all)).unwrap_or_default();
        entries.iter().map(|entry| (self.word(entry.key), entry.value))
    }

    fn pairs(&self, map: NodeId) -> Vec<(String, String)> {
        self.tree.entries(map).iter().map(|entry| (self.word(entry.key), self.word(entry.value))).collect()
    }
}
