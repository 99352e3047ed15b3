//! What shows when the rocket is cut open: bulkheads, rings, lids, rods, the motor and what holds it, parachutes.

use std::f64::consts::PI;

use super::parts::{Pen, both_sides, rectangle, shape, walls};
use super::{Look, View};
use crate::design::{
    BULKHEAD, COUPLER, MOTOR, MOTOR_MOUNT, PARACHUTE, RING, SECTION, SHOULDER, TUBE, bulkhead, coupler, lid,
    motor, motor_mount, parachute, retainer, ring, rods, section, tube,
};
use crate::tables::thread;
use crate::vocabulary::EntityId;

impl Pen<'_> {
    pub(super) fn bulkhead(&mut self, id: EntityId, ends: (f64, f64)) {
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

    pub(super) fn ring(&mut self, id: EntityId, ends: (f64, f64)) {
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

    pub(super) fn lid(&mut self, id: EntityId, ends: (f64, f64)) {
        let size = self.sizes(id, &[(lid::thickness, "thick"), (lid::recess, "inside the coupler")]);
        let section = self.reading.model.holder(id, &SECTION);
        let closed = section.and_then(|s| self.reading.part(s, section::coupler));
        let across = closed.and_then(|c| {
            Some((
                self.half(c, coupler::outer_diameter)?,
                self.half(c, coupler::inner_diameter)?,
                self.ends(c.any()).ok()?,
            ))
        });
        let Some((outer, inner, coupler)) = across else {
            return self.leave_out(id, "the coupler that it closes is not known");
        };
        // The disc outside covers the coupler's end, the one inside fits its bore.
        let edge = if ends.0 + ends.1 < coupler.0 + coupler.1 { coupler.0 } else { coupler.1 };
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

    pub(super) fn rods(&mut self, id: EntityId) {
        let count = self.reading.count(id, rods::count);
        let section = self.reading.model.holder(id, &SECTION);
        let around = section
            .and_then(|s| self.reading.part(s, section::coupler))
            .and_then(|c| Some((self.ends(c.any()).ok()?, self.half(c, coupler::inner_diameter)?)));
        let (Some(((fore, aft), bore)), Some(long)) = (around, self.reading.si(id, rods::length)) else {
            return self.leave_out(id, "their length, or the coupler that they run through, is not known");
        };
        let middle = f64::midpoint(fore, aft);
        let ends = (middle - long / 2.0, middle + long / 2.0);
        let row = self.reading.part(id, rods::thread);
        let thick = row.and_then(|r| self.reading.si(r, thread::major_diameter)).unwrap_or(0.0) / 2.0;
        let circle = self.half(id, rods::bolt_circle);
        let at = circle.unwrap_or(bore / 2.0);
        let form = rectangle(ends.0, ends.1, at - thick, at + thick);
        let mut size = self.sizes(id, &[(rods::length, "long")]);
        if let (Some(count), Some(row)) = (count, row) {
            size = format!("{count} of {}, {size}", self.reading.name(row.any()));
        }
        let path = self.reading.path(id);
        let where_across =
            if circle.is_none() { ", and halfway out, as no `bolt_circle` is written" } else { "" };
        self.note(format!(
            "{path}: how far the rods stand out at either end is not part of a design; dashed, centred along the bay{where_across}"
        ));
        self.put(id, ends, View::Cut, size, both_sides(View::Cut, Look::Unsure, form));
    }

    pub(super) fn mount(&self) -> Option<EntityId> {
        self.reading.model.design().store.of_type(&MOTOR_MOUNT).next()
    }

    pub(super) fn motor(&mut self, id: EntityId) {
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

    pub(super) fn retainer(&mut self, id: EntityId) {
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

    /// The room of a section's tube that nothing else fills, m: where parachutes can lie.
    pub(super) fn room(&self, section: EntityId) -> Option<(f64, f64)> {
        let (tube, _) = self.bore(section)?;
        let mut taken: Vec<(f64, f64)> = self
            .parts
            .iter()
            .filter(|p| {
                let kind = self.reading.model.entity(p.id).map(|e| e.entity_type);
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
    pub(super) fn bore(&self, section: EntityId) -> Option<((f64, f64), f64)> {
        let tube = self.reading.part(section, section::tube)?;
        Some((self.ends(tube.any()).ok()?, self.half(tube, tube::inner_diameter)?))
    }

    pub(super) fn parachute(&mut self, id: EntityId) {
        let size = [
            self.lengths("across", id, parachute::diameter),
            self.lengths("packed", id, parachute::packed_volume),
        ]
        .into_iter()
        .flatten()
        .collect::<Vec<_>>()
        .join(", ");
        let Some(section) = self.reading.part(id, parachute::packed_in) else {
            return self.leave_out(id, "the section that it is packed in is not written down");
        };
        let Some(volume) = self.reading.si(id, parachute::packed_volume) else {
            return self.leave_out(id, "its packed volume is not written down");
        };
        let (Some((_, bore)), Some(room)) = (self.bore(section.any()), self.room(section.any())) else {
            return self.leave_out(id, "no room for it is known in its section");
        };
        // Bundles of one section lie one behind the other.
        let from = self
            .parts
            .iter()
            .filter(|p| self.reading.model.entity(p.id).is_some_and(|e| e.entity_type == &PARACHUTE))
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
