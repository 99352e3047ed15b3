//! Remedies: worked out, tried on a copy of the design, and only then offered.

use super::Options;
use super::finding::{Finding, Tried, TriedRemedy};
use super::judged::{Judged, Judgements, judge_all};
use crate::design::{Design, is_for_a_person};
use crate::language::{evaluate, value_text};
use crate::model::{Change as FieldChange, Footprint, Model};
use crate::quantity::{Dimension, Form, Quantity, System, unit};
use crate::rules::{Change, Library, Rule, Variants, Verdict};
use crate::tables::Tables;
use crate::vocabulary::{Edge, EntityId, Position, Shape, Slot, State, Value, read_scalar};
use crate::yaml::{
    Edit, EditError, ScalarStyle, Source, apply, insert_key, replace_scalar, replace_value, scalar_text,
};

/// A remedy worked out, with what it writes where.
pub(super) struct Proposal {
    pub(super) remedy: TriedRemedy,
    pub(super) writes: Vec<(EntityId, u16, String)>,
}

impl Proposal {
    fn words(say: String) -> Self {
        Self { remedy: TriedRemedy { say, tried: None, edits: Vec::new(), safe: false }, writes: Vec::new() }
    }
}

/// What a remedy is tried on.
pub(super) struct Tryout<'t, 'm, 'l> {
    pub(super) variants: &'t Variants<'m>,
    pub(super) judgements: &'t Judgements<'l>,
    pub(super) library: &'l Library,
    pub(super) options: &'t Options,
}

/// What came of trying a remedy, and what that rests on.
#[derive(Clone, Debug)]
pub(super) struct Attempt {
    writes: Vec<(EntityId, u16, String)>,
    tried: Tried,
    /// The fields that the remedy changes.
    changed: Footprint,
    /// The fields that the judgements rest on which it may change; nothing where all was judged anew.
    footprint: Option<Footprint>,
}

impl<'l> Tryout<'_, '_, 'l> {
    /// Works out the remedy of a finding's rule and tries it; what an earlier text says of it is taken over where it still holds.
    pub(super) fn offer(
        &self,
        finding: &mut Finding,
        one: &Judged<'l>,
        earlier: Option<&Attempt>,
    ) -> Option<Attempt> {
        let Proposal { mut remedy, writes } = work_out(one.rule, self.variants.base(), one.subject)?;
        let mut attempt = None;
        if !remedy.edits.is_empty() {
            let made = match earlier.filter(|earlier| earlier.writes == writes && self.still(earlier)) {
                Some(earlier) => earlier.clone(),
                None => self.attempt(&remedy.edits, writes, one),
            };
            remedy.tried = Some(made.tried);
            attempt = Some(made);
        }
        finding.remedies.push(remedy);
        attempt
    }

    /// Whether an attempt made on an earlier text would come out the same: nothing that it rests on has changed, the
    /// same packs apply, and no judgement rests on what it changes that did not before.
    fn still(&self, earlier: &Attempt) -> bool {
        let touched = self.variants.base().touched();
        earlier.footprint.is_some_and(|footprint| !footprint.meets(touched))
            && !touched.meets_types()
            && !self.judgements.packs_footprint.meets(touched)
            && !self.judgements.anew.meets(&earlier.changed)
    }

    /// Lays a remedy over the design, and says what comes of it as far as the design was reviewed.
    fn attempt(&self, edits: &[Edit], writes: Vec<(EntityId, u16, String)>, mine: &Judged<'l>) -> Attempt {
        let model = self.variants.base();
        let changes = writes.iter().map(|write| as_read(model, write)).collect::<Option<Vec<_>>>();
        let sound = apply(model.design().source.text(), edits).is_ok();
        let Some(changes) = changes.filter(|_| sound) else {
            return Attempt { writes, tried: Tried::Breaks, changed: Footprint::ALL, footprint: None };
        };
        let tried = model.with_changes(changes);
        let changed = *tried.touched();
        let Some(after) =
            self.judgements.after(&Variants::of(&tried).by(self.library), self.library, self.options)
        else {
            let tried = self.judged_anew(edits, mine);
            return Attempt { writes, tried, changed, footprint: None };
        };
        let mut footprint = changed;
        let mut affected = Vec::with_capacity(after.len());
        for (before, now) in &after {
            footprint.join(&before.judgement.footprint);
            footprint.join(&now.judgement.footprint);
            affected.push(Affected {
                mine: now.number == mine.number && now.subject == mine.subject,
                before: before.judgement.verdict,
                now: now.judgement.verdict,
            });
        }
        Attempt { writes, tried: came_of(&affected), changed, footprint: Some(footprint) }
    }

