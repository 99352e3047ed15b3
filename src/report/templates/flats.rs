//! Flat parts: rings, bulkheads, lids and fins, with their holes. Outlines are those of the finished part, without the kerf.

use std::f64::consts::PI;

use super::figure::{Figure, Form, Layer, Look, Point, Tag, wide};
use super::names::{LARGEST, LeftOut, MM, degrees, short, slug};
use crate::design::{BULKHEAD, FINS, Fins, LID, RING, Section, fin_tab, fins, section};
use crate::language::label_of;
use crate::model::{DrilledPart, Mark, Outcome, Spot, Unknown, both};
use crate::quantity::{Angle, Length};
use crate::report::reading::Reading;
use crate::review::drill_words;
use crate::vocabulary::{EntityId, Id, Key};
use crate::yaml::clean_line;

/// Room around a part, mm.
const ROOM: f64 = 5.0;
/// The height of letters, mm.
const LETTERS: f64 = 2.3;
/// A line of words, mm.
const LINE: f64 = 3.2;

/// Collects the flat parts of a rocket.
pub(super) struct Flats<'m, 'l> {
    pub(super) r: Reading<'m>,
    pub(super) drilled: &'l [DrilledPart],
    pub(super) left_out: &'l mut Vec<LeftOut>,
}

/// A disc: what its file is called after, what it is, and its diameters, mm.
struct Disc {
    slug: String,
    title: String,
    path: String,
    outer: f64,
    bore: Option<f64>,
}

impl Flats<'_, '_> {
    /// The parts, in the order of the file.
    pub(super) fn all(mut self) -> Vec<Figure> {
        let mut found = Vec::new();
        for (id, entity) in self.r.model.design().store.all() {
            if entity.entity_type == &RING {
                let sizes = both(self.size(id, "outer_diameter"), self.size(id, "inner_diameter"));
                found.extend(self.disc_of(id, "", sizes.map(|(outer, bore)| (outer, Some(bore)))));
            } else if entity.entity_type == &BULKHEAD {
                let size = self.optional(id, "outer_diameter");
                found.extend(self.disc_of(id, "", size.map(|outer| (outer, None))));
            } else if entity.entity_type == &LID {
                for (key, name) in [("inner_disc", "inner disc"), ("outer_disc", "outer disc")] {
                    let size = self.optional(id, key);
                    found.extend(self.disc_of(id, name, size.map(|outer| (outer, None))));
                }
            } else if entity.entity_type == &FINS
                && let Some(set) = self.r.model.as_a::<Fins>(id)
            {
                match self.fins(set) {
                    Ok(figure) => found.push(figure),
                    Err(gap) => self.leave_out(clean_line(&label_of(self.r.model, id)), &gap),
                }
            }
        }
        found
    }

    fn leave_out(&mut self, what: impl Into<String>, gap: &Unknown) {
        self.tell(what, self.r.why(gap));
    }

    fn tell(&mut self, what: impl Into<String>, why: impl Into<String>) {
        let one = LeftOut { what: what.into(), why: why.into() };
        if !self.left_out.contains(&one) {
            self.left_out.push(one);
        }
    }

    /// A size in mm.
    fn size(&self, id: EntityId, name: &str) -> Outcome<f64> {
        let size = self.r.number(id, name)? * MM;
        if size > 0.05 && size < LARGEST {
            return Ok(size);
        }
        Err(Unknown::refused(format!("`{name}` is too small or too large to be drawn"), []))
    }

    /// A size whose key may be left away: then it is missing, and not none.
    fn optional(&self, id: EntityId, name: &str) -> Outcome<f64> {
        let slot = self.r.model.entity(id).and_then(|entity| entity.entity_type.slot(name));
        match slot {
            Some(slot) if self.r.model.has(id, slot) == Ok(false) => Err(Unknown::missing(id, slot)),
            _ => self.size(id, name),
        }
    }

    fn disc_of(&mut self, id: EntityId, which: &str, sizes: Outcome<(f64, Option<f64>)>) -> Option<Figure> {
        let label = clean_line(&label_of(self.r.model, id)).into_owned();
        let named = if which.is_empty() { label } else { format!("{which} of {label}") };
        let (outer, bore) = match sizes {
            Ok(sizes) => sizes,
            Err(gap) => {
                self.leave_out(named, &gap);
                return None;
            }
        };
        if bore.is_some_and(|bore| bore >= outer) {
            self.tell(named, "its hole is as large as the part");
            return None;
        }
        let mut slug = slug(&self.r.short_path(id));
        if !which.is_empty() {
            slug = format!("{slug}-{}", which.replace(' ', "-"));
        }
        let disc = Disc { slug, title: named, path: self.r.path(id), outer, bore };
        Some(self.disc(id, &disc))
    }

