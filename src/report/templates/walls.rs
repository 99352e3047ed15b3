//! What is marked on each round wall: holes, slots, fins, buttons, lines along it, rings around a motor tube.

use super::names::{LARGEST, LeftOut, MM, degrees, short, slug};
use crate::design::{
    COUPLER, FINS, MOTOR_MOUNT, PROTUBERANCE, RAIL_BUTTON, SECTION, SHOULDER, SWITCH_BAND, Section, TUBE,
    Tube, fin_slots, fins, motor_mount, protuberance, rail_button, section, tube,
};
use crate::language::label_of;
use crate::model::{DrilledPart, Mark};
use crate::quantity::Angle;
use crate::report::reading::Reading;
use crate::review::drill_words;
use crate::vocabulary::{Edge, EntityId, Id};
use crate::yaml::clean_line;

/// More marks than this on one wall are not drawn one by one.
const MOST_MARKS: usize = 400;
/// What a mark on a wall is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Kind {
    /// A hole of a known size; across 0 where only its place is known.
    Hole,
    /// A slot to cut.
    Slot,
    /// Where a fin stands.
    Fin,
    /// What stands on the wall and is not drilled.
    Outside,
}

/// A mark at a clock angle.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct WallMark {
    pub(super) kind: Kind,
    /// What it is for.
    pub(super) path: String,
    /// Which of several.
    pub(super) number: usize,
    /// Its clock angle, rad.
    pub(super) clock: f64,
    /// Its fore and its aft end from the fore end of the wall, mm.
    pub(super) from: f64,
    pub(super) to: f64,
    /// Its diameter, or how wide it is around the wall, mm.
    pub(super) across: f64,
    /// What is written beside it.
    pub(super) words: Vec<String>,
}

/// A wall with what is marked on it. Lengths are in mm.
#[derive(Clone, Debug)]
pub(super) struct Wall {
    pub(super) path: String,
    /// What a file of it is called after.
    pub(super) slug: String,
    pub(super) label: String,
    pub(super) diameter: f64,
    /// Whether the diameter was measured on the part in hand.
    pub(super) measured: bool,
    pub(super) length: f64,
    pub(super) marks: Vec<WallMark>,
    /// Lines along the whole wall: the angle, rad, and what it is.
    pub(super) along: Vec<(f64, String)>,
    /// Lines around it: how far from the fore end, mm, and what it is.
    pub(super) rounds: Vec<(f64, String)>,
}

/// Collects the walls of a rocket.
pub(super) struct Walls<'m, 'l> {
    pub(super) r: Reading<'m>,
    pub(super) drilled: &'l [DrilledPart],
    pub(super) left_out: &'l mut Vec<LeftOut>,
}

/// A wall that is being collected, with its fore end along the rocket, m.
struct Open {
    id: EntityId,
    fore: f64,
    wall: Wall,
}

impl Walls<'_, '_> {
    /// The walls that anything is marked on, from the nose aft.
    pub(super) fn all(mut self) -> Vec<Wall> {
        let store = &self.r.model.design().store;
        let kinds = [&TUBE, &COUPLER, &SWITCH_BAND, &SHOULDER];
        let mut found: Vec<(f64, Wall)> = Vec::new();
        for (id, entity) in store.all().filter(|(_, entity)| kinds.contains(&entity.entity_type)) {
            let in_motor_mount = self.r.model.holder(id, &MOTOR_MOUNT).is_some();
            let is_asked = in_motor_mount || self.marked(id);
            let Some(mut open) = self.open(id, is_asked) else { continue };
            self.holes(&mut open);
            if entity.entity_type == &TUBE {
                match (self.r.model.as_a::<Tube>(id), self.r.model.holder(id, &SECTION)) {
                    (Some(tube), Some(section)) if in_motor_mount => {
                        self.motor_tube(&mut open, tube, section)
                    }
                    (Some(tube), Some(section)) => self.body_tube(&mut open, tube, section),
                    _ => {}
                }
            }
            if open.wall.marks.len() > MOST_MARKS {
                self.leave_out(open.wall.path, format!("it has more than {MOST_MARKS} marks"));
            } else if !open.wall.marks.is_empty() || !open.wall.rounds.is_empty() {
                found.push((open.fore, open.wall));
            }
        }
        self.without_wall();
        found.sort_by(|a, b| a.0.total_cmp(&b.0));
        found.into_iter().map(|(_, wall)| wall).collect()
    }

