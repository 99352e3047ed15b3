//! What each kind of part looks like.

use std::f64::consts::PI;

use super::{Clocked, Drawing, Form, Look, Mark, Part, Shape, Undrawn, View};
use crate::design::{
    ALTIMETER, BOAT_TAIL, BULKHEAD, COUPLER, FASTENING, FIN_SLOTS, FINS, HARNESS, JOINT, LID, MOTOR,
    MOTOR_MOUNT, NOSE_CONE, PARACHUTE, PROTUBERANCE, RAIL_BUTTON, RETAINER, RING, RODS, SECTION, SHEAR_PINS,
    SHOULDER, SWITCH_ACCESS, SWITCH_BAND, THRUST_PLATE, TRANSITION, TUBE, VENT, altimeter, boat_tail,
    bulkhead, coupler, fastening, fin_slots, fin_tab, fins, joint, lid, motor, motor_mount, nose_cone,
    parachute, protuberance, rail_button, retainer, ring, rods, section, shear_pins, shoulder, switch_access,
    switch_band, transition, tube, vent,
};
use crate::report::reading::Reading;
use crate::tables::thread;
use crate::vocabulary::{EntityId, Key, Kind, Value};

/// More fins than this are not drawn one by one.
const MOST_FINS: u32 = 24;
/// Points along a nose cone.
const OUTLINE: u32 = 48;

/// The kinds that stand for themselves in the drawing, in the order in which they are painted.
const PAINTED: &[&Kind] = &[
    &SHOULDER,
    &COUPLER,
    &TUBE,
    &NOSE_CONE,
    &TRANSITION,
    &BOAT_TAIL,
    &SWITCH_BAND,
    &BULKHEAD,
    &RING,
    &LID,
    &RODS,
    &MOTOR,
    &RETAINER,
    &THRUST_PLATE,
    &FIN_SLOTS,
    &FINS,
    &RAIL_BUTTON,
    &PROTUBERANCE,
    &VENT,
    &SWITCH_ACCESS,
    &JOINT,
    &SHEAR_PINS,
    &FASTENING,
    &PARACHUTE,
    &HARNESS,
];

pub(super) fn draw(reading: Reading<'_>) -> Drawing {
    let mut pen =
        Pen { reading, parts: Vec::new(), undrawn: Vec::new(), notes: Vec::new(), clocked: Vec::new() };
    let store = &reading.model.design().store;
    for kind in PAINTED {
        for id in store.of_kind(kind) {
            pen.thing(id, kind);
        }
    }
    let sections: Vec<(String, f64, f64)> = store
        .of_kind(&SECTION)
        .filter_map(|id| pen.ends(id).ok().map(|(fore, aft)| (reading.name(id), fore, aft)))
        .collect();
    let mark = |name: &str| match reading.number(reading.root(), name) {
        Ok(station) => Mark::At(station, reading.length(station)),
        Err(gap) => Mark::NotKnown(reading.why(&gap)),
    };
    let calibre = reading.number(reading.root(), "calibre").unwrap_or(0.0);
    let (balance, pressure) = (mark("balance_station"), mark("centre_of_pressure"));
    // Painted in the order of kinds, numbered fore to aft; the sort keeps the order of what begins at one place.
    let mut parts = pen.parts;
    parts.sort_by(|a, b| a.fore.total_cmp(&b.fore).then(b.aft.total_cmp(&a.aft)));
    let (unit, per_metre) = reading.tape();
    Drawing {
        parts,
        undrawn: pen.undrawn,
        notes: pen.notes,
        clocked: pen.clocked,
        sections,
        calibre,
        balance,
        pressure,
        unit,
        per_metre,
    }
}

struct Pen<'m> {
    reading: Reading<'m>,
    parts: Vec<Part>,
    undrawn: Vec<Undrawn>,
    notes: Vec<String>,
    clocked: Vec<Clocked>,
}

fn shape(view: View, look: Look, form: Form) -> Shape {
    Shape { view, look, form }
}

fn rectangle(fore: f64, aft: f64, low: f64, high: f64) -> Form {
    Form::Area(vec![(fore, low), (aft, low), (aft, high), (fore, high)])
}

/// The same form on the other side of the axis.
fn mirrored(form: &Form) -> Form {
    let turn = |points: &[(f64, f64)]| points.iter().map(|(x, y)| (*x, -y)).collect();
    match form {
        Form::Area(points) => Form::Area(turn(points)),
        Form::Line(points) => Form::Line(turn(points)),
        Form::Dot { centre, radius } => Form::Dot { centre: (centre.0, -centre.1), radius: *radius },
    }
}