    /// A disc seen from aft, 0° up.
    fn disc(&mut self, id: EntityId, disc: &Disc) -> Figure {
        let radius = disc.outer / 2.0;
        let centre = (radius + ROOM, radius + ROOM);
        let mut cuts = Vec::new();
        let mut marks = Layer::new("marks", "Lines to draw or to engrave, not to cut");
        let mut words = Vec::new();
        for line in self.drilled.iter().filter(|line| line.part == id) {
            if line.mark == Ok(Mark::Face) {
                self.face_holes(line, disc, centre, &mut cuts, &mut words);
            } else if let Ok(angles) = &line.clock {
                // A hole that goes into the rim shows as a line on the face.
                for clock in angles.iter().take(100) {
                    let inner = disc.bore.map_or(radius * 0.8, |bore| bore / 2.0).max(radius - 8.0);
                    marks.line(Look::Mark, at(centre, radius, *clock), at(centre, inner, *clock));
                    words.push(format!(
                        "line at {}°: drill into the rim for {}",
                        degrees(*clock),
                        short(self.r, line)
                    ));
                }
            }
        }
        if let Some(bore) = disc.bore {
            let mut layer = Layer::new("cut-bore", "The hole for the motor tube");
            layer.put(Look::Full, Form::Circle(centre, bore / 2.0), Some(self.tag("bore", disc, 0)));
            cuts.push(layer);
        }
        // The outline is cut last, so that the part does not move before its holes are cut.
        let mut outline = Layer::new("cut-outline", "The outline, cut last");
        outline.put(Look::Full, Form::Circle(centre, radius), Some(self.tag("outline", disc, 0)));
        cuts.push(outline);
        let zero = Angle::from_si(0.0);
        marks.put(
            Look::Mark,
            Form::Line(at(centre, radius, zero), at(centre, radius - 4.0_f64.min(radius / 3.0), zero)),
            Some(self.tag("zero", disc, 0)),
        );
        if disc.bore.is_none() {
            marks.cross(Look::Mark, centre, 2.0);
        }
        let mut notes = Layer::new("notes", "Words, not to be cut");
        notes.text((centre.0, ROOM - 1.2), LETTERS, "middle", "0°");
        let size = (disc.outer + 2.0 * ROOM, disc.outer + 2.0 * ROOM);
        let mut about = vec![
            "Seen from aft: the face that you see is the aft one. 0° is up; clock angles run clockwise from the first fin.".to_owned(),
        ];
        about.extend(words);
        let thickness = self.r.number(id, "thickness").ok().filter(|_| !disc.title.contains("disc of"));
        let material = self.material(id);
        let sheet = match (thickness, material) {
            (Some(thick), Some(of)) => format!("{} of {of}. ", self.r.length(thick)),
            (Some(thick), None) => format!("{} thick. ", self.r.length(thick)),
            _ => String::new(),
        };
        let across = self.r.length(disc.outer / MM);
        let bore = disc.bore.map(|bore| format!(", hole {}", self.r.length(bore / MM))).unwrap_or_default();
        about.insert(0, format!("{sheet}Outside {across}{bore}."));
        let (size, notes) = with_words(size, &about, notes);
        let mut layers = cuts;
        layers.push(marks);
        layers.push(notes);
        let whole = [Vec::new(), Vec::new()];
        Figure {
            slug: disc.slug.clone(),
            title: disc.title.clone(),
            about,
            size,
            layers,
            whole,
            is_cut: true,
        }
    }

    fn tag(&self, kind: &'static str, disc: &Disc, number: usize) -> Tag {
        Tag { kind, path: disc.path.clone(), number }
    }

    fn material(&self, id: EntityId) -> Option<String> {
        match self.r.by_name(id, "material") {
            Some(Ok(crate::vocabulary::Value::Entity(row))) => Some(self.r.name(row)),
            _ => None,
        }
    }