    fn leave_out(&mut self, what: impl Into<String>, why: impl Into<String>) {
        let one = LeftOut { what: what.into(), why: why.into() };
        if !self.left_out.contains(&one) {
            self.left_out.push(one);
        }
    }

    /// Whether something is marked on a part: a hole, or what stands on the tube of a section.
    fn marked(&self, id: EntityId) -> bool {
        let model = self.r.model;
        if self.drilled.iter().any(|line| line.part == id && line.mark != Ok(Mark::Face)) {
            return true;
        }
        let Some(section) = model.holder(id, &SECTION) else { return false };
        let is_tube = model.as_a::<Tube>(id).is_some();
        let stands = [&FINS, &RAIL_BUTTON, &PROTUBERANCE].into_iter().any(|kind| {
            model.design().store.of_type(kind).any(|one| model.holder(one, &SECTION) == Some(section))
        });
        is_tube && stands
    }

    /// A wall with its sizes. What is not known of one that has marks is told.
    fn open(&mut self, id: EntityId, is_asked: bool) -> Option<Open> {
        let path = self.r.path(id);
        let model = self.r.model;
        let ends = model.ends_of(id);
        let sizes = crate::model::both(self.r.number(id, "outer_diameter"), ends);
        let (diameter, (fore, aft)) = match sizes {
            Ok(sizes) => sizes,
            Err(gap) => {
                if is_asked {
                    self.leave_out(path, self.r.why(&gap));
                }
                return None;
            }
        };
        let (diameter, length) = (diameter * MM, (aft.si() - fore.si()) * MM);
        if !(diameter > 0.5 && length > 0.5 && diameter < LARGEST && length < LARGEST) {
            if is_asked {
                self.leave_out(path, "it is too small or too large to be drawn on paper");
            }
            return None;
        }
        let slot = model.entity(id).and_then(|entity| {
            let slot = entity.entity_type.slot("outer_diameter")?;
            Some(entity.slot(slot).measured.is_some())
        });
        let is_motor_tube = model.holder(id, &MOTOR_MOUNT).is_some() && model.as_a::<Tube>(id).is_some();
        let label = match is_motor_tube {
            true => {
                let section = model.holder(id, &SECTION).map(|section| self.r.name(section));
                format!("the motor tube of {}", section.unwrap_or_default())
            }
            false => label_of(model, id),
        };
        let wall = Wall {
            slug: slug(&self.r.short_path(id)),
            label: clean_line(&label).into_owned(),
            path,
            diameter,
            measured: slot.unwrap_or(false),
            length,
            marks: Vec::new(),
            along: Vec::new(),
            rounds: Vec::new(),
        };
        Some(Open { id, fore: fore.si(), wall })
    }

    /// The holes through a wall.
    fn holes(&mut self, open: &mut Open) {
        for line in self.drilled.iter().filter(|line| line.part == open.id) {
            let path = self.r.path(line.owner);
            let named = format!("{} in {}", short(self.r, line), open.wall.label);
            let place = match crate::model::both(line.mark.clone(), line.clock.clone()) {
                Ok((Mark::Along(distance, edge), angles)) => (distance.si() * MM, edge, angles),
                Ok(_) => continue,
                Err(gap) => {
                    self.leave_out(named, self.r.why(&gap));
                    continue;
                }
            };
            let (distance, edge, angles) = place;
            let at = if edge == Edge::Fore { distance } else { open.wall.length - distance };
            let (across, size) = match &line.drill {
                Ok(drill) if drill.si * MM < LARGEST => (drill.si * MM, drill_words(self.r.model, *drill)),
                Ok(_) => (0.0, "drill out of all reason".to_owned()),
                Err(gap) => {
                    self.leave_out(format!("the size of {named}"), self.r.why(gap));
                    (0.0, "drill not known".to_owned())
                }
            };
            let then = if line.tapped == Ok(true) { ", then tap" } else { "" };
            if !self.is_on(open, (at, at), &named) || !self.is_few(angles.len(), &named) {
                continue;
            }
            for (number, clock) in angles.into_iter().enumerate() {
                let what = format!("{}, {}°", short(self.r, line), degrees(clock));
                open.wall.marks.push(WallMark {
                    kind: Kind::Hole,
                    path: path.clone(),
                    number,
                    clock: clock.si(),
                    from: at,
                    to: at,
                    across,
                    words: vec![clean_line(&what).into_owned(), format!("{size}{then}")],
                });
            }
        }
    }

