//! Curves on paper: one line or more against time, as SVG.

use maud::{Markup, html};

use super::plot_labels::{Area, placed};
use super::reading::Reading;
use crate::quantity::{Dimension, Quantity};

const WIDTH: f64 = 480.0;
const HEIGHT: f64 = 250.0;
const LEFT: f64 = 54.0;
const RIGHT: f64 = 14.0;
const TOP: f64 = 14.0;
const BOTTOM: f64 = 40.0;

/// The unit in which the largest of some values is printed, and how many of it are in one of SI.
pub(super) struct Scale {
    pub(super) unit: String,
    pub(super) factor: f64,
}

impl Scale {
    pub(super) fn of(reading: Reading<'_>, dimension: Dimension, largest: f64) -> Self {
        let largest_shown = reading.model.shown(Quantity::new(largest, dimension).of_flight());
        let (value, unit) = largest_shown.value_and_unit();
        let factor = if largest == 0.0 { 1.0 } else { value / largest };
        Self { unit, factor }
    }

    /// A value of SI with its unit, as a mark of the plot says it.
    pub(super) fn words(&self, value: f64) -> String {
        let shown = value * self.factor;
        let number = if shown.abs() >= 100.0 { n(shown.round()) } else { n((shown * 10.0).round() / 10.0) };
        if self.unit.is_empty() { n(shown) } else { format!("{number} {}", self.unit) }
    }
}

/// A quantity against time.
#[derive(Clone, Debug, Default)]
pub(super) struct Plot {
    /// What it shows.
    pub(super) title: String,
    /// The words along the time axis.
    pub(super) across: String,
    /// The unit of the quantity; empty for a plain number.
    pub(super) unit: String,
    /// Lines by name: time in s, and the quantity in the unit.
    pub(super) lines: Vec<(String, Vec<(f64, f64)>)>,
    /// What nine in ten of many flights lie between: the time, the least and the most.
    pub(super) band: Vec<(f64, f64, f64)>,
    /// Moments worth a word: the time, the value and the words, which say the value.
    pub(super) marks: Vec<(f64, f64, String)>,
    /// A level that is not to be passed, with its words.
    pub(super) limit: Option<(f64, String)>,
    /// Nothing above this is drawn: what is far from mattering would flatten the rest.
    pub(super) most: Option<f64>,
}

/// Steps of 1, 2 or 5 that part a range into about so many.
pub(super) fn step(range: f64, about: f64) -> f64 {
    let rough = range / about;
    let power = libm::pow(10_f64, libm::log10(rough).floor());
    [1.0, 2.0, 5.0, 10.0].into_iter().map(|s| s * power).find(|s| *s >= rough).unwrap_or(rough)
}

/// A coordinate, to a hundredth.
pub(super) fn n(value: f64) -> String {
    let rounded = (value * 100.0).round() / 100.0;
    format!("{}", if rounded == 0.0 { 0.0 } else { rounded })
}