    /// The holes of a set in the face of a disc: a layer of their own, or why there is none.
    fn face_holes(
        &mut self,
        line: &DrilledPart,
        disc: &Disc,
        centre: Point,
        cuts: &mut Vec<Layer>,
        words: &mut Vec<String>,
    ) {
        let what = short(self.r, line);
        let named = format!("{what} in {}", disc.title);
        let spots = self.spots_on(line, disc);
        let (drill, spots) = match both(line.drill.clone(), spots) {
            Ok(known) => known,
            Err(gap) => {
                words.push(format!("NOT ON THIS DRAWING: {what}"));
                return self.leave_out(named, &gap);
            }
        };
        let owner = slug(&self.r.name(line.owner));
        let mut id = format!("cut-{}-{owner}", slug(line.purpose));
        if cuts.iter().any(|layer| layer.id == id) {
            id = format!("{id}-{}", cuts.len() + 1);
        }
        let mut layer = Layer::new(id, format!("Holes for {what}"));
        for (number, spot) in spots.iter().enumerate() {
            let place = at(centre, spot.from_axis.si() * MM, spot.clock);
            let tag = Tag { kind: "hole", path: self.r.path(line.owner), number };
            layer.put(Look::Full, Form::Circle(place, drill.si * MM / 2.0), Some(tag));
        }
        cuts.push(layer);
        let then = if line.tapped == Ok(true) { ", then tap" } else { "" };
        let size = drill_words(self.r.model, drill);
        let places: Vec<String> = spots.iter().map(|spot| self.spot_words(*spot)).collect();
        words.push(format!("{what}: {size}{then}; {}", places.join(", ")));
    }

    fn spot_words(&self, spot: Spot) -> String {
        match spot.from_axis.si() > 0.0 {
            true => {
                format!("{} from the middle at {}°", self.r.length(spot.from_axis.si()), degrees(spot.clock))
            }
            false => "in the middle".to_owned(),
        }
    }

    /// Where the holes stand, if each lies in the disc, clear of its edges.
    fn spots_on(&self, line: &DrilledPart, disc: &Disc) -> Outcome<Vec<Spot>> {
        let (spots, drill) = both(line.spots.clone(), line.drill.clone())?;
        let radius = drill.si * MM / 2.0;
        let lies = |spot: &Spot| {
            let from = spot.from_axis.si() * MM;
            from + radius < disc.outer / 2.0 && disc.bore.is_none_or(|bore| from - radius > bore / 2.0)
        };
        if spots.len() > 100 {
            return Err(Unknown::refused("there are more than 100 of them", []));
        }
        if spots.iter().all(lies) {
            return Ok(spots);
        }
        Err(Unknown::refused("a hole runs over an edge of the disc", []))
    }

    /// A fin with its tab, the root downwards and the fore end to the left.
    fn fins(&mut self, set: Id<Fins>) -> Outcome<Figure> {
        let id = set.any();
        let edge = self.edge(set)?;
        let root = self.size(id, "root_chord")?;
        let (first, last) = match (edge.first(), edge.last()) {
            (Some(first), Some(last)) => (*first, *last),
            _ => return Err(Unknown::refused("its edges have no points", [])),
        };
        if (last.0 - first.0 - root).abs() > root * 0.01 || first.0.abs() > 0.01 {
            return Err(Unknown::refused("its edges and its `root_chord` give different roots", []));
        }
        let tab = self.tab(set, root)?;
        let mut points = edge;
        if let Some((from, to, deep)) = tab {
            points.extend([(to, 0.0), (to, -deep), (from, -deep), (from, 0.0)]);
        }
        let all_sound = points.iter().all(|(x, y)| x.abs() < LARGEST && y.abs() < LARGEST);
        if !all_sound {
            return Err(Unknown::refused("it is too large to be drawn on paper", []));
        }
        let least = points.iter().fold((f64::MAX, f64::MAX), |m, p| (m.0.min(p.0), m.1.min(p.1)));
        let most = points.iter().fold((f64::MIN, f64::MIN), |m, p| (m.0.max(p.0), m.1.max(p.1)));
        let place = |(x, y): Point| (x - least.0 + ROOM, most.1 - y + ROOM);
        points.dedup_by(|a, b| (a.0 - b.0).abs() < 1e-6 && (a.1 - b.1).abs() < 1e-6);
        let path = self.r.path(id);
        let mut outline = Layer::new("cut-outline", "The outline");
        let form = Form::Area(points.iter().map(|point| place(*point)).collect());
        outline.put(Look::Full, form, Some(Tag { kind: "outline", path: path.clone(), number: 0 }));
        let mut marks = Layer::new("marks", "Lines to draw or to engrave, not to cut");
        let line = Form::Line(place((0.0, 0.0)), place((root, 0.0)));
        marks.put(Look::Mark, line, Some(Tag { kind: "root", path, number: 0 }));
        let count = self.r.count(set, fins::count);
        let label = clean_line(&label_of(self.r.model, id)).into_owned();
        let thick = self.r.quantity(set, fins::thickness).map(|q| self.r.length(q.si));
        let mut about = Vec::new();
        let many = count.map(|count| format!("{count} of these. ")).unwrap_or_default();
        let material = self.material(id).map(|of| format!(" of {of}")).unwrap_or_default();
        let thick = thick.map(|thick| format!("{thick}{material}. ")).unwrap_or_default();
        about.push(format!("{many}{thick}Fore is to the left, the body is below: the line is the root."));
        if tab.is_some() {
            about.push(
                "The tab stands in the middle of its slot: hold it against the slot before it is cut."
                    .to_owned(),
            );
        }
        let size = (most.0 - least.0 + 2.0 * ROOM, most.1 - least.1 + 2.0 * ROOM);
        let (size, notes) = with_words(size, &about, Layer::new("notes", "Words, not to be cut"));
        Ok(Figure {
            slug: slug(&self.r.short_path(id)),
            title: label,
            about,
            size,
            layers: vec![outline, marks, notes],
            whole: [Vec::new(), Vec::new()],
            is_cut: true,
        })
    }

