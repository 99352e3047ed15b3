//! What the body looks like: tubes, couplers, the nose cone and tapers; and who draws the other kinds.

use super::{Clocked, Drawing, DrawnShape, Form, Look, Mark, Part, Undrawn, View};
use crate::design::{
    BOAT_TAIL, BULKHEAD, COUPLER, FASTENING, FIN_SLOTS, FINS, HARNESS, JOINT, LID, MOTOR, MOTOR_MOUNT,
    NOSE_CONE, PARACHUTE, PROTUBERANCE, RAIL_BUTTON, RETAINER, RING, RODS, SECTION, SHEAR_PINS, SHOULDER,
    SWITCH_ACCESS, SWITCH_BAND, THRUST_PLATE, TRANSITION, TUBE, VENT, boat_tail, coupler, fastening,
    nose_cone, section, shoulder, switch_band, transition, tube,
};
use crate::quantity::{Dimensional, Length};
use crate::report::reading::Reading;
use crate::vocabulary::{EntityId, EntityType, IdOf, Key, Typed};

/// Points along a nose cone.
const OUTLINE: u32 = 48;

/// The types that stand for themselves in the drawing, in the order in which they are painted.
const PAINTED: &[&EntityType] = &[
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
    for entity_type in PAINTED {
        for id in store.of_type(entity_type) {
            pen.entity(id, entity_type);
        }
    }
    let sections: Vec<(String, f64, f64)> = store
        .of_type(&SECTION)
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

pub(super) struct Pen<'m> {
    pub(super) reading: Reading<'m>,
    pub(super) parts: Vec<Part>,
    pub(super) undrawn: Vec<Undrawn>,
    pub(super) notes: Vec<String>,
    pub(super) clocked: Vec<Clocked>,
}

pub(super) fn shape(view: View, look: Look, form: Form) -> DrawnShape {
    DrawnShape { view, look, form }
}

pub(super) fn rectangle(fore: f64, aft: f64, low: f64, high: f64) -> Form {
    Form::Area(vec![(fore, low), (aft, low), (aft, high), (fore, high)])
}

/// The same form on the other side of the axis.
pub(super) fn mirrored(form: &Form) -> Form {
    let turn = |points: &[(f64, f64)]| points.iter().map(|(x, y)| (*x, -y)).collect();
    match form {
        Form::Area(points) => Form::Area(turn(points)),
        Form::Line(points) => Form::Line(turn(points)),
        Form::Dot { centre, radius } => Form::Dot { centre: (centre.0, -centre.1), radius: *radius },
    }
}

/// A form above the axis and the same below.
pub(super) fn both_sides(view: View, look: Look, form: Form) -> Vec<DrawnShape> {
    let below = mirrored(&form);
    vec![shape(view, look, form), shape(view, look, below)]
}

/// The walls of a tube that is cut open.
pub(super) fn walls(fore: f64, aft: f64, outer: f64, inner: f64) -> Vec<DrawnShape> {
    both_sides(View::Cut, Look::Cut, rectangle(fore, aft, inner, outer))
}

