//! The drawing as SVG: the outside on one strip, the cut on as many as make it readable, and the view from aft.

use maud::{Markup, html};

use super::{Drawing, DrawnShape, Form, Look, Mark, Part, View};

/// The width of a strip in its own units. A screen makes it wider, a page of A4 or Letter narrower; the text stays readable.
const WIDTH: f64 = 1000.0;
/// Left free at both ends.
const MARGIN: f64 = 26.0;
/// The cut shows the body at least this wide, in the same units, and takes as many strips as that needs.
const CUT_BODY: f64 = 84.0;
/// No more strips than this.
const MOST_STRIPS: usize = 4;
/// From the middle of one number to the next.
const APART: f64 = 25.0;

/// How a part stands in the review.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum State {
    /// Something about it holds.
    Holds,
    /// Something is to be said of it that does not hold.
    Remark,
    /// Nothing is to be said.
    Clear,
}

impl State {
    const fn class(self) -> &'static str {
        match self {
            Self::Holds => "holds",
            Self::Remark => "remark",
            Self::Clear => "clear",
        }
    }
}

/// What stands in the balloon of a part.
#[derive(Clone, Debug)]
pub struct Balloon {
    /// How the part stands.
    pub state: State,
    /// Where a click leads, without `#`.
    pub leads_to: String,
}

/// A stretch of the rocket on paper.
struct Strip {
    from: f64,
    to: f64,
    /// Units of the drawing to a metre.
    scale: f64,
    /// Where the axis lies.
    axis: f64,
}

impl Strip {
    fn x(&self, station: f64) -> f64 {
        MARGIN + (station - self.from) * self.scale
    }

    fn y(&self, height: f64) -> f64 {
        self.axis - height * self.scale
    }

    fn shows(&self, fore: f64, aft: f64) -> bool {
        aft >= self.from && fore <= self.to
    }
}

/// A number for SVG: to a hundredth, so that the same rocket gives the same bytes.
pub(super) fn n(value: f64) -> String {
    let rounded = (value * 100.0).round() / 100.0;
    format!("{}", if rounded == 0.0 { 0.0 } else { rounded })
}

fn points(strip: &Strip, all: &[(f64, f64)]) -> String {
    all.iter().map(|(x, y)| format!("{},{}", n(strip.x(*x)), n(strip.y(*y)))).collect::<Vec<_>>().join(" ")
}

pub(super) const fn class(look: Look) -> &'static str {
    match look {
        Look::Skin => "skin",
        Look::Cut => "cut",
        Look::Cloth => "cloth",
        Look::Bay => "bay",
        Look::Motor => "motor",
        Look::Gap => "gap",
        Look::Hole => "hole",
        Look::FarHole => "far",
        Look::Unsure => "unsure",
        Look::Line => "line",
    }
}

fn drawn(strip: &Strip, shape: &DrawnShape) -> Markup {
    let class = class(shape.look);
    match &shape.form {
        Form::Area(all) => html! { polygon class=(class) points=(points(strip, all)) {} },
        Form::Line(all) => html! { polyline class=(class) points=(points(strip, all)) {} },
        Form::Dot { centre, radius } => {
            // A hole of a millimetre is still a hole on a small screen.
            let r = (radius * strip.scale).max(1.2);
            html! { circle class=(class) cx=(n(strip.x(centre.0))) cy=(n(strip.y(centre.1))) r=(n(r)) {} }
        }
    }
}

/// The heights of what a view shows between two stations.
fn reach(drawing: &Drawing, view: View, from: f64, to: f64) -> f64 {
    let mut most: f64 = drawing.calibre / 2.0;
    for shape in drawing.parts.iter().flat_map(|p| &p.shapes).filter(|s| s.view == view) {
        let (Form::Area(all) | Form::Line(all)) = &shape.form else { continue };
        if all.iter().any(|(x, _)| *x >= from) && all.iter().any(|(x, _)| *x <= to) {
            most = all.iter().map(|(_, y)| y.abs()).fold(most, f64::max);
        }
    }
    most
}