    /// Whether a place lies on the wall; told where it does not.
    fn is_on(&mut self, open: &Open, (from, to): (f64, f64), named: &str) -> bool {
        let is_on = from.is_finite() && to.is_finite() && to >= -1e-6 && from <= open.wall.length + 1e-6;
        if !is_on {
            self.leave_out(named, format!("its place lies beside {}", open.wall.label));
        }
        is_on
    }

    fn is_few(&mut self, count: usize, named: &str) -> bool {
        if count > MOST_MARKS {
            self.leave_out(named, format!("there are more than {MOST_MARKS} of them"));
        }
        count <= MOST_MARKS
    }

    /// The place of a part on a wall, its ends from the wall's fore end, mm.
    fn place(&mut self, open: &Open, id: EntityId) -> Option<(f64, f64)> {
        let named = label_of(self.r.model, id);
        match self.r.model.ends_of(id) {
            Ok((fore, aft)) => {
                let ends = ((fore.si() - open.fore) * MM, (aft.si() - open.fore) * MM);
                self.is_on(open, ends, &named).then_some(ends)
            }
            Err(gap) => {
                self.leave_out(clean_line(&named), self.r.why(&gap));
                None
            }
        }
    }

    /// The clock angles of the fins of a section.
    fn fin_angles(&mut self, set: Id<crate::design::Fins>) -> Vec<Angle> {
        let named = label_of(self.r.model, set.any());
        let count = self.r.count(set, fins::count).unwrap_or(0.0);
        if count > 100.0 {
            self.leave_out(named, "there are more than 100 of them");
            return Vec::new();
        }
        match self.r.model.fin_lines(set) {
            Ok(angles) => angles,
            Err(gap) => {
                self.leave_out(named, self.r.why(&gap));
                Vec::new()
            }
        }
    }

    fn body_tube(&mut self, open: &mut Open, tube: Id<Tube>, section: EntityId) {
        if let Some(seam) = self.r.si(tube, tube::seam) {
            open.wall.along.push((seam, "seam of the tube".to_owned()));
        }
        let Some(section) = self.r.model.as_a::<Section>(section) else { return };
        if let Some(set) = self.r.part(section, section::fins) {
            let angles = self.fin_angles(set);
            if let Some(ends) = self.place(open, set.any()) {
                let thick = self.r.si(set, fins::thickness).unwrap_or(0.0) * MM;
                self.on_lines(open, (set.any(), Kind::Fin), &angles, ends, thick);
            }
            if let Some(slots) = self.r.part(section, section::fin_slots)
                && let Some(ends) = self.place(open, slots.any())
            {
                match self.r.quantity(slots, fin_slots::width) {
                    Some(width) => {
                        self.on_lines(open, (slots.any(), Kind::Slot), &angles, ends, width.si * MM);
                    }
                    None => self.leave_out(
                        self.r.path(slots.any()),
                        format!("`{}.width` is not written down", self.r.path(slots.any())),
                    ),
                }
            }
        } else if let Some(slots) = self.r.part(section, section::fin_slots) {
            self.leave_out(
                self.r.path(slots.any()),
                format!(
                    "`{}.fins` are not written down, which give the clock angles",
                    self.r.path(section.any())
                ),
            );
        }
        for id in self.r.entities(section, section::rail_buttons) {
            self.rail_button(open, id);
        }
        for id in self.r.entities(section, section::protuberances) {
            let Some(one) = self.r.model.as_a::<crate::design::Protuberance>(id) else { continue };
            let Some(ends) = self.place(open, id) else { continue };
            let named = clean_line(&label_of(self.r.model, id)).into_owned();
            match (self.r.si(one, protuberance::clock), self.r.si(one, protuberance::width)) {
                (Some(clock), Some(width)) if width * MM < LARGEST => {
                    open.wall.marks.push(WallMark {
                        kind: Kind::Outside,
                        path: self.r.path(id),
                        number: 0,
                        clock,
                        from: ends.0,
                        to: ends.1,
                        across: width * MM,
                        words: vec![format!("{named}, {}°", degrees(Angle::from_si(clock)))],
                    });
                }
                _ => self.leave_out(
                    named,
                    format!("`{0}.clock` or `{0}.width` is not written down", self.r.path(id)),
                ),
            }
        }
    }

