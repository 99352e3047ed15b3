//! The landing plan: the field from above with the pad, the wind and the places where the rocket may come down; and a table of them.

use maud::{Markup, html};

use super::plot::{n, step};
use super::reading::{Cell, Reading};
use super::tables::Table;
use crate::design::{flight, pad, rocket};
use crate::engineering::landing;
use crate::engineering::landing_ellipse::Ellipse;
use crate::model::{LandingCase, LandingPlace, Lean, OnField};
use crate::quantity::{Angle, Length, Quantity};
use crate::review::{LandingArea, SpreadCourses};
use crate::vocabulary::Id;

const WIDTH: f64 = 440.0;
/// Room for words and marks around what is drawn to scale.
const MARGIN: f64 = 34.0;
/// Room for the wind's arrow above it, and for the scale below.
const HEAD: f64 = 30.0;
const FOOT: f64 = 30.0;
/// How far beside one another lines are drawn that lie on one another.
const LANE: f64 = 6.0;
/// Between two rows of labels.
const ROW: f64 = 15.0;
/// About how wide a letter is.
const LETTER: f64 = 5.9;

const ABOUT: &str = "Each place lies between two bounds: the rocket flies where its rail points, or it turns into the wind at once. \
    The wind blows from one side at every height.";

/// A place by its words.
pub(super) fn case_words(case: LandingCase) -> &'static str {
    match case {
        LandingCase::AsPlanned => "as planned",
        LandingCase::AllAtTop => "all open at the top",
        LandingCase::MainShut => "main stays shut",
        LandingCase::NothingOpens => "nothing opens",
    }
}

fn lean_words(lean: Lean) -> &'static str {
    match lean {
        Lean::Upright => "rail upright",
        Lean::AsStated => "rail as it leans",
        Lean::IntoWind => "rail leans into the wind",
        Lean::WithWind => "rail leans with the wind",
    }
}

/// The curve by whose colour and dashes a case is drawn.
fn curve(case: LandingCase) -> usize {
    match case {
        LandingCase::AsPlanned => 0,
        LandingCase::AllAtTop => 1,
        LandingCase::MainShut => 2,
        LandingCase::NothingOpens => 3,
    }
}

fn shown(reading: Reading<'_>, length: Length) -> String {
    reading.model.shown(Quantity::from(length).of_flight()).to_string()
}

/// The landing places in words; without rows where they are not known.
pub(super) fn table(reading: Reading<'_>) -> Table {
    let head =
        ["what opens", "flying where the rail points", "turned into the wind", "from the pad, at most"];
    let mut table = Table {
        title: "Landing places".to_owned(),
        about: ABOUT.to_owned(),
        head: head.map(str::to_owned).to_vec(),
        rows: Vec::new(),
    };
    let Ok(places) = reading.model.landing_places() else { return table };
    let several = places.iter().any(|place| place.lean == Lean::WithWind);
    let radius = field_of(reading).radius;
    for place in &places {
        let case = case_words(place.case);
        let name = if several { format!("{case}, {}", lean_words(place.lean)) } else { case.to_owned() };
        let far = farther(place);
        let outside = radius.is_some_and(|radius| far.si() > radius);
        let far =
            format!("{}{}", shown(reading, far), if outside { ", beyond the recovery radius" } else { "" });
        let row = [name, spot_words(reading, place.straight), spot_words(reading, place.turned), far];
        table.rows.push(row.map(Cell::Known).to_vec());
    }
    table
}

fn farther(place: &LandingPlace) -> Length {
    let [a, b] = [place.straight, place.turned].map(|(upwind, across)| landing::distance(upwind, across));
    if a > b { a } else { b }
}

/// A place by its way from the pad.
pub(super) fn spot_words(reading: Reading<'_>, (upwind, across): OnField) -> String {
    let size = |length: Length| shown(reading, Length::from_si(length.si().abs()));
    // Less than a tenth of a rocket's length.
    let small = |length: Length| length.si().abs() < 0.1;
    let mut words = Vec::new();
    if !small(upwind) {
        words.push(format!("{} {}", size(upwind), if upwind.si() > 0.0 { "upwind" } else { "downwind" }));
    }
    if !small(across) {
        let side = if across.si() > 0.0 { "right" } else { "left" };
        words.push(format!("{} to the {side}", size(across)));
    }
    if words.is_empty() { "at the pad".to_owned() } else { words.join(", ") }
}