fn painted(drawing: &Drawing, strip: &Strip, view: View) -> Markup {
    let mut order: Vec<(usize, &Part)> = drawing.parts.iter().enumerate().collect();
    order.sort_by_key(|(_, part)| part.layer);
    html! {
        @for (number, part) in order {
            @let shapes: Vec<&DrawnShape> = part.shapes.iter().filter(|s| s.view == view).collect();
            @if !shapes.is_empty() && strip.shows(part.fore - drawing.calibre, part.aft + drawing.calibre) {
                g data-part=(part.path) {
                    title { (number + 1) ". " (part.what) ": " (part.size) }
                    @for shape in shapes { (drawn(strip, shape)) }
                }
            }
        }
    }
}

/// Where numbers stand so that none covers another: each as near to its part as the others leave it.
pub(super) fn spread(wanted: &[f64], low: f64, high: f64, apart: f64) -> Vec<f64> {
    // Neighbours that would overlap form a block around the mean of what they want.
    let mut blocks: Vec<(f64, usize)> = Vec::new();
    for (place, want) in wanted.iter().enumerate() {
        #[allow(clippy::cast_precision_loss, reason = "a drawing has few parts")]
        let mut block = (want - place as f64 * apart, 1_usize);
        while let Some((mean, size)) = blocks.last().copied() {
            if mean <= block.0 {
                break;
            }
            blocks.pop();
            #[allow(clippy::cast_precision_loss, reason = "a drawing has few parts")]
            let joined = (mean * size as f64 + block.0 * block.1 as f64) / (size + block.1) as f64;
            block = (joined, size + block.1);
        }
        blocks.push(block);
    }
    let mut found = Vec::new();
    for (mean, size) in blocks {
        for _ in 0..size {
            #[allow(clippy::cast_precision_loss, reason = "a drawing has few parts")]
            found.push(mean + found.len() as f64 * apart);
        }
    }
    let mut most = high;
    for place in found.iter_mut().rev() {
        *place = place.min(most);
        most = *place - apart;
    }
    let mut least = low;
    for place in &mut found {
        *place = place.max(least);
        least = *place + apart;
    }
    found
}

/// The numbers of the parts of a view, each with a line to its part.
fn balloons(
    drawing: &Drawing,
    strip: &Strip,
    view: View,
    height: f64,
    prefix: &str,
    balloon: &dyn Fn(usize) -> Balloon,
) -> Markup {
    let mut mine: Vec<(usize, f64, f64)> = Vec::new();
    for (place, part) in drawing.parts.iter().enumerate().filter(|(_, p)| p.home == view) {
        let middle = f64::midpoint(part.fore, part.aft);
        if middle >= strip.from && (middle < strip.to || strip.to >= drawing.end()) {
            let aim = aim(part, view, middle);
            mine.push((place + 1, strip.x(aim.0), strip.y(aim.1)));
        }
    }
    mine.sort_by(|a, b| a.1.total_cmp(&b.1).then(a.0.cmp(&b.0)));
    let wanted: Vec<f64> = mine.iter().map(|(_, x, _)| *x).collect();
    let places = spread(&wanted, MARGIN / 2.0, WIDTH - MARGIN / 2.0, APART);
    html! {
        @for ((number, x, y), at) in mine.into_iter().zip(places) {
            @let it = balloon(number);
            a class={ "balloon " (it.state.class()) } id={ (prefix) "part-" (number) } href={ "#" (it.leads_to) } {
                title { (number) ". " (drawing.parts.get(number - 1).map_or("", |p| p.what.as_str())) }
                polyline class="leader" points={ (n(at)) "," (n(height + 10.0)) " " (n(x)) "," (n(y)) } {}
                circle class="end" cx=(n(x)) cy=(n(y)) r="1.6" {}
                @match it.state {
                    State::Holds => rect x=(n(at - 10.5)) y=(n(height - 10.0)) width="21" height="20" rx="2" {},
                    State::Remark => {
                        circle cx=(n(at)) cy=(n(height)) r="11" {}
                        circle cx=(n(at)) cy=(n(height)) r="8.6" {}
                    },
                    State::Clear => circle cx=(n(at)) cy=(n(height)) r="10" {},
                }
                text x=(n(at)) y=(n(height + 4.0)) text-anchor="middle" { (number) }
            }
        }
    }
}

