//! What stands on the outside or goes through it: fins, buttons, holes at their clock angles, joints.

use std::f64::consts::PI;

use super::parts::{Pen, both_sides, mirrored, rectangle, shape};
use super::{Clocked, DrawnShape, Form, Look, View};
use crate::design::{
    ALTIMETER, FINS, Fins, SECTION, SHEAR_PINS, SWITCH_ACCESS, VENT, altimeter, fastening, fin_slots,
    fin_tab, fins, joint, protuberance, rail_button, section, shear_pins, switch_access, tube, vent,
};
use crate::quantity::Length;
use crate::tables::thread;
use crate::vocabulary::{EntityId, EntityType, Key, Value};

/// More fins than this are not drawn one by one.
const MOST_FINS: u32 = 24;

impl Pen<'_> {
    pub(super) fn fin_slots(&mut self, id: EntityId, ends: (f64, f64)) {
        let size = self.sizes(id, &[(fin_slots::length, "long"), (fin_slots::width, "wide")]);
        let size = match self.reading.count(id, fin_slots::count) {
            Some(count) => format!("{count}, each {size}"),
            None => size,
        };
        let section = self.reading.model.holder(id, &SECTION);
        let wall = section
            .and_then(|s| self.reading.part(s, section::tube))
            .and_then(|t| Some((self.half(t, tube::inner_diameter)?, self.half(t, tube::outer_diameter)?)));
        let Some((inner, outer)) = wall else {
            return self.leave_out(id, "the wall of the body tube is not known");
        };
        let mut all = self.reading.model.design().store.of_type(&FINS);
        let fins = all.find(|fins| self.reading.model.holder(*fins, &SECTION) == section);
        let shapes = self.in_plane(id, fins, Look::Gap, rectangle(ends.0, ends.1, inner, outer));
        self.put(id, ends, View::Cut, size, shapes);
    }

    pub(super) fn fins(&mut self, id: EntityId, ends: (f64, f64)) {
        let size = self.sizes(
            id,
            &[
                (fins::root_chord, "root"),
                (fins::tip_chord, "tip"),
                (fins::span, "span"),
                (fins::sweep, "sweep"),
                (fins::thickness, "thick"),
            ],
        );
        let count = self.reading.count(id, fins::count);
        let size = count.map_or(size.clone(), |count| format!("{count}, each {size}"));
        let (Some(body), Some(span)) = (self.body(id), self.reading.si(id, fins::span)) else {
            return self.leave_out(id, "their span, or the body that they stand on, is not known");
        };
        let path = self.reading.path(id);
        let whole = self.free_outline(id, ends.0, body).or_else(|| {
            let (sweep, tip) = (self.reading.si(id, fins::sweep)?, self.reading.si(id, fins::tip_chord)?);
            let lead = ends.0 + sweep;
            let corners =
                vec![(ends.0, body), (lead, body + span), (lead + tip, body + span), (ends.1, body)];
            Some(Form::Area(corners))
        });
        let look = if whole.is_some() { Look::Skin } else { Look::Unsure };
        let form = whole.unwrap_or_else(|| {
            self.note(format!(
                "{path}: sweep or tip chord not written down, so only root and span are drawn, as a dashed box"
            ));
            rectangle(ends.0, ends.1, body, body + span)
        });
        // Without a count nothing says which way they point.
        let mut shapes = Vec::new();
        match count {
            None => {
                self.note(format!("{path}: count not written down; drawn above and below"));
                for view in [View::Outside, View::Cut] {
                    shapes.extend(both_sides(view, look, form.clone()));
                }
            }
            Some(_) => {
                if self.reading.si(id, fins::clock).is_none() {
                    self.note(format!("{path}: clock angle not written down; the first is drawn at 0°"));
                }
                let thick = self.reading.si(id, fins::thickness).unwrap_or(0.0);
                for angle in self.fin_angles(id) {
                    self.clocked.push(Clocked { id, angle, fin: true });
                    let seen = if near_side(angle) || look == Look::Unsure { look } else { Look::FarHole };
                    let turned = turned(&form, angle, ends, thick);
                    // What stands before the body is cut away with its near half, what stands behind it is hidden.
                    let cut = beyond(&turned, body);
                    shapes.push(shape(View::Outside, seen, turned));
                    shapes.extend(cut.map(|form| shape(View::Cut, seen, form)));
                }
            }
        }
        shapes.extend(self.tab(id, ends, body));
        self.put(id, ends, View::Outside, size, shapes);
    }

    /// The clock angles of fins: the first at 0° where not said, so that the others count from it; all alike, and so evenly around.
    fn fin_angles(&self, id: EntityId) -> Vec<f64> {
        let Some(count) = self.reading.count(id, fins::count) else { return Vec::new() };
        let first = self.reading.si(id, fins::clock).unwrap_or(0.0);
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a count below a million")]
        let drawn = (count as u32).min(MOST_FINS);
        (0..drawn).map(|place| first + 2.0 * PI * f64::from(place) / count).collect()
    }

    /// A form at the root of fins, cut by the plane of the paper: above, below, or both, as fins stand there. Where none does, it is
    /// drawn above, turned into that plane.
    fn in_plane(&mut self, id: EntityId, fins: Option<EntityId>, look: Look, form: Form) -> Vec<DrawnShape> {
        let angles = fins.map(|fins| self.fin_angles(fins)).unwrap_or_default();
        if angles.is_empty() {
            return both_sides(View::Cut, look, form);
        }
        let stands = |cos: f64| angles.iter().any(|angle| (libm::cos(*angle) - cos).abs() < 1e-3);
        match (stands(1.0), stands(-1.0)) {
            (true, true) => both_sides(View::Cut, look, form),
            (false, true) => vec![shape(View::Cut, look, mirrored(&form))],
            (true, false) => vec![shape(View::Cut, look, form)],
            (false, false) => {
                let path = self.reading.path(id);
                self.note(format!("{path}: drawn turned into the plane of the paper"));
                vec![shape(View::Cut, look, form)]
            }
        }
    }

    /// The outline of a fin that is no trapezoid: out along its leading edge and back along its trailing one.
    pub(super) fn free_outline(&self, id: EntityId, root: f64, body: f64) -> Option<Form> {
        let edge = |key: Key<Fins, Vec<(Length, Length)>>| -> Option<Vec<_>> {
            let points = self.reading.model.get(id, key)?;
            Some(points.iter().map(|(y, x)| (root + x.si(), body + y.si())).collect())
        };
        let (mut outline, trailing) = (edge(fins::leading_edge)?, edge(fins::trailing_edge)?);
        outline.extend(trailing.into_iter().rev());
        Some(Form::Area(outline))
    }

    /// The tab of the fins: in the middle of its slot, since no key says where it begins.
    pub(super) fn tab(&mut self, id: EntityId, root: (f64, f64), body: f64) -> Vec<DrawnShape> {
        let Some(tab) = self.reading.part(id, fins::tab) else { return Vec::new() };
        let (Some(long), Some(deep)) =
            (self.reading.si(tab, fin_tab::length), self.reading.si(tab, fin_tab::depth))
        else {
            self.leave_out(tab.any(), "its length or its depth is not written down");
            return Vec::new();
        };
        let section = self.reading.model.holder(id, &SECTION);
        let slots = section.and_then(|s| self.reading.part(s, section::fin_slots));
        let (fore, aft) = slots.and_then(|s| self.ends(s.any()).ok()).unwrap_or(root);
        let middle = f64::midpoint(fore, aft);
        let path = self.reading.path(tab.any());
        self.note(format!(
            "{path}: where the tab begins is not part of a design; dashed, in the middle of its slot"
        ));
        let form = rectangle(middle - long / 2.0, middle + long / 2.0, body - deep, body);
        self.in_plane(tab.any(), Some(id), Look::Unsure, form)
    }

    /// The clock angles of something around the body, where the file has them.
    pub(super) fn clock(&self, id: EntityId) -> Vec<f64> {
        // Of a set of holes that are evenly spaced the first is enough: the model works out the others.
        let holes = match self.reading.by_name(id, "holes") {
            Some(Ok(Value::Entity(holes))) => holes,
            _ => id,
        };
        match self.reading.by_name(holes, "clock") {
            Some(Ok(Value::Quantity(angle))) => vec![angle.si],
            Some(Ok(Value::Quantities(angles))) => angles.iter().map(|a| a.si).collect(),
            _ => Vec::new(),
        }
    }

    pub(super) fn rail_button(&mut self, id: EntityId, ends: (f64, f64)) {
        let width = self.reading.si(id, rail_button::width);
        let height = self.reading.si(id, rail_button::height);
        let size = self.sizes(id, &[(rail_button::width, "wide"), (rail_button::height, "high")]);
        let Some(body) = self.body(id) else {
            return self.leave_out(id, "the body that it stands on is not known");
        };
        let path = self.reading.path(id);
        let (Some(width), Some(height)) = (width, height) else {
            self.note(format!(
                "{path}: width or height not written down, so only the place of its screw is drawn"
            ));
            return self.around(id, ends, body, None, size, View::Outside);
        };
        let Some(angle) = self.clock(id).first().copied() else {
            self.note(format!("{path}: clock angle not written down; a dashed box on top"));
            let form = rectangle(ends.0 - width / 2.0, ends.0 + width / 2.0, body, body + height);
            let shapes = vec![shape(View::Outside, Look::Unsure, form)];
            return self.put(id, ends, View::Outside, size, shapes);
        };
        self.clocked.push(Clocked { id, angle, fin: false });
        let (low, high) = (body * libm::cos(angle), (body + height) * libm::cos(angle));
        let form = rectangle(ends.0 - width / 2.0, ends.0 + width / 2.0, low, high);
        let look = if near_side(angle) { Look::Hole } else { Look::FarHole };
        let size = format!("{size}, at {}°", degrees(angle));
        self.put(id, ends, View::Outside, size, vec![shape(View::Outside, look, form)]);
    }

    /// The section of the altimeter that a switch arms, of which this is the way in.
    pub(super) fn armed_section(&self, access: EntityId) -> Option<EntityId> {
        let switch = self.reading.model.entity(access)?.parent?;
        let store = &self.reading.model.design().store;
        let armed = store
            .of_type(&ALTIMETER)
            .find(|one| self.reading.part(*one, altimeter::switch).is_some_and(|s| s == switch));
        self.reading.model.holder(armed?, &SECTION)
    }

    /// A camera, a cover over cords, an aerial.
    pub(super) fn protuberance(&mut self, id: EntityId, ends: (f64, f64)) {
        let size = self.sizes(
            id,
            &[(protuberance::length, "long"), (protuberance::width, "wide"), (protuberance::height, "high")],
        );
        let (Some(body), Some(height)) = (self.body(id), self.reading.si(id, protuberance::height)) else {
            return self.leave_out(id, "its height, or the body that it stands on, is not known");
        };
        let (look, cos) = match self.clock(id).first().copied() {
            Some(angle) => {
                self.clocked.push(Clocked { id, angle, fin: false });
                (if near_side(angle) { Look::Skin } else { Look::FarHole }, libm::cos(angle))
            }
            None => {
                let path = self.reading.path(id);
                self.note(format!("{path}: clock angle not written down; a dashed box on top"));
                (Look::Unsure, 1.0)
            }
        };
        let form = rectangle(ends.0, ends.1, body * cos, (body + height) * cos);
        self.put(id, ends, View::Outside, size, vec![shape(View::Outside, look, form)]);
    }

    /// Vents, shear pins, screws and rivets, the ways to switches.
    pub(super) fn holes(&mut self, id: EntityId, entity_type: &'static EntityType, ends: (f64, f64)) {
        let (count, across, body) = if entity_type == &VENT {
            (self.reading.count(id, vent::count), self.reading.quantity(id, vent::diameter), self.body(id))
        } else if entity_type == &SWITCH_ACCESS {
            let section = self.armed_section(id);
            let body = section.and_then(|s| self.reading.number(s, "body_diameter").ok());
            (Some(1.0), self.reading.quantity(id, switch_access::diameter), body.map(|d| d / 2.0))
        } else {
            let (count, row) = if entity_type == &SHEAR_PINS {
                (self.reading.count(id, shear_pins::count), self.reading.part(id, shear_pins::thread))
            } else {
                (self.reading.count(id, fastening::count), self.reading.part(id, fastening::thread))
            };
            let joint = self.reading.model.entity(id).and_then(|e| e.parent);
            let body = joint.and_then(|j| self.reading.number(j, "body_diameter").ok()).map(|d| d / 2.0);
            (count, row.and_then(|r| self.reading.quantity(r, thread::major_diameter)), body)
        };
        let Some(body) = body else {
            return self.leave_out(id, "the body that they go through is not known");
        };
        let mut size = across.map(|d| self.length(d.si)).unwrap_or_default();
        if let Some(count) = count {
            size = format!("{count} of {size}");
        }
        self.around(id, ends, body, across.map(|d| d.si), size, View::Outside);
    }

    /// Something on the outside of the body: at its clock angles, or as a line around where they are not known.
    pub(super) fn around(
        &mut self,
        id: EntityId,
        ends: (f64, f64),
        body: f64,
        across: Option<f64>,
        size: String,
        home: View,
    ) {
        let angles = self.clock(id);
        let radius = across.unwrap_or(0.0) / 2.0;
        let mut shapes = Vec::new();
        let mut size = size;
        if angles.is_empty() {
            let path = self.reading.path(id);
            self.note(format!(
                "{path}: clock angles not written down; a dashed line around the body at its station"
            ));
            let line = Form::Line(vec![(ends.0, -body), (ends.0, body)]);
            shapes.push(shape(View::Outside, Look::Unsure, line));
            if radius > 0.0 {
                shapes.push(shape(View::Outside, Look::Unsure, Form::Dot { centre: (ends.0, 0.0), radius }));
            }
        } else {
            let clocks: Vec<String> = angles.iter().map(|a| format!("{}°", degrees(*a))).collect();
            size = format!("{size}, at {}", clocks.join(", "));
        }
        for angle in angles {
            self.clocked.push(Clocked { id, angle, fin: false });
            let look = if near_side(angle) { Look::Hole } else { Look::FarHole };
            let centre = (ends.0, body * libm::cos(angle));
            shapes.push(shape(View::Outside, look, Form::Dot { centre, radius }));
        }
        self.put(id, ends, home, size, shapes);
    }

    pub(super) fn joint(&mut self, id: EntityId, ends: (f64, f64)) {
        let between = self.reading.entities(id, joint::between);
        let Some((_, edge)) = between.first().and_then(|fore| self.ends(*fore).ok()) else {
            return self.leave_out(id, "the section before it has no known place");
        };
        let Some(body) = self.reading.number(id, "body_diameter").ok().map(|d| d / 2.0) else {
            return self.leave_out(id, "the diameter of its tube is not known");
        };
        let parts_at = match self.reading.word(id, joint::parts_at) {
            Some("never") => "stays together".to_owned(),
            Some(when) => format!("parts at {when}"),
            None => "when it parts is not written down".to_owned(),
        };
        let over = body * 1.18;
        let mut shapes =
            vec![shape(View::Outside, Look::Line, Form::Line(vec![(edge, -over), (edge, over)]))];
        // A bracket over the two tubes that lie in one another.
        let reach = vec![(ends.0, over), (ends.0, over * 1.06), (ends.1, over * 1.06), (ends.1, over)];
        shapes.push(shape(View::Cut, Look::Line, Form::Line(reach)));
        let size = format!("{parts_at}, {} inside one another", self.length(ends.1 - ends.0));
        self.put(id, ends, View::Outside, size, shapes);
    }
}

