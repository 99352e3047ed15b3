//! A design that grows by what one step asks for: first the structure that is due, then every value that a rule of the step waits
//! for, until none of them is without its key.

use std::collections::{BTreeMap, BTreeSet};

use super::lines::{Examples, Keys, Lines, asks, on_one_line};
use super::outline::{Content, Item};
use super::portion::{MOST_AT_ONCE, Portion, turn, without_questions};
use crate::design::{Design, ROCKET};
use crate::model::{MissingKey, Model};
use crate::review::{DesignReview, Options, WaitedFor, review, waiting};
use crate::rules::{HoldPoint, Library};
use crate::vocabulary::{EntityId, EntityType, Shape, State, Store, Value};
use crate::yaml::{NodeId, Source, Tree, apply, insert_key, insert_lines};

/// What a design grows by.
pub(in crate::commands) struct Growth<'g> {
    pub(in crate::commands) library: &'g Library,
    pub(in crate::commands) options: &'g Options,
    pub(in crate::commands) outline: &'g [Item],
    pub(in crate::commands) examples: &'g Examples,
    pub(in crate::commands) step: HoldPoint,
    /// What of the first step is asked for; all of it at every later one.
    pub(in crate::commands) portion: Portion,
    /// Whether each value says which rules wait for it.
    pub(in crate::commands) reasons: bool,
    /// How many values of the step are in the file and still unknown: so many fewer are asked for.
    pub(in crate::commands) open: usize,
}

/// A design that has grown.
#[derive(Debug, Default)]
pub(in crate::commands) struct Grown {
    pub(in crate::commands) text: String,
    /// How many values are asked for.
    pub(in crate::commands) asked: usize,
    /// How many values are written that nobody was asked for.
    pub(in crate::commands) granted: usize,
    /// The values that are asked for beyond the outline, with the paths of their maps.
    pub(in crate::commands) added: Vec<(Vec<String>, Item)>,
    /// Keys that could not be put into the file, since that would change more of it.
    pub(in crate::commands) left_out: Vec<String>,
    /// How many values of the step are left for another time.
    pub(in crate::commands) left: usize,
}

/// A key that is to be written in a map, and why.
pub(super) struct Due {
    item: Item,
    why: String,
}

/// What is due, by the path of the map that it belongs into.
pub(super) type ByMap = BTreeMap<Vec<String>, Vec<Due>>;

/// Why an angle or a drill is asked for that no rule waits for.
pub(super) const DRILL_SHEET: &str = "The drill sheet and the strips to drill by need it";
/// With more values than this, a part is first asked what kind it is.
const MOST_BESIDE_KIND: usize = 4;
/// A rule that asks for a value after another was asked for: so often this may go on.
const MOST_ROUNDS: usize = 40;