/// Why there is no plan.
pub(super) fn lacking(reading: Reading<'_>) -> Option<String> {
    reading.model.landing_places().err().map(|gap| reading.why(&gap))
}

/// What is written of the field, in metres.
#[derive(Default)]
struct Field {
    radius: Option<f64>,
    across: Option<f64>,
    people: Option<f64>,
    people_side: Option<f64>,
    wind: Option<Quantity>,
    /// Whether the wind above is written down.
    aloft: bool,
}

fn field_of(reading: Reading<'_>) -> Field {
    let Some(site) = reading.part(reading.root(), rocket::flight) else { return Field::default() };
    let near: Option<Id<crate::design::Pad>> = reading.part(site, flight::pad);
    Field {
        radius: reading.si(site, flight::recovery_radius),
        across: near.and_then(|near| reading.si(near, pad::field_across)),
        people: near.and_then(|near| reading.si(near, pad::people_distance)),
        people_side: near
            .and_then(|near| reading.si(near, pad::people_azimuth))
            .map(|side| side - reading.model.wind_veer().map_or(0.0, |veer| veer.si())),
        wind: reading.quantity(site, flight::wind),
        aloft: reading.model.value(site, flight::winds_aloft).is_some(),
    }
}

/// A label and where it points.
struct Label {
    words: String,
    case: LandingCase,
    at: (f64, f64),
    /// Above the pad's line, or below it.
    above: bool,
    row: usize,
}

/// From the field to the drawing: the wind blows from left to right.
struct Frame {
    scale: f64,
    x: f64,
    y: f64,
    height: f64,
}

impl Frame {
    /// The frame that holds the places and the circles around the pad.
    fn around(spots: &[OnField], circles: &[f64]) -> Self {
        let most = circles.iter().copied().fold(1.0, f64::max);
        let (mut up, mut down, mut right, mut left) = (most, most, most, most);
        for (upwind, across) in spots {
            up = up.max(upwind.si());
            down = down.max(-upwind.si());
            right = right.max(across.si());
            left = left.max(-across.si());
        }
        let scale = (WIDTH - 2.0 * MARGIN) / (up + down);
        let room = WIDTH - 2.0 * MARGIN;
        // A field that is much higher than wide is drawn smaller.
        let scale = scale.min(1.25 * room / (right + left));
        Self {
            scale,
            x: MARGIN + up * scale + 0.5 * (room - scale * (up + down)),
            y: HEAD + right * scale,
            height: HEAD + FOOT + (right + left) * scale,
        }
    }

    fn at(&self, (upwind, across): OnField) -> (f64, f64) {
        (self.x - upwind.si() * self.scale, self.y - across.si() * self.scale)
    }
}