    /// The same by a copy of the file, where other packs come into force.
    fn judged_anew(&self, edits: &[Edit], mine: &Judged<'l>) -> Tried {
        let model = self.variants.base();
        let Some(copy) = edited(model.design(), edits, model.tables()) else { return Tried::Breaks };
        let copy = Design { store: copy.store.clone().aligned_with(&model.design().store), ..copy };
        let tried = Model::new(&copy, model.environment());
        let now = judge_all(&Variants::of(&tried).by(self.library), self.library, self.options, &|_, _| None);
        let affected: Vec<Affected> = now
            .all
            .iter()
            .map(|now| {
                let same = |old: &&Judged<'_>| old.number == now.number && old.subject == now.subject;
                let before = self.judgements.all.iter().find(same);
                Affected {
                    mine: now.number == mine.number && now.subject == mine.subject,
                    before: before.map_or(Verdict::NotApplicable, |old| old.judgement.verdict),
                    now: now.judgement.verdict,
                }
            })
            .collect();
        came_of(&affected)
    }
}

/// The remedy of a rule for a subject, not tried yet. Without edits it is words only.
pub(super) fn work_out(rule: &Rule, model: &Model<'_>, subject: EntityId) -> Option<Proposal> {
    let remedy = rule.remedy()?;
    let Some((target, change)) = &remedy.set else {
        return Some(Proposal::words(remedy.said(model, subject, None, "")));
    };
    let (Change::To(expression) | Change::By(expression)) = change;
    let value = evaluate(expression, model, None, subject).value.ok()?;
    let mut shown = value_text(model, &value);
    let (mut edits, mut writes, mut any) = (Vec::new(), Vec::new(), false);
    if is_for_a_person(target.entity_type, target.slot) {
        return Some(Proposal::words(remedy.said(model, subject, Some(&value), &shown)));
    }
    for id in target.entities(model, subject) {
        any = true;
        // A measure says what the part is: it changes when the part does, and not before.
        if slot_of(model, id, target.slot).is_ok_and(|slot| slot.measured.is_some()) {
            let say = remedy.said(model, subject, Some(&value), &shown);
            return Some(Proposal::words(format!("{say}, and measure it again")));
        }
        let text = match (change, &value) {
            (Change::By(_), Value::Quantity(by)) => {
                moved(model, id, target.slot, *by).inspect(|place| shown.clone_from(place))
            }
            _ => written(model, id, target.slot, &value),
        };
        match text.and_then(|text| write(model, id, target.slot, &text).map(|edit| (text, edit))) {
            Ok((text, Some(edit))) => {
                edits.push(edit);
                writes.push((id, target.slot, text));
            }
            Ok((_, None)) => {}
            Err(error) => {
                let say = remedy.said(model, subject, Some(&value), &shown);
                return Some(Proposal::words(format!("{say} (to be edited by hand: {error})")));
            }
        }
    }
    // What stands there already cures nothing.
    if edits.is_empty() && any {
        return None;
    }
    let remedy = TriedRemedy {
        say: remedy.said(model, subject, Some(&value), &shown),
        tried: None,
        edits,
        safe: remedy.safe,
    };
    Some(Proposal { remedy, writes })
}

fn slot_of<'m>(model: &'m Model<'_>, id: EntityId, slot: u16) -> Result<&'m Slot, EditError> {
    model.entity(id).map(|e| e.slot(slot)).ok_or(EditError::NotHere("the part is not in the file"))
}