impl Growth<'_> {
    /// The design as a text, grown by what the step asks for.
    pub(in crate::commands) fn grow(&self, name: &str, text: &str) -> Grown {
        let mut grown = Grown { text: text.to_owned(), ..Grown::default() };
        let mut tried: BTreeSet<String> = BTreeSet::new();
        for round in 0..MOST_ROUNDS {
            let design = self.read(name, &grown.text);
            let mut due = if round == 0 { self.structure(&design) } else { ByMap::new() };
            let is_structure = !due.is_empty();
            if !is_structure {
                (due, grown.left) = self.values(&design, self.open + grown.asked);
            }
            due.retain(|path, items| {
                items.retain(|one| tried.insert(format!("{}.{}", path.join("."), one.item.key)));
                !items.is_empty()
            });
            if due.is_empty() && round > 0 {
                break;
            }
            for (path, items) in due {
                if !is_structure {
                    grown.added.extend(items.iter().map(|one| (path.clone(), one.item.clone())));
                }
                self.write(name, &mut grown, &path, items);
            }
        }
        grown
    }

    fn read(&self, name: &str, text: &str) -> Design {
        Design::read(Source::new(name, text), &self.library.tables)
    }

    /// The structure of the outline that is due at this step and not there.
    pub(super) fn structure(&self, design: &Design) -> ByMap {
        let mut due = ByMap::new();
        let Some(tree) = &design.tree else { return due };
        // The first step is asked for in portions of its own; at later ones the parts come first, and their values a few at a time.
        if self.step == HoldPoint::Parts {
            self.structure_in(tree, tree.root(), &mut Vec::new(), self.outline, &mut due);
        } else {
            self.structure_in(tree, tree.root(), &mut Vec::new(), &without_questions(self.outline), &mut due);
        }
        due
    }

    fn structure_in(
        &self,
        tree: &Tree,
        map: NodeId,
        path: &mut Vec<String>,
        items: &[Item],
        due: &mut ByMap,
    ) {
        // Parts that the builder has renamed are not put in once more under the names of the outline.
        let names = place(tree, path).is_some_and(|(keys, ..)| matches!(keys, Keys::Names(_)));
        let has_own = names && tree.entries(map).len() >= items.len();
        for item in items.iter().filter(|item| item.due <= self.step) {
            match tree.get(map, &item.key) {
                None if has_own => {}
                None => {
                    due.entry(path.clone()).or_default().push(Due { item: item.clone(), why: String::new() })
                }
                Some(entry) => {
                    if let Content::Part(children) = &item.content
                        && (tree.is_map(entry.value) || tree.is_null(entry.value))
                    {
                        path.push(item.key.clone());
                        self.structure_in(tree, entry.value, path, children, due);
                        path.pop();
                    }
                }
            }
        }
    }

    /// The values that the rules of this step wait for and whose keys are not there, as many as may be asked for beside those that
    /// are asked for already; and how many are left.
    fn values(&self, design: &Design, asked: usize) -> (ByMap, usize) {
        let mut due = ByMap::new();
        if !design.is_readable() {
            return (due, 0);
        }
        let reviewed = review(design.clone(), self.library, self.options);
        let unasked = self.unasked(&reviewed);
        let store = &design.store;
        let now = if self.step == HoldPoint::Parts { unasked.len() } else { portion(&unasked, asked) };
        for value in unasked.iter().take(now) {
            let Some(entity) = store.get(value.entity) else { continue };
            let Some(field) = entity.entity_type.field(value.slot) else { continue };
            let path: Vec<String> = match store.path(value.entity).as_str() {
                "" => Vec::new(),
                path => path.split('.').map(str::to_owned).collect(),
            };
            let content = self.planned(&path, field.name).unwrap_or_else(|| usual(&field.shape, store));
            let item = Item { key: field.name.to_owned(), due: self.step, content };
            due.entry(path).or_default().push(Due { item, why: self.why(value, &unasked) });
        }
        (due, unasked.len() - now)
    }

    /// The values that hold this step or that the outline asks for, and whose keys are not in the file, in the order in which they
    /// are asked for.
    pub(super) fn unasked(&self, reviewed: &DesignReview) -> Vec<WaitedFor> {
        let parts = waiting(reviewed.findings.iter().filter(|finding| finding.waiver().is_none()));
        let store = &reviewed.design.store;
        let all = parts.into_iter().flat_map(|part| part.values);
        let mut all: Vec<WaitedFor> = all
            .filter(|value| value.holds && value.before <= self.step && !value.has_default)
            .filter(|value| self.step > HoldPoint::Parts || self.is_in_portion(store, value))
            .collect();
        if self.step >= HoldPoint::Drilling {
            let model = Model::new(&reviewed.design, self.library.environment(reviewed.today));
            for value in to_drill_by(&model) {
                if !all.iter().any(|one| (one.entity, one.slot) == (value.entity, value.slot)) {
                    all.push(value);
                }
            }
        }
        if self.step > HoldPoint::Parts {
            self.questions(store, store.root(), self.outline, &mut all);
        }
        all.retain(|value| store.get(value.entity).is_some_and(|e| e.slot(value.slot).key.is_none()));
        match self.step {
            HoldPoint::Parts => all.sort_by_key(|value| (value.entity, value.slot)),
            // What an earlier step waits for since a part was added comes first.
            step => all.sort_by_cached_key(|value| {
                (value.before >= step, turn(store, value.entity), value.entity, value.slot)
            }),
        }
        // What else is to be known of a fastening hangs on what it is: rivets have no thread.
        let kinds: Vec<EntityId> = all
            .iter()
            .filter(|value| value.name == "kind")
            .map(|value| value.entity)
            .filter(|id| all.iter().filter(|value| value.entity == *id).count() > MOST_BESIDE_KIND)
            .collect();
        all.retain(|value| value.name == "kind" || !kinds.contains(&value.entity));
        all
    }

    /// Adds the questions of the outline that no rule waits for and whose parts are in the file.
    fn questions(&self, store: &Store, map: EntityId, items: &[Item], all: &mut Vec<WaitedFor>) {
        let Some(entity) = store.get(map) else { return };
        for item in items.iter().filter(|item| item.due <= self.step) {
            let Some(slot) = entity.entity_type.slot(&item.key) else { continue };
            match &item.content {
                Content::Value(_) => {}
                Content::Ask => {
                    if !all.iter().any(|one| (one.entity, one.slot) == (map, slot)) {
                        all.push(wanted(store, map, slot, true));
                    }
                }
                Content::Part(children) => match &entity.slot(slot).state {
                    State::Known(Value::Entity(part)) => self.questions(store, *part, children, all),
                    State::Known(Value::Entities(parts)) => {
                        for child in children {
                            let named =
                                |id: &&EntityId| store.get(**id).is_some_and(|one| *one.name == *child.key);
                            if let (Some(part), Content::Part(fields)) =
                                (parts.iter().find(named), &child.content)
                            {
                                self.questions(store, *part, fields, all);
                            }
                        }
                    }
                    _ => {}
                },
            }
        }
    }

    fn is_in_portion(&self, store: &Store, value: &WaitedFor) -> bool {
        let entity_type = store.get(value.entity).map(|entity| entity.entity_type);
        entity_type.is_none_or(|entity_type| {
            entity_type.field(value.slot).is_none_or(|field| Portion::of(entity_type, field) <= self.portion)
        })
    }

    /// What the outline has at a place, whatever the step.
    fn planned(&self, path: &[String], key: &str) -> Option<Content> {
        let mut items = self.outline;
        for step in path {
            let item = items.iter().find(|item| item.key == *step)?;
            let Content::Part(children) = &item.content else { return None };
            items = children;
        }
        items.iter().find(|item| item.key == key).map(|item| item.content.clone())
    }

    /// The rules that wait for a value, in words: by name that which waits for the fewest others, since it is most about this one.
    fn why(&self, value: &WaitedFor, all: &[WaitedFor]) -> String {
        let waits_for = |rule: &&String| all.iter().filter(|other| other.rules.contains(rule)).count();
        let title = value.rules.iter().min_by_key(waits_for).and_then(|name| self.library.rule(name));
        let more = match value.rules.len() {
            0 | 1 => String::new(),
            2 => "; 1 more rule".to_owned(),
            many => format!("; {} more rules", many - 1),
        };
        match title {
            Some(rule) => format!("{}{more}", rule.title),
            None if value.holds => String::new(),
            None => DRILL_SHEET.to_owned(),
        }
    }

    /// Writes keys into a map, each with its remarks.
    fn write(&self, name: &str, grown: &mut Grown, path: &[String], due: Vec<Due>) {
        let design = self.read(name, &grown.text);
        let Some(tree) = &design.tree else { return };
        let Some((keys, map, key, shared)) = place(tree, path) else { return };
        let mut lines =
            Lines { examples: self.examples, step: self.step, lines: Vec::new(), asked: 0, granted: 0 };
        let mut last = String::new();
        for one in &due {
            if let (true, Keys::Fields(entity_type)) = (path.is_empty(), keys) {
                let field = entity_type.slot(&one.item.key).and_then(|slot| entity_type.field(slot));
                lines.lines.push(String::new());
                if let Some(field) = field.filter(|_| !matches!(one.item.content, Content::Ask)) {
                    lines.lines.push(format!("# {}", field.about()));
                }
            }
            if self.reasons && !one.why.is_empty() && one.why != last {
                lines.lines.push(format!("# {}", one.why));
                last.clone_from(&one.why);
            }
            lines.item(keys, path.last().map_or("", String::as_str), &one.item, 0);
        }
        if let Ok(edit) = insert_lines(&design.source, tree, map, key, &lines.lines, shared)
            && let Ok(text) = apply(&grown.text, &[edit])
        {
            grown.text = text;
            grown.asked += lines.asked;
            grown.granted += lines.granted;
            return;
        }
        self.write_in_braces(name, grown, path, &due);
    }

    /// Writes keys into a map that stands in braces, one after the other.
    fn write_in_braces(&self, name: &str, grown: &mut Grown, path: &[String], due: &[Due]) {
        for one in due {
            let design = self.read(name, &grown.text);
            let Some(tree) = &design.tree else { return };
            let Some((_, map, _, shared)) = place(tree, path) else { return };
            let yaml = on_one_line(&one.item.content, self.step);
            let edit = insert_key(&design.source, tree, map, &one.item.key, &yaml, shared);
            match edit.ok().and_then(|edit| apply(&grown.text, &[edit]).ok()) {
                Some(text) => {
                    grown.text = text;
                    grown.asked += asks(&one.item.content, self.step);
                }
                None => grown.left_out.push(format!("{}.{}", path.join("."), one.item.key)),
            }
        }
    }
}