/// The plan as SVG; nothing where the places are not known.
pub(super) fn plan(reading: Reading<'_>, areas: &[LandingArea]) -> Markup {
    let Ok(places) = reading.model.landing_places() else { return html! {} };
    let field = field_of(reading);
    let spots: Vec<OnField> = places.iter().flat_map(|place| [place.straight, place.turned]).collect();
    let ends: Vec<OnField> = areas.iter().flat_map(|area| ends(&area.ellipse)).collect();
    let spots: Vec<OnField> = spots.into_iter().chain(ends).collect();
    let farthest = spots.iter().map(|(u, c)| landing::distance(*u, *c).si()).fold(0.0, f64::max);
    let circles: Vec<f64> = field.radius.into_iter().chain(field.people).collect();
    let reach = circles.iter().copied().fold(farthest, f64::max);
    // A field that is far larger than all of this would leave it too small to read.
    let edge = field.across.map(|across| 0.5 * across).filter(|edge| *edge <= 1.6 * reach);
    let all: Vec<f64> = circles.iter().copied().chain(edge).collect();
    let frame = Frame::around(&spots, &all);
    let (labels, lines) = laid_out(&frame, &places);
    let pad_at = (frame.x, frame.y);
    let metre = frame.scale;
    let bar = step(110.0 / metre, 1.0).min(160.0 / metre);
    let words = description(reading, &places);
    html! {
        svg class="plan" viewBox={ "0 0 " (WIDTH) " " (n(frame.height)) } role="img" aria-label="Landing plan: the field from above" {
            title { "Landing plan" }
            desc { (words) }
            @if let Some(edge) = edge {
                circle class="edge" cx=(n(pad_at.0)) cy=(n(pad_at.1)) r=(n(edge * metre)) {}
            }
            @if let Some(radius) = field.radius {
                circle class="limit" cx=(n(pad_at.0)) cy=(n(pad_at.1)) r=(n(radius * metre)) {}
            }
            (people(&field, &frame))
            (wind(reading, &field))
            (lean(reading, &frame))
            @for area in areas {
                (area_markup(area, &frame))
            }
            @for line in &lines {
                (place_markup(line))
            }
            line class="pad" x1=(n(pad_at.0 - 7.0)) y1=(n(pad_at.1)) x2=(n(pad_at.0 + 7.0)) y2=(n(pad_at.1)) {}
            line class="pad" x1=(n(pad_at.0)) y1=(n(pad_at.1 - 7.0)) x2=(n(pad_at.0)) y2=(n(pad_at.1 + 7.0)) {}
            @for label in &labels {
                (label_markup(label, &frame))
            }
            (scale_bar(reading, bar, &frame))
        }
    }
}

/// The outermost places of an ellipse, along both axes.
fn ends(ellipse: &Ellipse) -> [OnField; 4] {
    let ends = |along: Length, side: Angle| {
        let (upwind, across) = landing::against_wind(along, side);
        let (x, y) = ellipse.middle;
        [(x + upwind, y + across), (x - upwind, y - across)]
    };
    let [a, b] = ends(ellipse.long, ellipse.side);
    let [c, d] = ends(ellipse.short, ellipse.side + Angle::from_si(std::f64::consts::FRAC_PI_2));
    [a, b, c, d]
}

/// Where nine in ten of many flights land.
fn area_markup(area: &LandingArea, frame: &Frame) -> Markup {
    let ellipse = area.ellipse;
    let (x, y) = frame.at(ellipse.middle);
    let size = |length: Length| n((length.si() * frame.scale).max(1.0));
    // Upwind is to the left, and what is to the right of that is above.
    let turn = ellipse.side.si().to_degrees();
    html! {
        ellipse class={ "area curve-" (curve(area.case)) } cx=(n(x)) cy=(n(y)) rx=(size(ellipse.long)) ry=(size(ellipse.short))
            transform={ "rotate(" (n(turn)) " " (n(x)) " " (n(y)) ")" } {
            title { "nine flights in ten land here: " (case_words(area.case)) }
        }
    }
}

/// A place on the drawing: its two bounds.
struct Line {
    case: LandingCase,
    with_wind: bool,
    straight: (f64, f64),
    turned: (f64, f64),
}

/// The lines of all places, and where their labels go: above the pad's line those of the first lean, below it those of the second.
fn laid_out(frame: &Frame, places: &[LandingPlace]) -> (Vec<Label>, Vec<Line>) {
    let two = places.iter().any(|place| place.lean == Lean::WithWind);
    let mut labels: Vec<Label> = Vec::new();
    let mut lines: Vec<Line> = Vec::new();
    for (number, place) in places.iter().enumerate() {
        let with_wind = place.lean == Lean::WithWind;
        let above = if two { !with_wind } else { number % 2 == 0 };
        let side = if above { -LANE } else { LANE };
        let [straight, turned] = [place.straight, place.turned].map(|spot| frame.at(spot));
        // The pad's own line stays free, for its cross.
        let mut lane =
            if (straight.1 - frame.y).abs() + (turned.1 - frame.y).abs() < LANE { side } else { 0.0 };
        let beside = |lane: f64| [(straight.0, straight.1 + lane), (turned.0, turned.1 + lane)];
        while lines.iter().any(|line| line.touches(beside(lane))) {
            lane += side;
        }
        let [straight, turned] = beside(lane);
        labels.push(Label {
            words: case_words(place.case).to_owned(),
            case: place.case,
            at: (0.5 * (straight.0 + turned.0), 0.5 * (straight.1 + turned.1)),
            above,
            row: 0,
        });
        lines.push(Line { case: place.case, with_wind, straight, turned });
    }
    // From left to right the rows come nearer to the line, so that no pointer crosses a label that reads to the right.
    for above in [true, false] {
        let mut side: Vec<&mut Label> = labels.iter_mut().filter(|label| label.above == above).collect();
        side.sort_by(|a, b| b.at.0.total_cmp(&a.at.0));
        for (row, label) in side.into_iter().enumerate() {
            label.row = row;
        }
    }
    (labels, lines)
}