    /// The edge of a fin from the fore end of its root out and back to the aft end: aft of the fore end, out from the body, mm.
    fn edge(&self, set: Id<Fins>) -> Outcome<Vec<Point>> {
        let id = set.any();
        let has = |slot: u16| self.r.model.has(id, slot) == Ok(true);
        if has(fins::leading_edge.slot) || has(fins::trailing_edge.slot) {
            let points = |key: Key<Fins, Vec<(Length, Length)>>| -> Outcome<Vec<Point>> {
                let edge = self.r.model.get(set, key).ok_or_else(|| Unknown::missing(id, key.slot))?;
                Ok(edge.iter().map(|(out, aft)| (aft.si() * MM, out.si() * MM)).collect())
            };
            let (mut edge, trailing) = both(points(fins::leading_edge), points(fins::trailing_edge))?;
            edge.extend(trailing.into_iter().rev());
            return Ok(edge);
        }
        let tip = self.r.number(id, "tip_chord").map(|tip| tip * MM);
        let sweep = self.r.number(id, "sweep").map(|sweep| sweep * MM);
        let ((root, span), (tip, sweep)) =
            both(both(self.size(id, "root_chord"), self.size(id, "span")), both(tip, sweep))?;
        Ok(vec![(0.0, 0.0), (sweep, span), (sweep + tip, span), (root, 0.0)])
    }

    /// The tab of a fin: where it begins and ends aft of the fore end of the root, and how deep it reaches, mm.
    fn tab(&self, set: Id<Fins>, root: f64) -> Outcome<Option<(f64, f64, f64)>> {
        let id = set.any();
        let Some(tab) = self.r.part(set, fins::tab) else {
            let through = self.r.word(set, fins::mounted) == Some("through the wall");
            let is_none = self.r.model.has(id, fins::tab.slot) == Ok(false);
            return match through && is_none {
                true => Err(Unknown::missing(id, fins::tab.slot)),
                false => Ok(None),
            };
        };
        let long =
            self.r.si(tab, fin_tab::length).ok_or_else(|| Unknown::missing(tab.any(), fin_tab::length.slot));
        let deep =
            self.r.si(tab, fin_tab::depth).ok_or_else(|| Unknown::missing(tab.any(), fin_tab::depth.slot));
        let section: Option<Id<Section>> =
            self.r.model.holder(id, &crate::design::SECTION).and_then(|s| self.r.model.as_a(s));
        let slots = section.and_then(|section| self.r.part(section, section::fin_slots));
        let slots = match (section, slots) {
            (_, Some(slots)) => self.r.model.ends_of(slots.any()),
            (Some(section), None) => Err(Unknown::missing(section.any(), section::fin_slots.slot)),
            (None, None) => Err(Unknown::refused("the fins stand on no section", [])),
        };
        let ((long, deep), ((fore, aft), (start, _))) =
            both(both(long, deep), both(slots, self.r.model.ends_of(id)))?;
        let middle = (f64::midpoint(fore.si(), aft.si()) - start.si()) * MM;
        let (from, to) = (middle - long * MM / 2.0, middle + long * MM / 2.0);
        if from < -0.01 || to > root + 0.01 {
            return Err(Unknown::refused("its tab, in the middle of the slot, reaches beyond its root", []));
        }
        Ok(Some((from, to, deep * MM)))
    }
}

/// A point on a disc that is seen from aft, by its distance from the middle and its clock angle.
fn at(centre: Point, from_axis: f64, clock: Angle) -> Point {
    let (sin, cos) = libm::sincos(clock.si() % (2.0 * PI));
    (centre.0 + from_axis * sin, centre.1 - from_axis * cos)
}

/// The words below a part, and the size that both take.
fn with_words(size: Point, about: &[String], mut notes: Layer) -> (Point, Layer) {
    let mut y = size.1 + LINE - 1.0;
    let mut wide_most = size.0;
    for words in about {
        notes.text((ROOM, y), LETTERS, "start", words.clone());
        wide_most = wide_most.max(wide(words, LETTERS) + 2.0 * ROOM);
        y += LINE;
    }
    ((wide_most, y), notes)
}