/// A fin at a clock angle as it is seen from the side: it reaches as far up or down the paper as the cosine says, and on its edge no
/// less than its thickness.
fn turned(form: &Form, angle: f64, ends: (f64, f64), thick: f64) -> Form {
    let Form::Area(points) = form else { return form.clone() };
    let cos = libm::cos(angle);
    let heights = || points.iter().map(|(_, y)| y * cos);
    let (low, high) = (heights().fold(f64::MAX, f64::min), heights().fold(f64::MIN, f64::max));
    if high - low < thick {
        let middle = f64::midpoint(low, high);
        return rectangle(ends.0, ends.1, middle - thick / 2.0, middle + thick / 2.0);
    }
    Form::Area(points.iter().map(|(x, y)| (*x, y * cos)).collect())
}

/// What of an outline lies farther from the axis than the body, on the side that most of it is on; `None` where nothing does.
fn beyond(form: &Form, body: f64) -> Option<Form> {
    let Form::Area(points) = form else { return None };
    let side = if points.iter().map(|(_, y)| y).sum::<f64>() < 0.0 { -1.0 } else { 1.0 };
    let over = |point: &(f64, f64)| point.1 * side - body;
    let mut kept = Vec::new();
    for (from, to) in points.iter().zip(points.iter().cycle().skip(1)) {
        if over(from) >= 0.0 {
            kept.push(*from);
        }
        if (over(from) > 0.0) != (over(to) > 0.0) && (over(from) < 0.0 || over(to) < 0.0) {
            let part = over(from) / (over(from) - over(to));
            kept.push((from.0 + part * (to.0 - from.0), from.1 + part * (to.1 - from.1)));
        }
    }
    let reaches = kept.iter().any(|point| over(point) > 1e-9);
    reaches.then_some(Form::Area(kept))
}

/// Seen from aft a clock runs from 0° at the top to the right, which is away from a reader who has the nose on the left.
fn near_side(angle: f64) -> bool {
    libm::sin(angle) <= 1e-9
}

fn degrees(angle: f64) -> f64 {
    (angle.to_degrees() * 10.0).round() / 10.0
}