impl Line {
    /// Whether another line would lie on this one.
    fn touches(&self, [from, to]: [(f64, f64); 2]) -> bool {
        let range = |a: f64, b: f64| (a.min(b) - LANE, a.max(b) + LANE);
        let (mine, other) = (range(self.straight.0, self.turned.0), range(from.0, to.0));
        let apart = 0.5 * (self.straight.1 + self.turned.1 - from.1 - to.1).abs();
        mine.0 < other.1 && other.0 < mine.1 && apart < 0.9 * LANE
    }
}

fn place_markup(line: &Line) -> Markup {
    let ((x1, y1), (x2, y2)) = (line.straight, line.turned);
    let class = format!("place curve-{}", curve(line.case));
    html! {
        g class=(class) {
            title { (case_words(line.case)) @if line.with_wind { ", rail leans with the wind" } }
            line x1=(n(x1)) y1=(n(y1)) x2=(n(x2)) y2=(n(y2)) {}
            circle class="straight" cx=(n(x1)) cy=(n(y1)) r="3.2" {}
            circle class="turned" cx=(n(x2)) cy=(n(y2)) r="3.6" {}
        }
    }
}

fn label_markup(label: &Label, frame: &Frame) -> Markup {
    let (x, y) = label.at;
    #[allow(clippy::cast_precision_loss, reason = "a few rows, short words")]
    let (row, wide) = (label.row as f64, label.words.chars().count() as f64 * LETTER);
    let away = 3.0 * LANE + 20.0 + ROW * row;
    let line = if label.above { frame.y - away } else { frame.y + away };
    // Beside a place off the pad's line, the label stands at the place itself.
    let line = if (y - frame.y).abs() > 5.0 * LANE {
        if label.above { y - 14.0 - ROW * row } else { y + 14.0 + ROW * row }
    } else {
        line
    };
    let ends = x + 4.0 + wide > WIDTH;
    let meets = if label.above { line + 2.0 } else { line - 10.0 };
    html! {
        line class={ "leader curve-" (curve(label.case)) } x1=(n(x)) y1=(n(y)) x2=(n(x)) y2=(n(meets)) {}
        text class="label" x=(n(if ends { x - 3.0 } else { x + 3.0 })) y=(n(line)) text-anchor=(if ends { "end" } else { "start" }) {
            (label.words)
        }
    }
}

/// The people: on their side, or all around where nobody has said on which.
fn people(field: &Field, frame: &Frame) -> Markup {
    let Some(far) = field.people else { return html! {} };
    match field.people_side {
        Some(side) => {
            let (x, y) = frame.at(landing::against_wind(Length::from_si(far), Angle::from_si(side)));
            html! {
                rect class="people" x=(n(x - 4.0)) y=(n(y - 4.0)) width="8" height="8" {}
                text class="people" x=(n(x + 8.0)) y=(n(y + 4.0)) { "people" }
            }
        }
        None => {
            let r = far * frame.scale;
            html! {
                circle class="people" cx=(n(frame.x)) cy=(n(frame.y)) r=(n(r)) { title { "people, no nearer than this on any side" } }
            }
        }
    }
}

fn wind(reading: Reading<'_>, field: &Field) -> Markup {
    let Some(wind) = field.wind else { return html! {} };
    html! {
        line class="wind" x1="8" y1="14" x2="52" y2="14" {}
        polygon class="wind" points="52,9.5 62,14 52,18.5" {}
        text class="wind" x="68" y="18" { "wind " (reading.model.shown(wind)) @if field.aloft { " at the ground" } }
    }
}

