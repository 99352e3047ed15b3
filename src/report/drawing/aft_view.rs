//! The view from aft with the clock angles.

use super::Drawing;
use super::svg::{n, spread};
use maud::{Markup, html};

/// So many letters fit beside the clock.
const MOST_LETTERS: usize = 30;

/// What stands at which clock angle, seen from aft. Empty where no angle is known.
#[must_use]
pub fn aft_view(drawing: &Drawing) -> Markup {
    let mut angles: Vec<(f64, Vec<usize>)> = Vec::new();
    for one in &drawing.clocked {
        let Some(number) = drawing.parts.iter().position(|p| p.id == one.id) else { continue };
        let turn = one.angle.to_degrees().rem_euclid(360.0);
        match angles.iter_mut().find(|(a, _)| (a - turn).abs() < 0.05) {
            Some((_, numbers)) => {
                if !numbers.contains(&(number + 1)) {
                    numbers.push(number + 1);
                }
            }
            None => angles.push((turn, vec![number + 1])),
        }
    }
    angles.sort_by(|a, b| a.0.total_cmp(&b.0));
    if angles.is_empty() {
        return html! {};
    }
    let (centre, r) = ((500.0, 270.0), 190.0);
    html! {
        svg class="clock" viewBox="0 0 1000 540" role="img" aria-label="Clock angles, seen from aft" {
            circle class="skin" cx=(n(centre.0)) cy=(n(centre.1)) r=(n(r)) {}
            line class="axis" x1=(n(centre.0)) y1=(n(centre.1 - r - 8.0)) x2=(n(centre.0)) y2=(n(centre.1 + r + 8.0)) {}
            line class="axis" x1=(n(centre.0 - r - 8.0)) y1=(n(centre.1)) x2=(n(centre.0 + r + 8.0)) y2=(n(centre.1)) {}
            text x=(n(centre.0)) y=(n(centre.1 + r + 66.0)) text-anchor="middle" { "seen from aft" }
            // A clock to read angles by: a stroke every 10°, a number every 30°.
            @for ten in 0..36_u32 {
                @let angle = f64::from(ten * 10);
                @let (sin, cos) = libm::sincos(angle.to_radians());
                @let long = if ten % 3 == 0 { 12.0 } else { 6.0 };
                line class="tick" x1=(n(centre.0 + r * sin)) y1=(n(centre.1 - r * cos))
                    x2=(n(centre.0 + (r - long) * sin)) y2=(n(centre.1 - (r - long) * cos)) {}
                @if ten % 3 == 0 {
                    text class="tick" x=(n(centre.0 + (r - 28.0) * sin)) y=(n(centre.1 - (r - 28.0) * cos + 4.0)) text-anchor="middle" {
                        (n(angle)) "°"
                    }
                }
            }
            @for fin in drawing.clocked.iter().filter(|c| c.fin) {
                @let (sin, cos) = libm::sincos(fin.angle);
                line class="fin" x1=(n(centre.0 + r * sin)) y1=(n(centre.1 - r * cos))
                    x2=(n(centre.0 + (r + 42.0) * sin)) y2=(n(centre.1 - (r + 42.0) * cos)) {}
            }
            (clock_side(drawing, &angles, centre, r, true))
            (clock_side(drawing, &angles, centre, r, false))
        }
    }
}

/// What stands on one half of the clock, its words in a column beside it.
fn clock_side(
    drawing: &Drawing,
    angles: &[(f64, Vec<usize>)],
    centre: (f64, f64),
    r: f64,
    right: bool,
) -> Markup {
    let mut mine: Vec<(f64, f64, String)> = angles
        .iter()
        .filter(|(angle, _)| (*angle <= 180.0) == right)
        .map(|(angle, numbers)| {
            let (sin, cos) = libm::sincos(angle.to_radians());
            let mut numbers = numbers.clone();
            numbers.sort_unstable();
            let named = numbers.iter().filter_map(|number| {
                Some(format!("{number} {}", drawing.parts.get(number.checked_sub(1)?)?.what))
            });
            let named = named.collect::<Vec<_>>().join(", ");
            // Many parts at one angle are labelled by their numbers alone: the table of parts names them.
            let plain = || numbers.iter().map(ToString::to_string).collect::<Vec<_>>().join(", ");
            let label = if named.chars().count() > MOST_LETTERS { plain() } else { named };
            let words = format!("{}°: {label}", n((angle * 10.0).round() / 10.0));
            (centre.0 + r * sin, centre.1 - r * cos, words)
        })
        .collect();
    mine.sort_by(|a, b| a.1.total_cmp(&b.1));
    let wanted: Vec<f64> = mine.iter().map(|(_, y, _)| *y).collect();
    let places = spread(&wanted, 16.0, 524.0, 18.0);
    let column = if right { centre.0 + r + 64.0 } else { centre.0 - r - 64.0 };
    let (edge, anchor) = if right { (column - 4.0, "start") } else { (column + 4.0, "end") };
    html! {
        @for ((x, y, words), at) in mine.into_iter().zip(places) {
            line class="leader" x1=(n(x)) y1=(n(y)) x2=(n(edge)) y2=(n(at)) {}
            circle class="hole" cx=(n(x)) cy=(n(y)) r="4" {}
            text x=(n(column)) y=(n(at + 4.0)) text-anchor=(anchor) { (words) }
        }
    }
}