/// What the drill sheet and the strips lack: angles and drills that no rule holds a step for.
fn to_drill_by(model: &Model<'_>) -> Vec<WaitedFor> {
    let mut keys: Vec<MissingKey> = Vec::new();
    for line in model.drilled().unwrap_or_default() {
        let gaps = [line.clock.as_ref().err(), line.drill.as_ref().err()];
        for key in gaps.into_iter().flatten().flat_map(|gap| gap.keys()) {
            if !keys.contains(key) {
                keys.push(*key);
            }
        }
    }
    let store = &model.design().store;
    keys.into_iter().map(|key| wanted(store, key.entity, key.slot, false)).collect()
}

/// A value that no rule waits for: one that the outline asks for holds its step, one that the drill sheet lacks does not.
fn wanted(store: &Store, entity: EntityId, slot: u16, holds: bool) -> WaitedFor {
    let path = store.field_path(entity, slot);
    WaitedFor {
        name: path.rsplit('.').next().unwrap_or_default().to_owned(),
        key: path,
        entity,
        slot,
        unreadable: false,
        has_default: false,
        rules: Vec::new(),
        before: HoldPoint::Flight,
        holds,
    }
}

/// How many of the values, in the order in which they are asked for, may be asked for beside others: whole parts, one at least.
fn portion(unasked: &[WaitedFor], asked: usize) -> usize {
    let mut now = 0;
    for values in unasked.chunk_by(|a, b| a.entity == b.entity) {
        if asked + now > 0 && asked + now + values.len() > MOST_AT_ONCE {
            break;
        }
        now += values.len();
    }
    now
}

