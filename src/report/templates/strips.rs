//! Strips to wrap around a wall: the wall unrolled, seen from outside, fore end up.
//!
//! Seen from aft the clock runs clockwise; on the outside of a wall with its fore end up it therefore runs to the right.

use std::f64::consts::{PI, TAU};

use super::figure::{Figure, Form, Layer, Look, Point, Tag, wide};
use super::names::{degrees, shown};
use super::walls::{Kind, Wall, WallMark};
use crate::quantity::Angle;
use crate::report::reading::Reading;

/// Paper before the first mark and behind the last one, mm.
const BESIDE: f64 = 14.0;
/// An end of the wall that is nearer than this to a strip is part of it, mm.
const NEAR_END: f64 = 60.0;
/// Less than this is not left out between two strips, mm.
const NEAR: f64 = 40.0;
/// What overlaps where a strip closes around the wall, mm.
const FLAP: f64 = 12.0;
/// The height of letters beside marks, mm.
const LETTERS: f64 = 2.3;
/// Strokes at the edges that count angles and stations: the short ones, the long ones, mm.
const TICKS: (f64, f64) = (2.0, 3.5);
/// What edges and their figures take of a strip, mm.
const RIM: f64 = 7.5;

/// The stretches of a wall that have marks: from and to, mm from its fore end.
fn stretches(wall: &Wall) -> Vec<(f64, f64)> {
    let marks = wall.marks.iter().map(|mark| (mark.from, mark.to));
    let mut all: Vec<(f64, f64)> = marks.chain(wall.rounds.iter().map(|(at, _)| (*at, *at))).collect();
    all.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut found: Vec<(f64, f64)> = Vec::new();
    for (from, to) in all {
        let from = if from - BESIDE < NEAR_END { 0.0 } else { from - BESIDE };
        let to = if to + BESIDE > wall.length - NEAR_END { wall.length } else { to + BESIDE };
        match found.last_mut() {
            Some(last) if from - last.1 < NEAR => last.1 = last.1.max(to),
            _ => found.push((from, to)),
        }
    }
    found
}

/// Where a strip begins: in the middle of the widest gap between what is marked, at a whole degree, rad.
fn seam(wall: &Wall) -> f64 {
    let mut angles: Vec<f64> = wall.marks.iter().map(|mark| mark.clock.rem_euclid(TAU)).collect();
    angles.extend(wall.along.iter().map(|(clock, _)| clock.rem_euclid(TAU)));
    angles.sort_by(f64::total_cmp);
    let Some(first) = angles.first().copied() else { return -PI };
    let next = angles.iter().skip(1).copied().chain([first + TAU]);
    let gaps = angles.iter().copied().zip(next);
    let widest = gaps.max_by(|a, b| (a.1 - a.0).total_cmp(&(b.1 - b.0)).then(b.0.total_cmp(&a.0)));
    let middle = widest.map_or(-PI, |(from, to)| f64::midpoint(from, to));
    middle.to_degrees().round().to_radians().rem_euclid(TAU)
}

/// The strips of a wall, on paper of a thickness, mm.
pub(super) fn strips(r: Reading<'_>, wall: &Wall, paper: f64) -> Vec<Figure> {
    let stretches = stretches(wall);
    let many = stretches.len();
    let around = PI * (wall.diameter + paper);
    let seam = seam(wall);
    let drawn = stretches.iter().enumerate().map(|(place, (from, to))| {
        let strip = Strip { r, wall, around, seam, from: *from, to: *to };
        let title = match many {
            1 => format!("{}: strip to wrap around, fore up", wall.label),
            _ => format!("{}: strip {} of {many} to wrap around, fore up", wall.label, place + 1),
        };
        let (layers, whole) = strip.layers();
        Figure {
            slug: format!("{}-{}", wall.slug, place + 1),
            title,
            about: strip.about(paper),
            size: (around + FLAP, to - from),
            layers,
            whole,
            is_cut: false,
        }
    });
    drawn.collect()
}

struct Strip<'w> {
    r: Reading<'w>,
    wall: &'w Wall,
    /// Once around, mm.
    around: f64,
    /// The clock angle of its left edge, rad.
    seam: f64,
    from: f64,
    to: f64,
}