/// A value as the author would write it: in the unit that stands there, so that a file in millimetres stays one, and
/// with the tolerance that stands there.
fn written(model: &Model<'_>, id: EntityId, slot: u16, value: &Value) -> Result<String, EditError> {
    let field = slot_of(model, id, slot)?;
    let Value::Quantity(quantity) = value else { return Ok(value_text(model, value)) };
    let like = match &field.state {
        State::Known(Value::Quantity(old)) if quantity.style.form != Form::Fraction => old.style,
        _ => quantity.style,
    };
    let text = quantity.with_style(like).exact();
    match (field.tolerance, field.place) {
        (Some(_), Some(place)) => with_tolerance(model.design().source.slice(place), &text),
        _ => Ok(text),
    }
}

/// Marks of a tape: sixteenths of an inch, and millimetres.
const MARKS: [(&str, f64); 2] = [("in", 0.0254 / 16.0), ("mm", 0.001)];

/// A place moved aft, on to the next mark of the author's tape.
fn moved(model: &Model<'_>, id: EntityId, slot: u16, aft: Quantity) -> Result<String, EditError> {
    let field = slot_of(model, id, slot)?;
    let State::Known(Value::Position(position)) = &field.state else {
        return Err(EditError::NotHere("no place is written down"));
    };
    let along = if position.edge == Edge::Fore { aft.si } else { -aft.si };
    let mut style = position.distance.style;
    if style.unit.is_none() {
        style = aft.style;
    }
    let metric = Quantity { style, ..aft }
        .unit()
        .map(crate::quantity::unit_row)
        .is_some_and(|u| u.system == System::Metric);
    let (name, mark) = if metric { MARKS[1] } else { MARKS[0] };
    if position.distance.style.unit.is_none() {
        style.unit = unit(name).and_then(|u| u.id);
    }
    let marks = (position.distance.si + along) / mark;
    let on_mark = (marks - marks.round()).abs() < 1e-6;
    let marks = match (on_mark, along > 0.0) {
        (true, _) => marks.round(),
        (false, true) => marks.ceil(),
        (false, false) => marks.floor(),
    };
    let distance = Quantity { si: marks * mark, dimension: Dimension::LENGTH, style };
    let text = place_text(position, distance);
    match (position.tolerance, field.place) {
        (Some(_), Some(place)) => {
            // The tape's words stand behind the tolerance.
            let old = model.design().source.slice(place);
            let words = [" from ", " past "].iter().find_map(|w| old.find(w)).unwrap_or(old.len());
            let (head, tail) =
                text.split_at([" from ", " past "].iter().find_map(|w| text.find(w)).unwrap_or(text.len()));
            Ok(format!("{}{tail}", with_tolerance(old.get(..words).unwrap_or(old), head)?))
        }
        _ => Ok(text),
    }
}

/// A place in the words of the tape.
fn place_text(position: &Position, distance: Quantity) -> String {
    let edge = if position.edge == Edge::Fore { "fore" } else { "aft" };
    let of = position.of.as_ref().map(|of| format!(" of {of}")).unwrap_or_default();
    if distance.si == 0.0 && position.tolerance.is_none() {
        return format!("flush with {edge}{of}");
    }
    let way = if distance.si < 0.0 { "past" } else { "from" };
    let size = Quantity { si: distance.si.abs(), ..distance };
    format!("{} {way} {edge}{of}", size.exact())
}

/// A new measure with the tolerance of the old one: `3.9 ± 0.01 in` and `3.95 in` give `3.95 ± 0.01 in`.
fn with_tolerance(old: &str, new: &str) -> Result<String, EditError> {
    let by_hand = EditError::NotHere("a tolerance stands beside the value");
    let number =
        new.find(|c: char| c.is_alphabetic() || c == '°').map_or(new, |at| new.get(..at).unwrap_or(new));
    let unit = new.get(number.len()..).unwrap_or("");
    let old = old.trim_matches(['"', '\'']);
    let at = old.find(['±', '+']).filter(|at| *at > 0).ok_or(by_hand.clone())?;
    let tail = old.get(at..).unwrap_or("");
    if unit.is_empty() || !tail.trim_end().ends_with(unit.trim()) || number.trim().contains(' ') {
        return Err(by_hand);
    }
    Ok(format!("{} {tail}", number.trim()))
}