/// The side to which the rail leans, where that is written down.
fn lean(reading: Reading<'_>, frame: &Frame) -> Markup {
    let Some(azimuth) = reading.model.lean_of_rail() else { return html! {} };
    let (upwind, across) = landing::against_wind(Length::from_si(1.0), azimuth);
    let (dx, dy) = (-upwind.si(), -across.si());
    let tip = (frame.x + 24.0 * dx, frame.y + 24.0 * dy);
    let wing = |side: f64| {
        format!("{},{}", n(tip.0 - 7.0 * dx + side * 3.5 * dy), n(tip.1 - 7.0 * dy - side * 3.5 * dx))
    };
    html! {
        g class="lean" {
            title { "the rail leans this way" }
            line x1=(n(frame.x)) y1=(n(frame.y)) x2=(n(tip.0)) y2=(n(tip.1)) {}
            polygon points={ (n(tip.0)) "," (n(tip.1)) " " (wing(1.0)) " " (wing(-1.0)) } {}
        }
    }
}

/// How long a round distance is on the drawing, in the author's unit.
fn scale_bar(reading: Reading<'_>, about: f64, frame: &Frame) -> Markup {
    let (value, unit) =
        reading.model.shown(Quantity::from(Length::from_si(about)).of_flight()).value_and_unit();
    let round = step(value * 0.5, 1.0);
    let wide = round * about / value * frame.scale;
    let y = frame.height - 10.0;
    html! {
        line class="bar" x1="8" y1=(n(y)) x2=(n(8.0 + wide)) y2=(n(y)) {}
        line class="bar" x1="8" y1=(n(y - 4.0)) x2="8" y2=(n(y + 4.0)) {}
        line class="bar" x1=(n(8.0 + wide)) y1=(n(y - 4.0)) x2=(n(8.0 + wide)) y2=(n(y + 4.0)) {}
        text x=(n(14.0 + wide)) y=(n(y + 4.0)) { (n(round)) " " (unit) }
    }
}

/// The drawing in words, for who cannot see it.
fn description(reading: Reading<'_>, places: &[LandingPlace]) -> String {
    let each = places.iter().map(|place| {
        format!(
            "{} ({}): {} to {}",
            case_words(place.case),
            lean_words(place.lean),
            spot_words(reading, place.straight),
            spot_words(reading, place.turned)
        )
    });
    format!("The wind blows from left to right. {}.", each.collect::<Vec<_>>().join("; "))
}

/// What the circles are. Their words would lie on the lines of a small field.
fn legend(reading: Reading<'_>, field: &Field) -> Markup {
    let all_around = field.people.filter(|_| field.people_side.is_none());
    let rows = [
        ("limit", "recovery radius", field.radius),
        ("edge", "edge of the field, for a pad in its middle", field.across.map(|across| 0.5 * across)),
        ("people", "people, no nearer on any side", all_around),
    ];
    html! {
        ul class="legend" {
            @for (class, words, radius) in rows {
                @if let Some(radius) = radius {
                    li {
                        svg class="sample" viewBox="0 0 34 8" aria-hidden="true" { line class=(class) x1="0" y1="4" x2="34" y2="4" {} }
                        " " (words) ", " (shown(reading, Length::from_si(radius)))
                    }
                }
            }
        }
    }
}

/// The plan with what a reader must know of it.
pub(super) fn figure(reading: Reading<'_>, courses: Option<&SpreadCourses>) -> Markup {
    if lacking(reading).is_some() {
        return html! {};
    }
    let field = field_of(reading);
    let areas = courses.map_or(&[][..], |all| &all.areas);
    html! {
        figure class="landing" {
            (plan(reading, areas))
            figcaption {
                (legend(reading, &field))
                p {
                    "The field from above, the cross is the pad. Each line goes from where the rocket lands if it flies where its rail points (open dot) \
                     to where it lands if it turns into the wind at once (full dot). Lines that lie on one another are drawn side by side."
                    @if !areas.is_empty() {
                        " The shaded areas are where nine in ten of the flights of the spread land, however they turn into the wind."
                    }
                }
            }
        }
    }
}