impl Plot {
    /// The plot as SVG; nothing where there is no point.
    pub(super) fn markup(&self) -> Markup {
        let all = || self.lines.iter().flat_map(|(_, points)| points);
        let latest = all().map(|(t, _)| *t).fold(0.0, f64::max);
        let seen = |value: f64| self.most.map_or(value, |most| value.min(most));
        let mut highest = all().map(|(_, v)| seen(*v)).fold(0.0, f64::max);
        highest = self.band.iter().map(|(.., most)| seen(*most)).fold(highest, f64::max);
        let lowest = all().map(|(_, v)| *v).fold(0.0, f64::min);
        if let Some((limit, _)) = &self.limit
            && *limit < highest * 2.5
        {
            highest = highest.max(*limit * 1.05);
        }
        if latest <= 0.0 || highest - lowest <= 0.0 || !latest.is_finite() || !highest.is_finite() {
            return html! {};
        }
        let (dt, dv) = (step(latest, 6.0), step(highest - lowest, 5.0));
        let top = (highest / dv).ceil() * dv;
        let base = (lowest / dv).floor() * dv;
        let x = |t: f64| LEFT + t / latest * (WIDTH - LEFT - RIGHT);
        let y = |v: f64| HEIGHT - BOTTOM - (v - base) / (top - base) * (HEIGHT - TOP - BOTTOM);
        let ticks = |from: f64, to: f64, by: f64| {
            #[allow(clippy::cast_possible_truncation, reason = "a handful of ticks")]
            let count = ((to - from) / by + 1e-6).floor() as i32;
            (0..=count.min(40)).map(move |i| from + by * f64::from(i))
        };
        let curves: Vec<Vec<(f64, f64)>> = self
            .lines
            .iter()
            .map(|(_, points)| points.iter().map(|(t, v)| (x(*t), y(seen(*v)))).collect())
            .collect();
        let marks: Vec<((f64, f64), &String)> =
            self.marks.iter().map(|(t, v, words)| ((x(*t), y(seen(*v))), words)).collect();
        let limit = self.limit.as_ref().filter(|(limit, _)| *limit <= top && *limit >= base);
        // The line of the limit with its words.
        let taken = limit.map(|(limit, _)| Area {
            left: LEFT,
            top: y(*limit) - 17.0,
            right: WIDTH - RIGHT,
            bottom: y(*limit) + 2.0,
        });
        let taken: Vec<Area> = taken.into_iter().collect();
        let frame = Area { left: LEFT + 1.0, top: 1.0, right: WIDTH, bottom: HEIGHT - BOTTOM - 1.0 };
        let words: Vec<((f64, f64), usize)> = marks.iter().map(|(at, w)| (*at, w.chars().count())).collect();
        let labels = placed(&words, &frame, &curves, &taken);
        html! {
            svg class="plot" viewBox={ "0 0 " (WIDTH) " " (HEIGHT) } role="img" aria-label=(self.title) {
                @for v in ticks(base, top, dv) {
                    line class="grid" x1=(n(LEFT)) y1=(n(y(v))) x2=(n(WIDTH - RIGHT)) y2=(n(y(v))) {}
                    text x=(n(LEFT - 6.0)) y=(n(y(v) + 4.0)) text-anchor="end" { (n(v)) }
                }
                @for t in ticks(0.0, latest, dt) {
                    line class="grid" x1=(n(x(t))) y1=(n(TOP)) x2=(n(x(t))) y2=(n(HEIGHT - BOTTOM)) {}
                    text x=(n(x(t))) y=(n(HEIGHT - BOTTOM + 15.0)) text-anchor="middle" { (n(t)) }
                }
                text x=(n(WIDTH - RIGHT)) y=(n(HEIGHT - 6.0)) text-anchor="end" { (self.across) }
                @if let Some((limit, words)) = limit {
                    line class="limit" x1=(n(LEFT)) y1=(n(y(*limit))) x2=(n(WIDTH - RIGHT)) y2=(n(y(*limit))) {}
                    text class="limit" x=(n(WIDTH - RIGHT - 4.0)) y=(n(y(*limit) - 5.0)) text-anchor="end" { (words) }
                }
                @if !self.band.is_empty() {
                    @let least = self.band.iter().rev().map(|(t, least, _)| (t, least));
                    @let most = self.band.iter().map(|(t, _, most)| (t, most));
                    polygon class="band" points=(
                        most.chain(least).map(|(t, v)| format!("{},{}", n(x(*t)), n(y(seen(*v))))).collect::<Vec<_>>().join(" ")
                    ) { title { "nine flights in ten" } }
                }
                @for (place, ((name, _), points)) in self.lines.iter().zip(&curves).enumerate() {
                    polyline class={ "curve curve-" (place % 4) } points=(
                        points.iter().map(|(x, y)| format!("{},{}", n(*x), n(*y))).collect::<Vec<_>>().join(" ")
                    ) { title { (name) } }
                }
                @for ((mark, words), one) in marks.iter().zip(labels) {
                    @if one.far {
                        @let (x, y) = one.nearest(*mark);
                        line class="leader" x1=(n(mark.0)) y1=(n(mark.1)) x2=(n(x)) y2=(n(y)) {}
                    }
                    circle class="moment" cx=(n(mark.0)) cy=(n(mark.1)) r="3" {}
                    text class="moment" x=(n(one.baseline().0)) y=(n(one.baseline().1)) { (words) }
                }
            }
        }
    }
}