/// The edit that writes a text into a field; none where it stands there already.
fn write(model: &Model<'_>, id: EntityId, slot: u16, text: &str) -> Result<Option<Edit>, EditError> {
    let design = model.design();
    let (Some(entity), Some(tree)) = (model.entity(id), &design.tree) else {
        return Err(EditError::NotHere("the part is not in the file"));
    };
    let field = entity.slot(slot);
    // Where no text is due, `true` and `3` stand without quotes: with them they are texts to every other reader.
    let shape = entity.entity_type.field(slot).map(|f| &f.shape);
    let is_bare = matches!(shape, Some(Shape::Truth | Shape::Count(_) | Shape::Number(_)));
    match field.node {
        Some(node) if !matches!(field.state, State::Absent) => {
            if design.source.slice(tree.span(node)) == text {
                return Ok(None);
            }
            let is_bare = is_bare && tree.scalar(node).is_some_and(|s| s.style == ScalarStyle::Plain);
            let replace = if is_bare { replace_value } else { replace_scalar };
            replace(&design.source, tree, node, text, field.shared).map(Some)
        }
        _ => {
            let name = entity.entity_type.field(slot).map_or("", |f| f.name);
            insert_key(
                &design.source,
                tree,
                entity.node,
                name,
                &if is_bare { text.to_owned() } else { scalar_text(text) },
                entity.shared,
            )
            .map(Some)
        }
    }
}

/// The design with some edits made; none where they cannot be made or the text then reads worse.
pub(super) fn edited(design: &Design, edits: &[Edit], tables: &Tables) -> Option<Design> {
    let text = apply(design.source.text(), edits).ok()?;
    let copy = Design::read(Source::new(design.source.name(), text), tables);
    (copy.problems.len() <= design.problems.len()).then_some(copy)
}

/// A judgement that a remedy may have changed.
struct Affected {
    /// Whether it is the one that the remedy is for.
    mine: bool,
    before: Verdict,
    now: Verdict,
}

fn came_of(affected: &[Affected]) -> Tried {
    let open = |verdict| !matches!(verdict, Verdict::Held | Verdict::NotApplicable);
    let worse = |graver: fn(Verdict) -> bool| {
        affected.iter().any(|a| !a.mine && open(a.now) && graver(a.now) && a.now < a.before)
    };
    let settled = affected.iter().any(|a| a.mine && !open(a.now));
    if worse(|verdict| verdict != Verdict::Unproven) {
        Tried::Breaks
    } else if !settled || worse(|verdict| verdict == Verdict::Unproven) {
        // What it leaves unproven wants a value that was not asked for before: that breaks nothing.
        Tried::Partly
    } else {
        Tried::Clears
    }
}

/// A written text as the reader takes it; nothing where it cannot be read.
pub(super) fn as_read(
    model: &Model<'_>,
    (entity, slot, text): &(EntityId, u16, String),
) -> Option<FieldChange> {
    let shape = &model.entity(*entity)?.entity_type.field(*slot)?.shape;
    let (state, tolerance) = if text == "none" && !matches!(shape, Shape::Text | Shape::Word(_)) {
        (State::None, None)
    } else {
        let (value, tolerance) = read_scalar(shape, text, Some(model.tables())).ok()?;
        (State::Known(value), tolerance)
    };
    Some(FieldChange { entity: *entity, slot: *slot, state, tolerance })
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, reason = "a test may panic")]
    use super::*;

    #[test]
    fn a_tolerance_stays_beside_its_value() {
        assert_eq!(with_tolerance("3.9 ± 0.01 in", "3.95 in").unwrap(), "3.95 ± 0.01 in");
        assert_eq!(with_tolerance("3.9 in +0.02/-0.00", "3.95 in").ok(), None);
        assert_eq!(with_tolerance("16.62 ± 0.25 in", "16.5 in").unwrap(), "16.5 ± 0.25 in");
        assert_eq!(with_tolerance("4 ± 0.1 mm", "1/4 in").ok(), None);
    }
}