/// The point of a part that its number points at: the top of what is drawn of it in its view.
fn aim(part: &Part, view: View, middle: f64) -> (f64, f64) {
    let mut best: Option<(f64, f64)> = None;
    for shape in part.shapes.iter().filter(|s| s.view == view && s.look != Look::Bay) {
        let point = match &shape.form {
            Form::Dot { centre, .. } => *centre,
            Form::Line(all) | Form::Area(all) => {
                let top = all.iter().map(|(_, y)| *y).fold(f64::MIN, f64::max);
                let on_top: Vec<f64> =
                    all.iter().filter(|(_, y)| (y - top).abs() < 1e-9).map(|(x, _)| *x).collect();
                let (low, high) =
                    on_top.iter().fold((f64::MAX, f64::MIN), |(l, h), x| (l.min(*x), h.max(*x)));
                (middle.clamp(low, high), top)
            }
        };
        if best.is_none_or(|(_, y)| point.1 > y) {
            best = Some(point);
        }
    }
    best.unwrap_or((middle, 0.0))
}

/// A line with strokes at its ends and words on it.
fn dimension(from: f64, to: f64, y: f64, words: &str) -> Markup {
    html! {
        g class="dimension" {
            line x1=(n(from)) y1=(n(y)) x2=(n(to)) y2=(n(y)) {}
            line x1=(n(from)) y1=(n(y - 4.0)) x2=(n(from)) y2=(n(y + 4.0)) {}
            line x1=(n(to)) y1=(n(y - 4.0)) x2=(n(to)) y2=(n(y + 4.0)) {}
            text x=(n(f64::midpoint(from, to))) y=(n(y - 5.0)) text-anchor="middle" { (words) }
        }
    }
}

fn in_unit(drawing: &Drawing, metres: f64) -> String {
    let value = metres * drawing.per_metre;
    let rounded = (value * 1000.0).round() / 1000.0;
    format!("{rounded} {}", drawing.unit)
}

/// The balance point as on an engineering drawing, a circle with two of its quarters filled.
fn quartered(x: f64, y: f64) -> Markup {
    let r = 8.0;
    let quarter = |dx: f64, dy: f64| {
        format!(
            "M{},{} L{},{} A{r},{r} 0 0 1 {},{} Z",
            n(x),
            n(y),
            n(x + dx * r),
            n(y + dy * r),
            n(x - dy * r),
            n(y + dx * r)
        )
    };
    html! {
        circle class="mark-ground" cx=(n(x)) cy=(n(y)) r=(n(r)) {}
        path class="mark-fill" d=(quarter(1.0, 0.0)) {}
        path class="mark-fill" d=(quarter(-1.0, 0.0)) {}
        circle class="mark-ring" cx=(n(x)) cy=(n(y)) r=(n(r)) {}
    }
}

/// The centre of pressure: a diamond with its upper half filled.
fn diamond(x: f64, y: f64) -> Markup {
    let r = 9.0;
    html! {
        polygon class="mark-ground" points={ (n(x - r)) "," (n(y)) " " (n(x)) "," (n(y - r)) " " (n(x + r)) "," (n(y)) " " (n(x)) "," (n(y + r)) } {}
        polygon class="mark-fill" points={ (n(x - r)) "," (n(y)) " " (n(x)) "," (n(y - r)) " " (n(x + r)) "," (n(y)) } {}
        polygon class="mark-ring" points={ (n(x - r)) "," (n(y)) " " (n(x)) "," (n(y - r)) " " (n(x + r)) "," (n(y)) " " (n(x)) "," (n(y + r)) } {}
    }
}

fn marks(drawing: &Drawing, strip: &Strip, below: f64) -> Markup {
    let mut all = Vec::new();
    if let Mark::At(station, words) = &drawing.balance {
        all.push((*station, format!("balance point, motor in: {words}"), true));
    }
    if let Mark::At(station, words) = &drawing.pressure {
        all.push((*station, format!("centre of pressure: {words}"), false));
    }
    all.sort_by(|a, b| a.0.total_cmp(&b.0));
    let count = all.len();
    html! {
        @for (place, (station, words, balance)) in all.into_iter().enumerate() {
            @let x = strip.x(station);
            // The fore one's words end at its line and the aft one's begin there, so that they never meet.
            @let leftwards = if count == 2 { place == 0 && x > 260.0 } else { x > 600.0 };
            @let level = if count == 2 && place == 0 && !leftwards { below + 14.0 } else { below };
            g class="stability" {
                line class="leader" x1=(n(x)) y1=(n(strip.axis)) x2=(n(x)) y2=(n(level - 4.0)) {}
                text x=(n(if leftwards { x + 3.0 } else { x - 3.0 })) y=(n(level + 8.0)) text-anchor=(if leftwards { "end" } else { "start" }) { (words) }
                @if balance { (quartered(x, strip.axis)) } @else { (diamond(x, strip.axis)) }
            }
        }
    }
}