impl Strip<'_> {
    fn height(&self) -> f64 {
        self.to - self.from
    }

    fn has_fore_end(&self) -> bool {
        self.from < 1e-6
    }

    fn has_aft_end(&self) -> bool {
        self.to > self.wall.length - 1e-6
    }

    /// Whether its places are counted from the aft end.
    fn counts_from_aft(&self) -> bool {
        self.from + self.to > self.wall.length
    }

    fn x(&self, clock: f64) -> f64 {
        (clock - self.seam).rem_euclid(TAU) / TAU * self.around
    }

    fn about(&self, paper: f64) -> Vec<String> {
        let (wall, r) = (self.wall, self.r);
        let how = if wall.measured {
            "as measured"
        } else {
            "as written: measure the part in hand, and write it under `measured`"
        };
        let edge = |at: f64, is_end: bool, end: &str| match (is_end, self.counts_from_aft()) {
            (true, _) => format!("flush with the {end} end"),
            (false, true) => format!("{} from the aft end", shown(r, wall.length - at)),
            (false, false) => format!("{} from the fore end", shown(r, at)),
        };
        vec![
            format!(
                "Once around is {:.1} mm: outer diameter {} ({how}) and {paper} mm of paper.",
                self.around,
                shown(r, wall.diameter)
            ),
            format!(
                "Upper edge: {}. Lower edge: {}.",
                edge(self.from, self.has_fore_end(), "fore"),
                edge(self.to, self.has_aft_end(), "aft")
            ),
        ]
    }

    /// What is drawn, and the boxes of its marks and of the words beside them.
    fn layers(&self) -> (Vec<Layer>, [Vec<(Point, Point)>; 2]) {
        let mut edges = Layer::new("edges", "Edges to cut the paper along");
        let (w, h) = (self.around, self.height());
        edges.put(Look::Full, Form::Area(vec![(0.0, 0.0), (w, 0.0), (w, h), (0.0, h)]), None);
        edges.put(Look::Dashed, Form::Area(vec![(w, 0.0), (w + FLAP, 0.0), (w + FLAP, h), (w, h)]), None);
        let mut aids = Layer::new("aids", "Angles and places, to lay the strip by");
        let mut marks = Layer::new("marks", "Marks to drill, cut and draw by");
        let mut notes = Layer::new("notes", "Words");
        let flap = "flap: the left edge lies on this line";
        if wide(flap, LETTERS) < h - 4.0 {
            notes.upward_text((w + FLAP / 2.0, h / 2.0), LETTERS, "middle", flap);
        }
        self.angles(&mut aids);
        self.stations(&mut aids);
        let mut taken = Vec::new();
        let mut lines = Vec::new();
        for (clock, words) in &self.wall.along {
            let x = self.x(*clock);
            aids.put(Look::Dashed, Form::Line((x, 0.0), (x, h)), None);
            lines.push(boxed(x, h / 2.0, 0.6, h));
            let words = format!("{words}, {}°", degrees(Angle::from_si(*clock)));
            if wide(&words, LETTERS) < h - 2.0 * RIM {
                notes.upward_text((x - 1.0, h - RIM), LETTERS, "start", words.clone());
                let middle = h - RIM - wide(&words, LETTERS) / 2.0;
                taken.push(boxed(x - 2.0, middle, 3.0, wide(&words, LETTERS)));
            }
        }
        for (number, (at, words)) in self.wall.rounds.iter().enumerate() {
            if *at < self.from || *at > self.to {
                continue;
            }
            let y = at - self.from;
            marks.put(Look::Mark, Form::Line((0.0, y), (w, y)), Some(self.tag("ring", words, number)));
            // Above a fore face and below an aft one, where the figures of the edges leave room.
            let (above, below) = (y - 0.8, y + LETTERS + 0.4);
            let is_above = !words.ends_with("aft face") && above - LETTERS > RIM || below > h - RIM;
            let y = if is_above { above } else { below };
            let words = format!("{words}, {}", self.place(*at));
            let mut x = 12.0;
            while x + wide(&words, LETTERS) < w {
                notes.text((x, y), LETTERS, "start", words.clone());
                x += 150.0;
            }
        }
        let mine: Vec<&WallMark> =
            self.wall.marks.iter().filter(|m| m.to >= self.from - 1e-6 && m.from <= self.to + 1e-6).collect();
        for mark in &mine {
            self.mark(mark, &mut marks, &mut aids);
            taken.push(self.box_of(mark));
        }
        let before = taken.len();
        for mark in &mine {
            self.label(mark, &mut notes, &mut taken, &lines);
        }
        let words = taken.split_off(before);
        let boxes = mine.iter().map(|mark| self.box_of(mark)).collect();
        (vec![edges, aids, marks, notes], [boxes, words])
    }

    fn tag(&self, kind: &'static str, path: &str, number: usize) -> Tag {
        Tag { kind, path: format!("{}#{path}", self.wall.path), number }
    }

    /// A place on the wall, from the end that the strip counts from.
    fn place(&self, at: f64) -> String {
        match self.counts_from_aft() {
            true => format!("{} from aft", shown(self.r, self.wall.length - at)),
            false => format!("{} from fore", shown(self.r, at)),
        }
    }

    /// Strokes along the upper and the lower edge, one every ten degrees.
    fn angles(&self, aids: &mut Layer) {
        let h = self.height();
        for step in 0..36_u32 {
            let clock = f64::from(step * 10).to_radians();
            let x = self.x(clock);
            let is_long = step % 3 == 0;
            let long = if is_long { TICKS.1 } else { TICKS.0 };
            for (edge, inward) in [(0.0, 1.0), (h, -1.0)] {
                let tag = Tag { kind: "angle", path: self.wall.path.clone(), number: step as usize * 10 };
                aids.put(Look::Fine, Form::Line((x, edge), (x, edge + inward * long)), Some(tag));
                let y = if inward > 0.0 { TICKS.1 + LETTERS } else { h - TICKS.1 - 0.6 };
                // In a low strip the figures of both edges would meet.
                let words = format!("{}°", step * 10);
                let half = wide(&words, LETTERS) / 2.0;
                let has_room = x > half && x < self.around - half;
                if is_long && has_room && (inward > 0.0 || h > 22.0) {
                    aids.text((x, y), LETTERS, "middle", words);
                }
            }
        }
        let zero = self.x(0.0);
        aids.put(Look::Dashed, Form::Line((zero, RIM), (zero, h - RIM)), None);
    }

    /// Strokes along the left edge and the closing line, by the author's tape.
    fn stations(&self, aids: &mut Layer) {
        let (unit, _) = self.r.tape();
        let (step, long_every, per_label): (f64, i64, f64) = match unit.as_str() {
            "in" | "ft" => (12.7, 2, 0.5),
            _ => (10.0, 5, 10.0),
        };
        let (first, last) = match self.counts_from_aft() {
            true => (self.wall.length - self.to, self.wall.length - self.from),
            false => (self.from, self.to),
        };
        #[allow(clippy::cast_possible_truncation, reason = "a wall is at most a few metres long")]
        let count = ((first / step - 1e-6).ceil() as i64, (last / step + 1e-6).floor() as i64);
        for number in count.0..=count.1 {
            #[allow(clippy::cast_precision_loss, reason = "a wall is at most a few metres long")]
            let (distance, label) = (number as f64 * step, number as f64 * per_label);
            let y = match self.counts_from_aft() {
                true => self.wall.length - distance - self.from,
                false => distance - self.from,
            };
            let is_long = number % long_every == 0;
            let long = if is_long { TICKS.1 } else { TICKS.0 };
            for (edge, inward) in [(0.0, 1.0), (self.around, -1.0)] {
                let path =
                    format!("{}#{}", self.wall.path, if self.counts_from_aft() { "aft" } else { "fore" });
                #[allow(clippy::cast_sign_loss, clippy::cast_possible_truncation, reason = "not below zero")]
                let tag = Tag { kind: "station", path, number: (distance * 10.0).round() as usize };
                aids.put(Look::Fine, Form::Line((edge, y), (edge + inward * long, y)), Some(tag));
            }
            let is_clear = y > RIM + 2.0 && y < self.height() - RIM - 1.0;
            if is_long && is_clear {
                let unit = if unit == "in" || unit == "ft" { "in" } else { "mm" };
                aids.text((TICKS.1 + 0.8, y + LETTERS * 0.35), LETTERS, "start", format!("{label} {unit}"));
            }
        }
    }

    /// What a mark covers, by its middle.
    fn box_of(&self, mark: &WallMark) -> (Point, Point) {
        let (from, to) = (mark.from.max(self.from) - self.from, mark.to.min(self.to) - self.from);
        let wide = mark.across.max(if mark.kind == Kind::Hole { 6.0 } else { 1.0 });
        let high = if mark.kind == Kind::Hole { wide } else { to - from };
        boxed(self.x(mark.clock), f64::midpoint(from, to), wide, high)
    }

    fn mark(&self, mark: &WallMark, marks: &mut Layer, aids: &mut Layer) {
        let x = self.x(mark.clock);
        let y = f64::midpoint(mark.from, mark.to) - self.from;
        let tag = |kind| Some(self.tag(kind, &mark.path, mark.number));
        let half = mark.across / 2.0;
        // Where a mark reaches over the seam its other part is drawn at the other edge.
        let again: Vec<f64> = [-self.around, self.around]
            .into_iter()
            .filter(|by| x + by + half > 0.0 && x + by - half < self.around + FLAP)
            .collect();
        match mark.kind {
            Kind::Hole => {
                let radius = half.max(0.0);
                if radius > 0.0 {
                    marks.put(Look::Full, Form::Circle((x, y), radius), tag("hole"));
                } else {
                    marks.put(Look::Full, Form::Circle((x, y), 0.4), tag("centre"));
                }
                aids.cross(Look::Fine, (x, y), radius + 3.0);
                for by in again {
                    marks.put(Look::Full, Form::Circle((x + by, y), radius.max(0.4)), None);
                    aids.cross(Look::Fine, (x + by, y), radius + 3.0);
                }
            }
            Kind::Slot | Kind::Fin | Kind::Outside => {
                let (top, bottom) = (mark.from.max(self.from) - self.from, mark.to.min(self.to) - self.from);
                let (kind, look) = match mark.kind {
                    Kind::Slot => ("slot", Look::Full),
                    Kind::Fin => ("fin", Look::Mark),
                    _ => ("outside", Look::Mark),
                };
                let corners = |by: f64| {
                    let (left, right) = (x + by - half, x + by + half);
                    Form::Area(vec![(left, top), (right, top), (right, bottom), (left, bottom)])
                };
                if bottom - top > 0.05 && half > 0.0 {
                    marks.put(look, corners(0.0), tag(kind));
                    for by in again {
                        marks.put(look, corners(by), None);
                    }
                } else if half > 0.0 {
                    marks.put(look, Form::Line((x - half, y), (x + half, y)), tag(kind));
                }
                let reach = if mark.kind == Kind::Fin { 0.0 } else { 3.0 };
                let (above, below) =
                    if mark.kind == Kind::Fin { (0.0, self.height()) } else { (top - reach, bottom + reach) };
                aids.line(Look::Fine, (x, above), (x, below));
            }
        }
    }

    /// Writes what a mark is beside it, where nothing else stands; with a line to it where that is farther off.
    fn label(
        &self,
        mark: &WallMark,
        notes: &mut Layer,
        taken: &mut Vec<(Point, Point)>,
        lines: &[(Point, Point)],
    ) {
        let (from, to) = self.box_of(mark);
        let long = mark.words.iter().map(|words| wide(words, LETTERS)).fold(0.0, f64::max);
        #[allow(clippy::cast_precision_loss, reason = "a label has two lines")]
        let high = mark.words.len() as f64 * (LETTERS + 0.6);
        let middle = f64::midpoint(from.1, to.1);
        let y = middle.clamp(from.1 + high / 2.0, (to.1 - high / 2.0).max(from.1 + high / 2.0));
        let room = |one: (Point, Point)| {
            one.0.0 >= 1.0
                && one.1.0 <= self.around + FLAP
                && one.0.1 >= RIM
                && one.1.1 <= self.height() - RIM
        };
        let steps = (0..24_i32).flat_map(|step| [f64::from(step), -f64::from(step)]);
        let tried = steps.flat_map(|step| {
            let y = y + step * (LETTERS + 0.6);
            [(to.0 + 1.5, y), (from.0 - 1.5 - long, y)]
        });
        let boxes = tried.map(|(left, y)| ((left, y - high / 2.0), (left + long, y + high / 2.0)));
        let clear = |one: &(Point, Point)| room(*one) && !taken.iter().any(|other| meet(*one, *other));
        let all: Vec<(Point, Point)> = boxes.collect();
        let off_lines = |one: &(Point, Point)| !lines.iter().any(|line| meet(*one, *line));
        let best = all.iter().copied().find(|one| clear(one) && off_lines(one));
        // Words over a line along the wall are better than words over words.
        let best = best.or_else(|| all.iter().copied().find(clear));
        let Some(place) = best.or_else(|| all.first().copied()) else { return };
        for (line, words) in (1_u32..).zip(&mark.words) {
            let base = place.0.1 + f64::from(line) * (LETTERS + 0.6) - 0.9;
            notes.text((place.0.0, base), LETTERS, "start", words.clone());
        }
        let beside = f64::midpoint(place.0.1, place.1.1);
        if beside < from.1 - 0.5 || beside > to.1 + 0.5 {
            let is_right = place.0.0 > to.0;
            let end = if is_right { place.0.0 - 0.4 } else { place.1.0 + 0.4 };
            let start = if is_right {
                to.0.min(self.x(mark.clock) + mark.across / 2.0 + 0.5)
            } else {
                from.0.max(self.x(mark.clock) - mark.across / 2.0 - 0.5)
            };
            notes.line(Look::Fine, (start, middle.clamp(from.1, to.1)), (end, beside));
        }
        taken.push(place);
    }
}

fn boxed(x: f64, y: f64, wide: f64, high: f64) -> (Point, Point) {
    ((x - wide / 2.0, y - high / 2.0), (x + wide / 2.0, y + high / 2.0))
}

fn meet(one: (Point, Point), other: (Point, Point)) -> bool {
    one.0.0 < other.1.0 && other.0.0 < one.1.0 && one.0.1 < other.1.1 && other.0.1 < one.1.1
}