/// A form above the axis and the same below.
fn both_sides(view: View, look: Look, form: Form) -> Vec<Shape> {
    let below = mirrored(&form);
    vec![shape(view, look, form), shape(view, look, below)]
}

/// The walls of a tube that is cut open.
fn walls(fore: f64, aft: f64, outer: f64, inner: f64) -> Vec<Shape> {
    both_sides(View::Cut, Look::Cut, rectangle(fore, aft, inner, outer))
}

impl Pen<'_> {
    fn ends(&self, id: EntityId) -> Result<(f64, f64), String> {
        let found = self.reading.model.ends_of(id);
        found.map(|(fore, aft)| (fore.si(), aft.si())).map_err(|gap| self.reading.why(&gap))
    }

    fn leave_out(&mut self, id: EntityId, why: impl Into<String>) {
        self.undrawn.push(Undrawn { id, path: self.reading.path(id), why: why.into() });
    }

    fn note(&mut self, words: String) {
        if !self.notes.contains(&words) {
            self.notes.push(words);
        }
    }

    fn put(&mut self, id: EntityId, ends: (f64, f64), home: View, size: String, shapes: Vec<Shape>) {
        let kind = self.reading.model.entity(id).map_or("", |e| e.kind.name).replace('_', " ");
        let path = self.reading.path(id);
        let what = self.words(id, &kind);
        // A motor tube lies inside whatever else is drawn.
        let inmost = kind == "tube" && self.reading.model.holder(id, &MOTOR_MOUNT).is_some();
        let order = PAINTED.iter().position(|k| self.reading.model.entity(id).is_some_and(|e| e.kind == *k));
        let layer = if inmost { 0 } else { order.map_or(0, |at| at + 1) };
        self.parts.push(Part { id, path, what, size, fore: ends.0, aft: ends.1, home, layer, shapes });
    }

    /// What a part is called: its kind, and its name where that says more.
    fn words(&self, id: EntityId, kind: &str) -> String {
        let name = self.reading.name(id);
        let plain = name.replace('_', " ") == kind;
        match kind {
            "tube" if self.reading.model.holder(id, &MOTOR_MOUNT).is_some() => "motor tube".to_owned(),
            "tube" => "body tube".to_owned(),
            "ring" => format!("centring ring {name}"),
            "lid" => format!("lid {name}"),
            _ if plain => kind.to_owned(),
            "fastening" => "screws or rivets".to_owned(),
            "shoulder" => name.replace('_', " "),
            _ => format!("{kind} {name}"),
        }
    }

    fn length(&self, metres: f64) -> String {
        self.reading.length(metres)
    }

    fn lengths(&self, what: &str, id: EntityId, key: Key) -> Option<String> {
        self.reading.quantity(id, key).map(|q| format!("{q} {what}"))
    }

    /// Sizes as they are written, joined.
    fn sizes(&self, id: EntityId, asked: &[(Key, &str)]) -> String {
        let said: Vec<String> = asked.iter().filter_map(|(key, what)| self.lengths(what, id, *key)).collect();
        said.join(", ")
    }

    fn half(&self, id: EntityId, key: Key) -> Option<f64> {
        self.reading.si(id, key).map(|d| d / 2.0)
    }

    /// Half the outside diameter of the section that a part stands in.
    fn body(&self, id: EntityId) -> Option<f64> {
        let section = self.reading.model.holder(id, &SECTION)?;
        self.reading.number(section, "body_diameter").ok().map(|d| d / 2.0)
    }

    fn thing(&mut self, id: EntityId, kind: &'static Kind) {
        if kind == &MOTOR {
            return self.motor(id);
        } else if kind == &RODS {
            return self.rods(id);
        } else if kind == &RETAINER {
            return self.retainer(id);
        } else if kind == &PARACHUTE {
            return self.parachute(id);
        } else if kind == &HARNESS {
            return self.leave_out(id, "a cord lies where it is packed; only its ends have a place");
        } else if kind == &THRUST_PLATE {
            return self.leave_out(id, "its place and its diameters are not part of a design");
        }
        if kind == &FASTENING
            && matches!(self.reading.word(id, fastening::kind), Some("friction" | "epoxy" | "tape"))
            && self.reading.model.has(id, fastening::at.slot) == Ok(false)
        {
            return self.leave_out(id, "it goes all the way around the joint");
        }
        let ends = match self.ends(id) {
            Ok(ends) => ends,
            Err(why) => return self.leave_out(id, why),
        };
        if kind == &TUBE {
            self.tube(id, ends);
        } else if kind == &COUPLER {
            self.coupler(id, ends);
        } else if kind == &SHOULDER {
            self.shoulder(id, ends);
        } else if kind == &NOSE_CONE {
            self.nose_cone(id, ends);
        } else if kind == &TRANSITION {
            self.transition(id, ends);
        } else if kind == &BOAT_TAIL {
            self.boat_tail(id, ends);
        } else if kind == &SWITCH_BAND {
            self.switch_band(id, ends);
        } else if kind == &BULKHEAD {
            self.bulkhead(id, ends);
        } else if kind == &RING {
            self.ring(id, ends);
        } else if kind == &LID {
            self.lid(id, ends);
        } else if kind == &FIN_SLOTS {
            self.fin_slots(id, ends);
        } else if kind == &FINS {
            self.fins(id, ends);
        } else if kind == &RAIL_BUTTON {
            self.rail_button(id, ends);
        } else if kind == &PROTUBERANCE {
            self.protuberance(id, ends);
        } else if kind == &JOINT {
            self.joint(id, ends);
        } else {
            self.holes(id, kind, ends);
        }
    }

    fn tube(&mut self, id: EntityId, ends: (f64, f64)) {
        let size = self.sizes(
            id,
            &[(tube::length, "long"), (tube::outer_diameter, "outside"), (tube::inner_diameter, "inside")],
        );
        let Some(outer) = self.half(id, tube::outer_diameter) else {
            return self.leave_out(id, "its outer diameter is not written down");
        };
        let in_mount = self.reading.model.holder(id, &MOTOR_MOUNT).is_some();
        let mut shapes = vec![shape(View::Outside, Look::Skin, rectangle(ends.0, ends.1, -outer, outer))];
        match self.half(id, tube::inner_diameter) {
            Some(inner) => shapes.extend(walls(ends.0, ends.1, outer, inner)),
            None => shapes.push(self.unsure(ends, outer, id, "inner diameter")),
        }
        self.put(id, ends, if in_mount { View::Cut } else { View::Outside }, size, shapes);
    }

    /// An outline for the cut view where the inside is not known.
    fn unsure(&mut self, ends: (f64, f64), half: f64, id: EntityId, what: &str) -> Shape {
        let words = format!(
            "{}: {what} not written down, so only the outside is drawn, dashed",
            self.reading.path(id)
        );
        self.note(words);
        shape(View::Cut, Look::Unsure, rectangle(ends.0, ends.1, -half, half))
    }

    fn coupler(&mut self, id: EntityId, ends: (f64, f64)) {
        let size = self.sizes(
            id,
            &[
                (coupler::length, "long"),
                (coupler::outer_diameter, "outside"),
                (coupler::inner_diameter, "inside"),
            ],
        );
        let Some(outer) = self.half(id, coupler::outer_diameter) else {
            return self.leave_out(id, "its outer diameter is not written down");
        };
        let section = self.reading.model.holder(id, &SECTION);
        let is_bay = section.is_some_and(|s| self.reading.model.has(s, section::altimeters.slot) == Ok(true));
        let mut shapes = vec![shape(View::Outside, Look::Skin, rectangle(ends.0, ends.1, -outer, outer))];
        match self.half(id, coupler::inner_diameter) {
            Some(inner) => {
                if is_bay {
                    shapes.push(shape(View::Cut, Look::Bay, rectangle(ends.0, ends.1, -inner, inner)));
                }
                shapes.extend(walls(ends.0, ends.1, outer, inner));
            }
            None => shapes.push(self.unsure(ends, outer, id, "inner diameter")),
        }
        if is_bay && let Some(section) = section {
            let all: Vec<String> = self
                .reading
                .things(section, section::altimeters)
                .into_iter()
                .chain(self.reading.things(section, section::recorders))
                .map(|one| self.reading.name(one))
                .collect();
            let bay = self.reading.name(section);
            self.note(format!(
                "{bay}: the altimeters and recorders in it ({}) have no place of their own in a design",
                all.join(", ")
            ));
        }
        self.put(id, ends, View::Cut, size, shapes);
    }

    fn shoulder(&mut self, id: EntityId, ends: (f64, f64)) {
        let size = self.sizes(id, &[(shoulder::length, "long"), (shoulder::outer_diameter, "outside")]);
        let Some(outer) = self.half(id, shoulder::outer_diameter) else {
            return self.leave_out(id, "its outer diameter is not written down");
        };
        let mut shapes = vec![shape(View::Outside, Look::Skin, rectangle(ends.0, ends.1, -outer, outer))];
        match self.reading.si(id, shoulder::wall) {
            Some(wall) if wall < outer => shapes.extend(walls(ends.0, ends.1, outer, outer - wall)),
            _ => shapes.push(self.unsure(ends, outer, id, "wall")),
        }
        self.put(id, ends, View::Cut, size, shapes);
    }

    fn nose_cone(&mut self, id: EntityId, ends: (f64, f64)) {
        let mut size =
            self.sizes(id, &[(nose_cone::length, "long"), (nose_cone::outer_diameter, "at the base")]);
        if let Some(word) = self.reading.word(id, nose_cone::shape) {
            size = format!("{word}, {size}");
        }
        let Some(base) = self.half(id, nose_cone::outer_diameter) else {
            return self.leave_out(id, "its outer diameter is not written down");
        };
        let long = ends.1 - ends.0;
        let Ok(nose) = self.reading.model.nose_of(id) else {
            let words = format!(
                "{}: no outline is known, so its tip and its base are joined by dashed lines",
                self.reading.path(id)
            );
            self.note(words);
            let form = Form::Area(vec![(ends.0, 0.0), (ends.1, base), (ends.1, -base)]);
            let shapes =
                vec![shape(View::Outside, Look::Unsure, form.clone()), shape(View::Cut, Look::Unsure, form)];
            return self.put(id, ends, View::Outside, size, shapes);
        };
        // Closer together near the tip, where the outline bends most.
        let along = |step: u32| long * (f64::from(step) / f64::from(OUTLINE)).powi(2);
        let at = |x: f64| nose.radius_at(crate::quantity::Length::from_si(x)).si();
        let upper: Vec<(f64, f64)> = (0..=OUTLINE).map(|s| (ends.0 + along(s), at(along(s)))).collect();
        let lower = upper.iter().rev().map(|(x, y)| (*x, -y));
        let outline = Form::Area(upper.iter().copied().chain(lower).collect());
        let mut shapes = vec![shape(View::Outside, Look::Skin, outline.clone())];
        match self.reading.si(id, nose_cone::wall) {
            Some(wall) if wall < base => {
                let inner = upper.iter().rev().map(|(x, y)| (*x, (y - wall).max(0.0)));
                let form = Form::Area(upper.iter().copied().chain(inner).collect());
                shapes.extend(both_sides(View::Cut, Look::Cut, form));
            }
            _ => {
                let words = format!(
                    "{}: wall not written down, so only the outside is drawn, dashed",
                    self.reading.path(id)
                );
                self.note(words);
                shapes.push(shape(View::Cut, Look::Unsure, outline));
            }
        }
        self.put(id, ends, View::Outside, size, shapes);
    }

    fn transition(&mut self, id: EntityId, ends: (f64, f64)) {
        let size = self.sizes(
            id,
            &[
                (transition::length, "long"),
                (transition::fore_diameter, "fore"),
                (transition::aft_diameter, "aft"),
            ],
        );
        let (Some(fore), Some(aft)) =
            (self.half(id, transition::fore_diameter), self.half(id, transition::aft_diameter))
        else {
            return self.leave_out(id, "a diameter of it is not written down");
        };
        self.taper(id, ends, fore, aft, size);
    }

    fn boat_tail(&mut self, id: EntityId, ends: (f64, f64)) {
        let size = self.sizes(id, &[(boat_tail::length, "long"), (boat_tail::aft_diameter, "aft")]);
        let (Some(fore), Some(aft)) = (self.body(id), self.half(id, boat_tail::aft_diameter)) else {
            return self.leave_out(id, "a diameter of it is not written down");
        };
        self.taper(id, ends, fore, aft, size);
    }

    fn taper(&mut self, id: EntityId, ends: (f64, f64), fore: f64, aft: f64, size: String) {
        let form = Form::Area(vec![(ends.0, -fore), (ends.0, fore), (ends.1, aft), (ends.1, -aft)]);
        let words = format!(
            "{}: no wall is part of a design, so the cut shows its outside, dashed",
            self.reading.path(id)
        );
        self.note(words);
        let shapes =
            vec![shape(View::Outside, Look::Skin, form.clone()), shape(View::Cut, Look::Unsure, form)];
        self.put(id, ends, View::Outside, size, shapes);
    }

    fn switch_band(&mut self, id: EntityId, ends: (f64, f64)) {
        let size = self.sizes(id, &[(switch_band::length, "long"), (switch_band::outer_diameter, "outside")]);
        let Some(outer) = self.half(id, switch_band::outer_diameter) else {
            return self.leave_out(id, "its outer diameter is not written down");
        };
        let mut shapes = vec![shape(View::Outside, Look::Skin, rectangle(ends.0, ends.1, -outer, outer))];
        let section = self.reading.model.holder(id, &SECTION);
        let under = section
            .and_then(|s| self.reading.part(s, section::coupler))
            .and_then(|c| self.half(c, coupler::outer_diameter));
        match under {
            Some(inner) if inner < outer => shapes.extend(walls(ends.0, ends.1, outer, inner)),
            _ => shapes.push(self.unsure(ends, outer, id, "what it sits on")),
        }
        self.put(id, ends, View::Outside, size, shapes);
    }

    fn bulkhead(&mut self, id: EntityId, ends: (f64, f64)) {
        let size = self.sizes(id, &[(bulkhead::thickness, "thick"), (bulkhead::outer_diameter, "across")]);
        let shapes = match (self.half(id, bulkhead::outer_diameter), self.body(id)) {
            (Some(outer), _) => vec![shape(View::Cut, Look::Cut, rectangle(ends.0, ends.1, -outer, outer))],
            (None, Some(body)) => {
                let words = format!(
                    "{}: diameter not written down, so it is drawn dashed, out to the body",
                    self.reading.path(id)
                );
                self.note(words);
                vec![shape(View::Cut, Look::Unsure, rectangle(ends.0, ends.1, -body, body))]
            }
            (None, None) => return self.leave_out(id, "its diameter is not written down"),
        };
        self.put(id, ends, View::Cut, size, shapes);
    }

    fn ring(&mut self, id: EntityId, ends: (f64, f64)) {
        let size = self.sizes(
            id,
            &[(ring::thickness, "thick"), (ring::outer_diameter, "outside"), (ring::inner_diameter, "hole")],
        );
        let (Some(outer), Some(inner)) =
            (self.half(id, ring::outer_diameter), self.half(id, ring::inner_diameter))
        else {
            return self.leave_out(id, "a diameter of it is not written down");
        };
        self.put(id, ends, View::Cut, size, walls(ends.0, ends.1, outer, inner));
    }

    fn lid(&mut self, id: EntityId, ends: (f64, f64)) {
        let size = self.sizes(id, &[(lid::thickness, "thick"), (lid::recess, "inside the coupler")]);
        let section = self.reading.model.holder(id, &SECTION);
        let closed = section.and_then(|s| self.reading.part(s, section::coupler));
        let across = closed.and_then(|c| {
            Some((
                self.half(c, coupler::outer_diameter)?,
                self.half(c, coupler::inner_diameter)?,
                self.ends(c).ok()?,
            ))
        });
        let Some((outer, inner, coupler)) = across else {
            return self.leave_out(id, "the coupler that it closes is not known");
        };
        // The disc outside covers the coupler's end, the one inside fits its bore.
        let edge = if self.reading.name(id) == "fore" { coupler.0 } else { coupler.1 };
        let mut shapes = Vec::new();
        for (fore, aft) in [(ends.0, ends.1.min(edge)), (ends.0.max(edge), ends.1)] {
            let inside = fore >= coupler.0 - 1e-9 && aft <= coupler.1 + 1e-9;
            if aft - fore > 1e-9 {
                let half = if inside { inner } else { outer };
                shapes.push(shape(View::Cut, Look::Cut, rectangle(fore, aft, -half, half)));
            }
        }
        self.note("lids are drawn as wide as the coupler that they close: no diameter of theirs is part of a design".to_owned());
        self.put(id, ends, View::Cut, size, shapes);
    }

    fn rods(&mut self, id: EntityId) {
        let count = self.reading.si(id, rods::count);
        let section = self.reading.model.holder(id, &SECTION);
        let around = section
            .and_then(|s| self.reading.part(s, section::coupler))
            .and_then(|c| Some((self.ends(c).ok()?, self.half(c, coupler::inner_diameter)?)));
        let (Some(((fore, aft), bore)), Some(long)) = (around, self.reading.si(id, rods::length)) else {
            return self.leave_out(id, "their length, or the coupler that they run through, is not known");
        };
        let middle = f64::midpoint(fore, aft);
        let ends = (middle - long / 2.0, middle + long / 2.0);
        let row = self.reading.part(id, rods::thread);
        let thick = row.and_then(|r| self.reading.si(r, thread::major_diameter)).unwrap_or(0.0) / 2.0;
        let at = bore / 2.0;
        let form = rectangle(ends.0, ends.1, at - thick, at + thick);
        let mut size = self.sizes(id, &[(rods::length, "long")]);
        if let (Some(count), Some(row)) = (count, row) {
            size = format!("{count} of {}, {size}", self.reading.name(row));
        }
        let path = self.reading.path(id);
        self.note(format!(
            "{path}: how far from the axis the rods stand is not part of a design; dashed, centred and halfway out"
        ));
        self.put(id, ends, View::Cut, size, both_sides(View::Cut, Look::Unsure, form));
    }

    fn mount(&self) -> Option<EntityId> {
        self.reading.model.design().store.of_kind(&MOTOR_MOUNT).next()
    }

    fn motor(&mut self, id: EntityId) {
        let size = self.sizes(id, &[(motor::length, "long"), (motor::diameter, "across")]);
        let (Some(long), Some(half)) = (self.reading.si(id, motor::length), self.half(id, motor::diameter))
        else {
            return self.leave_out(id, "its length or its diameter is not written down");
        };
        let aft = match self.mount().map(|mount| self.ends(mount)) {
            Some(Ok((_, aft))) => aft,
            Some(Err(why)) => {
                return self.leave_out(id, format!("the motor mount has no known place: {why}"));
            }
            None => return self.leave_out(id, "no motor mount is described"),
        };
        let ends = (aft - long, aft);
        let form = rectangle(ends.0, ends.1, -half, half);
        self.note("the motor is drawn from its thrust ring, at the aft end of the motor tube, forward; its nozzle is not part of a design".to_owned());
        self.put(id, ends, View::Cut, size, vec![shape(View::Cut, Look::Motor, form)]);
    }

    fn retainer(&mut self, id: EntityId) {
        let size = self.sizes(id, &[(retainer::engagement, "grip")]);
        let word = self.reading.word(id, retainer::kind).unwrap_or("kind not written down");
        let size = format!("{word}, {size}").trim_end_matches(", ").to_owned();
        if word == "fore closure screw" {
            return self
                .leave_out(id, "it grips the motor's fore closure, whose place is not part of a design");
        }
        let mount = self.reading.model.holder(id, &MOTOR_MOUNT);
        let place = mount.and_then(|m| {
            let tube = self.reading.part(m, motor_mount::tube)?;
            Some((self.ends(m).ok()?.1, self.half(tube, tube::outer_diameter)?))
        });
        let (Some((aft, half)), Some(grip)) = (place, self.reading.si(id, retainer::engagement)) else {
            return self.leave_out(id, "the motor tube, or how much of it is gripped, is not known");
        };
        let ends = (aft - grip, aft);
        let path = self.reading.path(id);
        self.note(format!("{path}: only its grip on the motor tube is known; its outside is dashed"));
        let form = rectangle(ends.0, ends.1, half, half * 1.12);
        self.put(id, ends, View::Cut, size, both_sides(View::Cut, Look::Unsure, form));
    }

    fn fin_slots(&mut self, id: EntityId, ends: (f64, f64)) {
        let size = self.sizes(id, &[(fin_slots::length, "long"), (fin_slots::width, "wide")]);
        let size = match self.reading.si(id, fin_slots::count) {
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
        self.put(
            id,
            ends,
            View::Cut,
            size,
            both_sides(View::Cut, Look::Gap, rectangle(ends.0, ends.1, inner, outer)),
        );
    }

    fn fins(&mut self, id: EntityId, ends: (f64, f64)) {
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
        let count = self.reading.si(id, fins::count);
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
        self.note(format!(
            "{path}: drawn turned into the plane of the paper; the view from aft has their clock angles"
        ));
        if let Some(count) = count {
            // The first at 0° where not said, so that the others count from it; all alike, and so evenly around.
            let first = self.reading.si(id, fins::clock).unwrap_or(0.0);
            #[allow(
                clippy::cast_possible_truncation,
                clippy::cast_sign_loss,
                reason = "a count below a million"
            )]
            for place in 0..(count as u32).min(MOST_FINS) {
                self.clocked.push(Clocked {
                    id,
                    angle: first + 2.0 * PI * f64::from(place) / count,
                    fin: true,
                });
            }
        }
        let mut shapes = Vec::new();
        for view in [View::Outside, View::Cut] {
            if count.is_some_and(|count| count < 2.0) {
                shapes.push(shape(view, look, form.clone()));
            } else {
                shapes.extend(both_sides(view, look, form.clone()));
            }
        }
        shapes.extend(self.tab(id, ends, body));
        self.put(id, ends, View::Outside, size, shapes);
    }

    /// The outline of a fin that is no trapezoid: out along its leading edge and back along its trailing one.
    fn free_outline(&self, id: EntityId, root: f64, body: f64) -> Option<Form> {
        let edge = |key: Key| match self.reading.model.field(id, key.slot) {
            Ok(Value::Curve(points)) => {
                Some(points.iter().map(|(y, x)| (root + x.si, body + y.si)).collect::<Vec<_>>())
            }
            _ => None,
        };
        let (mut outline, trailing) = (edge(fins::leading_edge)?, edge(fins::trailing_edge)?);
        outline.extend(trailing.into_iter().rev());
        Some(Form::Area(outline))
    }

    /// The tab of the fins: in the middle of its slot, since no key says where it begins.
    fn tab(&mut self, id: EntityId, root: (f64, f64), body: f64) -> Vec<Shape> {
        let Some(tab) = self.reading.part(id, fins::tab) else { return Vec::new() };
        let (Some(long), Some(deep)) =
            (self.reading.si(tab, fin_tab::length), self.reading.si(tab, fin_tab::depth))
        else {
            self.leave_out(tab, "its length or its depth is not written down");
            return Vec::new();
        };
        let section = self.reading.model.holder(id, &SECTION);
        let slots = section.and_then(|s| self.reading.part(s, section::fin_slots));
        let (fore, aft) = slots.and_then(|s| self.ends(s).ok()).unwrap_or(root);
        let middle = f64::midpoint(fore, aft);
        let path = self.reading.path(tab);
        self.note(format!(
            "{path}: where the tab begins is not part of a design; dashed, in the middle of its slot"
        ));
        let form = rectangle(middle - long / 2.0, middle + long / 2.0, body - deep, body);
        both_sides(View::Cut, Look::Unsure, form)
    }

    /// The clock angles of something around the body, where the file has them.
    fn clock(&self, id: EntityId) -> Vec<f64> {
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

    fn rail_button(&mut self, id: EntityId, ends: (f64, f64)) {
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
        let (low, high) = (body * angle.cos(), (body + height) * angle.cos());
        let form = rectangle(ends.0 - width / 2.0, ends.0 + width / 2.0, low, high);
        let look = if near_side(angle) { Look::Hole } else { Look::FarHole };
        let size = format!("{size}, at {}°", degrees(angle));
        self.put(id, ends, View::Outside, size, vec![shape(View::Outside, look, form)]);
    }

    /// The section of the altimeter that a switch arms, of which this is the way in.
    fn armed_section(&self, access: EntityId) -> Option<EntityId> {
        let switch = self.reading.model.entity(access)?.parent?;
        let store = &self.reading.model.design().store;
        let armed =
            store.of_kind(&ALTIMETER).find(|one| self.reading.part(*one, altimeter::switch) == Some(switch));
        self.reading.model.holder(armed?, &SECTION)
    }

    /// A camera, a cover over cords, an aerial.
    fn protuberance(&mut self, id: EntityId, ends: (f64, f64)) {
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
                (if near_side(angle) { Look::Skin } else { Look::FarHole }, angle.cos())
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
    fn holes(&mut self, id: EntityId, kind: &'static Kind, ends: (f64, f64)) {
        let (count, across, body) = if kind == &VENT {
            (self.reading.si(id, vent::count), self.reading.quantity(id, vent::diameter), self.body(id))
        } else if kind == &SWITCH_ACCESS {
            let section = self.armed_section(id);
            let body = section.and_then(|s| self.reading.number(s, "body_diameter").ok());
            (Some(1.0), self.reading.quantity(id, switch_access::diameter), body.map(|d| d / 2.0))
        } else {
            let (count, row) = if kind == &SHEAR_PINS {
                (self.reading.si(id, shear_pins::count), self.reading.part(id, shear_pins::thread))
            } else {
                (self.reading.si(id, fastening::count), self.reading.part(id, fastening::thread))
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
    fn around(
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
            let told: Vec<String> = angles.iter().map(|a| format!("{}°", degrees(*a))).collect();
            size = format!("{size}, at {}", told.join(", "));
        }
        for angle in angles {
            self.clocked.push(Clocked { id, angle, fin: false });
            let look = if near_side(angle) { Look::Hole } else { Look::FarHole };
            let centre = (ends.0, body * angle.cos());
            shapes.push(shape(View::Outside, look, Form::Dot { centre, radius }));
        }
        self.put(id, ends, home, size, shapes);
    }

    fn joint(&mut self, id: EntityId, ends: (f64, f64)) {
        let between = self.reading.things(id, joint::between);
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

    /// The room of a section's tube that nothing else fills, m: where parachutes can lie.
    fn room(&self, section: EntityId) -> Option<(f64, f64)> {
        let (tube, _) = self.bore(section)?;
        let mut taken: Vec<(f64, f64)> = self
            .parts
            .iter()
            .filter(|p| {
                let kind = self.reading.model.entity(p.id).map(|e| e.kind);
                let fills =
                    [&SHOULDER, &COUPLER, &BULKHEAD, &RING, &MOTOR].map(|k| kind == Some(k)).contains(&true)
                        || (kind == Some(&TUBE) && self.reading.model.holder(p.id, &MOTOR_MOUNT).is_some());
                fills && p.fore < tube.1 && p.aft > tube.0
            })
            .map(|p| (p.fore, p.aft))
            .collect();
        taken.sort_by(|a, b| a.0.total_cmp(&b.0));
        let mut largest = (tube.0, tube.0);
        let mut from = tube.0;
        for (fore, aft) in taken.into_iter().chain([(tube.1, tube.1)]) {
            if fore - from > largest.1 - largest.0 {
                largest = (from, fore);
            }
            from = from.max(aft);
        }
        (largest.1 > largest.0).then_some(largest)
    }

    /// The ends and the bore of a section's body tube.
    fn bore(&self, section: EntityId) -> Option<((f64, f64), f64)> {
        let tube = self.reading.part(section, section::tube)?;
        Some((self.ends(tube).ok()?, self.half(tube, tube::inner_diameter)?))
    }

    fn parachute(&mut self, id: EntityId) {
        let size = self.sizes(id, &[(parachute::diameter, "across"), (parachute::packed_volume, "packed")]);
        let Some(section) = self.reading.part(id, parachute::packed_in) else {
            return self.leave_out(id, "the section that it is packed in is not written down");
        };
        let Some(volume) = self.reading.si(id, parachute::packed_volume) else {
            return self.leave_out(id, "its packed volume is not written down");
        };
        let (Some((_, bore)), Some(room)) = (self.bore(section), self.room(section)) else {
            return self.leave_out(id, "no room for it is known in its section");
        };
        // Bundles of one section lie one behind the other.
        let from = self
            .parts
            .iter()
            .filter(|p| self.reading.model.entity(p.id).is_some_and(|e| e.kind == &PARACHUTE))
            .filter(|p| self.reading.part(p.id, parachute::packed_in) == Some(section))
            .map(|p| p.aft)
            .fold(room.0, f64::max);
        let long = volume / (PI * bore * bore);
        let ends = (from, from + long);
        if ends.1 > room.1 + 1e-9 {
            let (path, over) = (self.reading.path(id), self.length(ends.1 - room.1));
            self.note(format!("{path}: its bundle is longer than the room that is drawn, by {over}"));
        }
        self.note(
            "parachutes are drawn as long as their packed volume is in the full bore, from the fore end of their room; \
             where they lie is not part of a design, and their cords are not drawn"
                .to_owned(),
        );
        let form = rectangle(ends.0, ends.1, -bore, bore);
        self.put(id, ends, View::Cut, size, vec![shape(View::Cut, Look::Cloth, form)]);
    }
}

/// Seen from aft a clock runs from 0° at the top to the right, which is away from a reader who has the nose on the left.
fn near_side(angle: f64) -> bool {
    angle.sin() <= 1e-9
}

fn degrees(angle: f64) -> f64 {
    (angle.to_degrees() * 10.0).round() / 10.0
}