impl Pen<'_> {
    pub(super) fn ends(&self, id: EntityId) -> Result<(f64, f64), String> {
        let found = self.reading.model.ends_of(id);
        found.map(|(fore, aft)| (fore.si(), aft.si())).map_err(|gap| self.reading.why(&gap))
    }

    pub(super) fn leave_out(&mut self, id: EntityId, why: impl Into<String>) {
        self.undrawn.push(Undrawn { id, path: self.reading.path(id), why: why.into() });
    }

    pub(super) fn note(&mut self, words: String) {
        if !self.notes.contains(&words) {
            self.notes.push(words);
        }
    }

    pub(super) fn put(
        &mut self,
        id: EntityId,
        ends: (f64, f64),
        home: View,
        size: String,
        shapes: Vec<DrawnShape>,
    ) {
        let entity_type = self.reading.model.entity(id).map_or("", |e| e.entity_type.name).replace('_', " ");
        let path = self.reading.path(id);
        let what = self.words(id, &entity_type);
        // A motor tube lies inside whatever else is drawn.
        let inmost = entity_type == "tube" && self.reading.model.holder(id, &MOTOR_MOUNT).is_some();
        let order =
            PAINTED.iter().position(|k| self.reading.model.entity(id).is_some_and(|e| e.entity_type == *k));
        let layer = if inmost { 0 } else { order.map_or(0, |at| at + 1) };
        self.parts.push(Part { id, path, what, size, fore: ends.0, aft: ends.1, home, layer, shapes });
    }

    /// What a part is called: its kind, and its name where that says more.
    pub(super) fn words(&self, id: EntityId, entity_type: &str) -> String {
        let name = self.reading.name(id);
        let plain = name.replace('_', " ") == entity_type;
        match entity_type {
            "tube" if self.reading.model.holder(id, &MOTOR_MOUNT).is_some() => "motor tube".to_owned(),
            "tube" => "body tube".to_owned(),
            "ring" => format!("centring ring {name}"),
            "lid" => format!("lid {name}"),
            _ if plain => entity_type.to_owned(),
            "fastening" => "screws or rivets".to_owned(),
            "shoulder" => name.replace('_', " "),
            _ => format!("{entity_type} {name}"),
        }
    }

    pub(super) fn length(&self, metres: f64) -> String {
        self.reading.length(metres)
    }

    pub(super) fn lengths<E: Typed, T: Dimensional>(
        &self,
        what: &str,
        id: impl IdOf<E>,
        key: Key<E, T>,
    ) -> Option<String> {
        self.reading.quantity(id, key).map(|q| format!("{} {what}", self.reading.model.shown(q)))
    }

    /// Sizes as they are written, joined.
    pub(super) fn sizes<E: Typed>(&self, id: impl IdOf<E>, asked: &[(Key<E, Length>, &str)]) -> String {
        let said: Vec<String> = asked.iter().filter_map(|(key, what)| self.lengths(what, id, *key)).collect();
        said.join(", ")
    }

    pub(super) fn half<E: Typed>(&self, id: impl IdOf<E>, key: Key<E, Length>) -> Option<f64> {
        self.reading.si(id, key).map(|d| d / 2.0)
    }

    /// Half the outside diameter of the section that a part stands in.
    pub(super) fn body(&self, id: EntityId) -> Option<f64> {
        let section = self.reading.model.holder(id, &SECTION)?;
        self.reading.number(section, "body_diameter").ok().map(|d| d / 2.0)
    }

    pub(super) fn entity(&mut self, id: EntityId, entity_type: &'static EntityType) {
        if entity_type == &MOTOR {
            return self.motor(id);
        } else if entity_type == &RODS {
            return self.rods(id);
        } else if entity_type == &RETAINER {
            return self.retainer(id);
        } else if entity_type == &PARACHUTE {
            return self.parachute(id);
        } else if entity_type == &HARNESS {
            return self.leave_out(id, "a cord lies where it is packed; only its ends have a place");
        } else if entity_type == &THRUST_PLATE {
            return self.leave_out(id, "its place and its diameters are not part of a design");
        }
        if entity_type == &FASTENING
            && matches!(self.reading.word(id, fastening::kind), Some("friction" | "epoxy" | "tape"))
            && self.reading.model.has(id, fastening::at.slot) == Ok(false)
        {
            return self.leave_out(id, "it goes all the way around the joint");
        }
        let ends = match self.ends(id) {
            Ok(ends) => ends,
            Err(why) => return self.leave_out(id, why),
        };
        if entity_type == &TUBE {
            self.tube(id, ends);
        } else if entity_type == &COUPLER {
            self.coupler(id, ends);
        } else if entity_type == &SHOULDER {
            self.shoulder(id, ends);
        } else if entity_type == &NOSE_CONE {
            self.nose_cone(id, ends);
        } else if entity_type == &TRANSITION {
            self.transition(id, ends);
        } else if entity_type == &BOAT_TAIL {
            self.boat_tail(id, ends);
        } else if entity_type == &SWITCH_BAND {
            self.switch_band(id, ends);
        } else if entity_type == &BULKHEAD {
            self.bulkhead(id, ends);
        } else if entity_type == &RING {
            self.ring(id, ends);
        } else if entity_type == &LID {
            self.lid(id, ends);
        } else if entity_type == &FIN_SLOTS {
            self.fin_slots(id, ends);
        } else if entity_type == &FINS {
            self.fins(id, ends);
        } else if entity_type == &RAIL_BUTTON {
            self.rail_button(id, ends);
        } else if entity_type == &PROTUBERANCE {
            self.protuberance(id, ends);
        } else if entity_type == &JOINT {
            self.joint(id, ends);
        } else {
            self.holes(id, entity_type, ends);
        }
    }

    pub(super) fn tube(&mut self, id: EntityId, ends: (f64, f64)) {
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
    pub(super) fn unsure(&mut self, ends: (f64, f64), half: f64, id: EntityId, what: &str) -> DrawnShape {
        let words = format!(
            "{}: {what} not written down, so only the outside is drawn, dashed",
            self.reading.path(id)
        );
        self.note(words);
        shape(View::Cut, Look::Unsure, rectangle(ends.0, ends.1, -half, half))
    }

    pub(super) fn coupler(&mut self, id: EntityId, ends: (f64, f64)) {
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
                .entities(section, section::altimeters)
                .into_iter()
                .chain(self.reading.entities(section, section::recorders))
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

    pub(super) fn shoulder(&mut self, id: EntityId, ends: (f64, f64)) {
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

    pub(super) fn nose_cone(&mut self, id: EntityId, ends: (f64, f64)) {
        let mut size =
            self.sizes(id, &[(nose_cone::length, "long"), (nose_cone::outer_diameter, "at the base")]);
        if let Some(word) = self.reading.word(id, nose_cone::shape) {
            size = format!("{word}, {size}");
        }
        let Some(base) = self.half(id, nose_cone::outer_diameter) else {
            return self.leave_out(id, "its outer diameter is not written down");
        };
        let long = ends.1 - ends.0;
        let cone = self.reading.model.as_a(id);
        let Some(Ok(nose)) = cone.map(|cone| self.reading.model.nose_of(cone)) else {
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

    pub(super) fn transition(&mut self, id: EntityId, ends: (f64, f64)) {
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

    pub(super) fn boat_tail(&mut self, id: EntityId, ends: (f64, f64)) {
        let size = self.sizes(id, &[(boat_tail::length, "long"), (boat_tail::aft_diameter, "aft")]);
        let (Some(fore), Some(aft)) = (self.body(id), self.half(id, boat_tail::aft_diameter)) else {
            return self.leave_out(id, "a diameter of it is not written down");
        };
        self.taper(id, ends, fore, aft, size);
    }

    pub(super) fn taper(&mut self, id: EntityId, ends: (f64, f64), fore: f64, aft: f64, size: String) {
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

    pub(super) fn switch_band(&mut self, id: EntityId, ends: (f64, f64)) {
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
}
