//! The timeline of a flight: its events in a table, and their numbers along the trajectory.

use maud::{Markup, html};

use super::plot::{Plot, Scale};
use super::reading::{Cell, Reading};
use super::tables::Table;
use crate::design::circuit;
use crate::model::{Event, Timeline, TimelineEvent};
use crate::quantity::{Dimension, Quantity, Time};
use crate::vocabulary::EntityId;

const ABOUT: &str = "The flight as planned, in still air. The numbers stand along the plot of the whole flight. Heights are above the field; the speed is that over the ground on the way up, and \
    that of the fall just before on the way down.";

/// The events of the flight, numbered in order; without rows where the ascent is not known.
pub(super) fn table(reading: Reading<'_>) -> Table {
    let head = ["no.", "what happens", "since ignition", "height", "speed"];
    let mut table = Table {
        title: "Timeline".to_owned(),
        about: ABOUT.to_owned(),
        head: head.map(str::to_owned).to_vec(),
        rows: Vec::new(),
    };
    let Ok(timeline) = reading.model.timeline() else { return table };
    if let Some(gap) = &timeline.gap {
        table.about = format!("{ABOUT} The way down is not known: {}.", reading.why(gap));
    }
    let landings = timeline.events.iter().filter(|one| matches!(one.event, Event::Lands(_))).count();
    for (place, one) in timeline.events.iter().enumerate() {
        let measure = |quantity: Quantity| Cell::Known(reading.model.shown(quantity.of_flight()).to_string());
        table.rows.push(vec![
            Cell::Known((place + 1).to_string()),
            Cell::Known(words(reading, one, landings)),
            Cell::Known(seconds(one.time)),
            measure(one.height.into()),
            measure(one.speed.into()),
        ]);
    }
    table
}

/// The tenth of a second is as much as a flight keeps to.
fn seconds(time: Time) -> String {
    let decimals = if time.si() < 10.0 { 2 } else { 1 };
    format!("{:.decimals$} s", time.si())
}

fn words(reading: Reading<'_>, event: &TimelineEvent, landings: usize) -> String {
    let name = |id: EntityId| reading.name(id);
    match event.event {
        Event::Ignition => "ignition".to_owned(),
        Event::LiftOff => "lift-off".to_owned(),
        Event::OffTheRail => "off the rail".to_owned(),
        Event::Burnout => "burnout".to_owned(),
        Event::Apogee => "apogee".to_owned(),
        Event::Channel(wired) => {
            let of = |id: Option<EntityId>| id.map(name).unwrap_or_default();
            let by = of(reading.part(wired, circuit::altimeter).map(crate::vocabulary::Id::any));
            let fires = of(reading.part(wired, circuit::fires).map(crate::vocabulary::Id::any));
            format!("altimeter {by} fires {fires}")
        }
        Event::MotorCharge => "the motor's charge fires".to_owned(),
        Event::Opens(canopy) => format!("{} opens", name(canopy.any())),
        Event::Lands(_) if landings == 1 => "landing".to_owned(),
        Event::Lands(section) => format!("landing of {} and what hangs with it", name(section.any())),
    }
}

/// The height along the flight, with the numbers of the events.
pub(super) fn plot(reading: Reading<'_>, timeline: &Timeline) -> (Plot, Scale) {
    let heights = timeline.trajectory.iter().map(|(_, height)| height.si());
    let highest = heights.fold(0.0, f64::max);
    let scale = Scale::of(reading, Dimension::LENGTH, highest);
    let longest = timeline.trajectory.iter().map(|(time, _)| time.si()).fold(0.0, f64::max);
    let mut marks: Vec<(f64, f64, usize, usize)> = Vec::new();
    for (place, one) in timeline.events.iter().enumerate() {
        let (t, h) = (one.time.si(), one.height.si());
        // Events that lie on one spot of the drawing share a mark.
        let near = |mark: &&mut (f64, f64, usize, usize)| {
            (mark.0 - t).abs() < 0.08 * longest && (mark.1 - h).abs() < 0.07 * highest
        };
        match marks.last_mut().filter(near) {
            Some(mark) => mark.3 = place + 1,
            None => marks.push((t, h, place + 1, place + 1)),
        }
    }
    let marks = marks.into_iter().map(|(t, h, first, last)| {
        let words = if first == last { first.to_string() } else { format!("{first}–{last}") };
        (t, h * scale.factor, words)
    });
    let plot = Plot {
        title: "The whole flight: height above the field".to_owned(),
        across: "s since ignition".to_owned(),
        unit: scale.unit.clone(),
        marks: marks.collect(),
        lines: vec![(
            "height".to_owned(),
            timeline.trajectory.iter().map(|(t, h)| (t.si(), h.si() * scale.factor)).collect(),
        )],
        ..Plot::default()
    };
    (plot, scale)
}

/// The plot by itself, for papers; nothing where the ascent is not known.
pub(super) fn figure(reading: Reading<'_>) -> Markup {
    let Ok(timeline) = reading.model.timeline() else { return html! {} };
    let (plot, _) = plot(reading, &timeline);
    html! {
        div class="plots" { figure { figcaption { (plot.title) ", " (plot.unit) } (plot.markup()) } }
    }
}