fn outside(drawing: &Drawing, prefix: &str, balloon: &dyn Fn(usize) -> Balloon) -> Markup {
    let end = drawing.end();
    let scale = (WIDTH - 2.0 * MARGIN) / end;
    let up = reach(drawing, View::Outside, 0.0, end) * scale;
    let axis = 70.0 + up;
    let strip = Strip { from: 0.0, to: end, scale, axis };
    let below = axis + up + 14.0;
    let height = below + 66.0;
    let length = drawing.sections.iter().map(|s| s.2).fold(0.0, f64::max);
    html! {
        svg class="rocket" viewBox={ "0 0 " (n(WIDTH)) " " (n(height)) } role="img" aria-label="The rocket from outside" {
            @for (name, fore, aft) in &drawing.sections {
                text class="section" x=(n(f64::midpoint(strip.x(*fore), strip.x(*aft)))) y="13" text-anchor="middle" { (name) }
            }
            line class="axis" x1=(n(strip.x(0.0) - 14.0)) y1=(n(axis)) x2=(n(strip.x(end) + 14.0)) y2=(n(axis)) {}
            (painted(drawing, &strip, View::Outside))
            (marks(drawing, &strip, below))
            @for (_, fore, aft) in &drawing.sections {
                (dimension(strip.x(*fore), strip.x(*aft), below + 36.0, &in_unit(drawing, aft - fore)))
            }
            (dimension(strip.x(0.0), strip.x(length), below + 58.0, &format!("{} in all", in_unit(drawing, length))))
            (balloons(drawing, &strip, View::Outside, 34.0, prefix, balloon))
        }
    }
}

/// From the first of two stations to the second.
fn width(pair: &[f64]) -> f64 {
    match pair {
        [from, to] => to - from,
        _ => 0.0,
    }
}

/// Where to break the cut: near equal strips, through as few parts as can be.
fn breaks(drawing: &Drawing, strips: usize) -> Vec<f64> {
    let end = drawing.end();
    #[allow(clippy::cast_precision_loss, reason = "at most four strips")]
    let each = end / strips as f64;
    let mut found = vec![0.0];
    for place in 1..strips {
        #[allow(clippy::cast_precision_loss, reason = "at most four strips")]
        let ideal = each * place as f64;
        let crossed = |x: f64| {
            drawing
                .parts
                .iter()
                .filter(|p| p.home == View::Cut && p.fore < x + 1e-3 && p.aft > x - 1e-3)
                .count()
        };
        let tries = (-10_i32..=10).map(|step| (step, ideal + each * 0.012 * f64::from(step)));
        let best = tries.min_by_key(|(step, x)| (crossed(*x), step.abs())).map_or(ideal, |(_, x)| x);
        found.push(best);
    }
    found.push(end);
    found
}