/// The map at a path: what its keys are, its node, its key's bytes, and whether something else uses it too.
fn place(tree: &Tree, path: &[String]) -> Option<(Keys, NodeId, Option<crate::yaml::Span>, bool)> {
    let mut keys = Keys::Fields(&ROCKET);
    let (mut map, mut key, mut shared) = (tree.root(), None, false);
    for step in path {
        let entry = tree.get(map, step)?;
        let (node, aliased) = tree.resolve(entry.value);
        shared |= aliased || entry.origin != crate::yaml::Origin::Own;
        (map, key) = (node, Some(tree.span(entry.key)));
        keys = inner(keys, step)?;
    }
    Some((keys, map, key, shared))
}

/// What the keys below a key are.
fn inner(keys: Keys, key: &str) -> Option<Keys> {
    match keys {
        Keys::Names(entity_type) => Some(Keys::Fields(entity_type)),
        Keys::Fields(entity_type) => match of(entity_type, key)? {
            Shape::One(inner) => Some(Keys::Fields(inner)),
            Shape::Many(inner) => Some(Keys::Names(inner)),
            _ => None,
        },
    }
}

fn of(entity_type: &'static EntityType, key: &str) -> Option<&'static Shape> {
    entity_type.slot(key).and_then(|slot| entity_type.field(slot)).map(|field| &field.shape)
}

/// What is written where no outline says more: a part with nothing said of it, the only part that a name can mean, or a question.
fn usual(shape: &Shape, store: &Store) -> Content {
    match shape {
        Shape::One(_) => Content::Part(Vec::new()),
        Shape::Many(entity_type) => {
            let part = Item {
                key: entity_type.name.to_owned(),
                due: HoldPoint::Parts,
                content: Content::Part(Vec::new()),
            };
            Content::Part(vec![part])
        }
        Shape::Refers(entity_type) => {
            let mut all = store.of_type(entity_type).filter_map(|id| store.get(id));
            match (all.next(), all.next()) {
                (Some(only), None) => Content::Value(only.name.to_string()),
                _ => Content::Ask,
            }
        }
        _ => Content::Ask,
    }
}