    /// A button or guide: its line along the tube; its hole is among the holes, and a bonded one has none.
    fn rail_button(&mut self, open: &mut Open, id: EntityId) {
        let Some(button) = self.r.model.as_a::<crate::design::RailButton>(id) else { return };
        let path = self.r.path(id);
        let is_bonded = self.r.word(button, rail_button::into) == Some("bonded outside");
        let Some(clock) = self.r.si(button, rail_button::clock) else {
            // That its hole has no angle is told with the holes.
            if is_bonded {
                let named = clean_line(&label_of(self.r.model, id)).into_owned();
                self.leave_out(named, format!("`{path}.clock` is not written down"));
            }
            return;
        };
        if !open.wall.along.iter().any(|(angle, words)| words == RAIL && (angle - clock).abs() < 1e-6) {
            open.wall.along.push((clock, RAIL.to_owned()));
        }
        if is_bonded && let Some(ends) = self.place(open, id) {
            let named = clean_line(&label_of(self.r.model, id)).into_owned();
            open.wall.marks.push(WallMark {
                kind: Kind::Outside,
                path,
                number: 0,
                clock,
                from: ends.0,
                to: ends.1,
                across: self.r.si(button, rail_button::width).unwrap_or(0.0) * MM,
                words: vec![
                    format!("{named}, {}°", degrees(Angle::from_si(clock))),
                    "bonded here".to_owned(),
                ],
            });
        }
    }

    /// What stands on the lines of the fins: fins, or their slots.
    fn on_lines(
        &mut self,
        open: &mut Open,
        (id, kind): (EntityId, Kind),
        angles: &[Angle],
        ends: (f64, f64),
        across: f64,
    ) {
        let path = self.r.path(id);
        for (number, clock) in angles.iter().enumerate() {
            let what = match kind {
                Kind::Slot => format!("slot {}, {}°", number + 1, degrees(*clock)),
                _ => format!("fin {}, {}°", number + 1, degrees(*clock)),
            };
            let long = self.r.length((ends.1 - ends.0) / MM);
            let size = match kind {
                Kind::Slot => format!("{} wide, {long} long", self.r.length(across / MM)),
                _ => format!("root {long}"),
            };
            open.wall.marks.push(WallMark {
                kind,
                path: path.clone(),
                number,
                clock: clock.si(),
                from: ends.0,
                to: ends.1,
                across: across.min(LARGEST),
                words: vec![what, size],
            });
        }
    }

    /// The rings on a motor tube, and where the tabs of the fins meet it.
    fn motor_tube(&mut self, open: &mut Open, _tube: Id<Tube>, section: EntityId) {
        let Some(section) = self.r.model.as_a::<Section>(section) else { return };
        if let Some(mount) = self.r.part(section, section::motor_mount) {
            for ring in self.r.entities(mount, motor_mount::rings) {
                let named = format!("ring {}", self.r.name(ring));
                if let Some((fore, aft)) = self.place(open, ring) {
                    open.wall.rounds.push((fore, format!("{named}, fore face")));
                    open.wall.rounds.push((aft, format!("{named}, aft face")));
                }
            }
        }
        // Tabs stand on the motor tube along these lines, from slot to slot.
        if let (Some(set), Some(_)) =
            (self.r.part(section, section::fins), self.r.part(section, section::fin_slots))
        {
            for (number, clock) in self.fin_angles(set).into_iter().enumerate() {
                open.wall.along.push((clock.si(), format!("line of fin {}", number + 1)));
            }
        }
    }

    /// Holes in what is no round wall of one diameter, and holes of which nobody knows the wall.
    fn without_wall(&mut self) {
        let model = self.r.model;
        for line in self.drilled.iter().filter(|line| line.mark != Ok(Mark::Face)) {
            let kind = model.entity(line.part).map(|entity| entity.entity_type);
            if [&TUBE, &COUPLER, &SWITCH_BAND, &SHOULDER].iter().any(|round| kind == Some(*round)) {
                continue;
            }
            let named = short(self.r, line);
            if line.part == line.owner {
                let why = match self.r.by_name(line.owner, "holes") {
                    Some(Ok(crate::vocabulary::Value::Entity(holes))) => self.r.by_name(holes, "from_edges"),
                    _ => None,
                };
                let why = match why {
                    Some(Err(gap)) => self.r.why(&gap),
                    _ => "the wall that it goes through is not known".to_owned(),
                };
                self.leave_out(named, why);
            } else if line.mark.is_ok()
                && ![Some(&crate::design::RING), Some(&crate::design::BULKHEAD)]
                    .contains(&kind.as_ref().map(|k| *k))
            {
                let part = clean_line(&label_of(model, line.part)).into_owned();
                self.leave_out(
                    format!("{named} in {part}"),
                    "that part is no round wall of one diameter; mark it by the drill sheet of the papers",
                );
            }
        }
    }
}

/// What the line of the rail buttons is called.
const RAIL: &str = "line of the rail buttons";