fn cut(drawing: &Drawing, prefix: &str, balloon: &dyn Fn(usize) -> Balloon) -> Markup {
    let end = drawing.end();
    let wanted = (end * CUT_BODY / drawing.calibre / (WIDTH - 2.0 * MARGIN)).ceil();
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "clamped first")]
    let strips = wanted.clamp(1.0, MOST_STRIPS as f64) as usize;
    let edges = breaks(drawing, strips);
    let longest = edges.windows(2).map(width).fold(0.0, f64::max);
    let scale = (WIDTH - 2.0 * MARGIN) / longest;
    html! {
        @for (place, pair) in edges.windows(2).enumerate() {
            @let (from, to) = (pair.first().copied().unwrap_or(0.0), pair.last().copied().unwrap_or(end));
            @let up = reach(drawing, View::Cut, from, to).min(drawing.calibre * 2.4) * scale;
            @let strip = Strip { from, to, scale, axis: 46.0 + up };
            @let bottom = strip.axis + up + 10.0;
            @let clip = format!("{prefix}clip-{place}");
            svg class="rocket" viewBox={ "0 0 " (n(WIDTH)) " " (n(bottom + 34.0)) } role="img"
                aria-label={ "The rocket cut open, strip " (place + 1) " of " (strips) } {
                defs { clipPath id=(clip) {
                    rect x=(n(strip.x(from) - if place == 0 { MARGIN } else { 0.0 })) y="0"
                        width=(n((to - from) * scale + if place == 0 { MARGIN } else { 0.0 } + if place + 1 == strips { MARGIN } else { 0.0 }))
                        height=(n(bottom)) {}
                } }
                line class="axis" x1="8" y1=(n(strip.axis)) x2=(n(WIDTH - 8.0)) y2=(n(strip.axis)) {}
                g clip-path={ "url(#" (clip) ")" } { (painted(drawing, &strip, View::Cut)) }
                @if place > 0 { (broken(strip.x(from), strip.axis, up)) }
                @if place + 1 < strips { (broken(strip.x(to), strip.axis, up)) }
                (tape(drawing, &strip, bottom))
                (balloons(drawing, &strip, View::Cut, 14.0, prefix, balloon))
            }
        }
    }
}

/// Where a strip is broken off and the next one goes on.
fn broken(x: f64, axis: f64, up: f64) -> Markup {
    let h = up + 4.0;
    html! {
        polyline class="broken" points={
            (n(x)) "," (n(axis - h)) " " (n(x)) "," (n(axis - 8.0)) " " (n(x - 5.0)) "," (n(axis - 3.0)) " "
            (n(x + 5.0)) "," (n(axis + 3.0)) " " (n(x)) "," (n(axis + 8.0)) " " (n(x)) "," (n(axis + h))
        } {}
    }
}

/// Stations from the nose tip, as on a tape laid along the rocket.
fn tape(drawing: &Drawing, strip: &Strip, y: f64) -> Markup {
    let unit = 1.0 / drawing.per_metre;
    let least = 46.0 / strip.scale / unit;
    let power = libm::pow(10_f64, libm::log10(least).floor());
    let step = [1.0, 2.0, 5.0, 10.0].into_iter().map(|s| s * power).find(|s| *s >= least).unwrap_or(least);
    let mut ticks = Vec::new();
    let mut at = (strip.from / unit / step - 1e-9).ceil() * step;
    while at * unit <= strip.to + 1e-9 && ticks.len() < 60 {
        ticks.push(at);
        at += step;
    }
    html! {
        g class="tape" {
            line x1=(n(strip.x(strip.from))) y1=(n(y)) x2=(n(strip.x(strip.to))) y2=(n(y)) {}
            @for tick in &ticks {
                line x1=(n(strip.x(tick * unit))) y1=(n(y)) x2=(n(strip.x(tick * unit))) y2=(n(y + 5.0)) {}
                text x=(n(strip.x(tick * unit))) y=(n(y + 17.0)) text-anchor="middle" { (n(*tick)) }
            }
            text x=(n(WIDTH - 8.0)) y=(n(y + 29.0)) text-anchor="end" { "station, " (drawing.unit) " aft from the nose tip" }
        }
    }
}

/// The whole drawing: outside and cut open. Each part's number is an anchor `{prefix}part-N` and leads where `balloon`
/// says. Nothing is drawn where not one part has a known place.
#[must_use]
pub fn sheet(drawing: &Drawing, prefix: &str, balloon: &dyn Fn(usize) -> Balloon) -> Markup {
    if drawing.parts.is_empty() || drawing.end() <= 0.0 || drawing.calibre <= 0.0 {
        return html! { p { "Not one part has a known place yet, so there is nothing to draw to scale." } };
    }
    html! {
        (outside(drawing, prefix, balloon))
        (cut(drawing, prefix, balloon))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_never_cover_one_another() {
        let places = spread(&[100.0, 101.0, 102.0, 300.0, 990.0, 995.0], 13.0, 987.0, APART);
        assert!(places.windows(2).all(|w| width(w) >= APART - 1e-9), "{places:?}");
        assert!(places.iter().all(|p| (13.0..=987.0).contains(p)), "{places:?}");
        assert!(spread(&[], 0.0, 10.0, APART).is_empty());
    }
}
