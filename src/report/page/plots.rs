//! The plots of a page: the ascent, stability, the descent, flutter and the lag of the bays.

use crate::design::FINS;
use crate::engineering::STANDARD_GRAVITY;
use crate::quantity::{Dimension, Quantity, Time};
use crate::report::plot::{Plot, Scale};
use crate::report::reading::Reading;
use crate::report::tables::bays;
use crate::report::timeline;
use crate::review::{Band, SpreadCourses};
use crate::rules::Library;

/// Points along the ascent.
const POINTS: f64 = 160.0;
/// A flutter ratio above this is far from mattering.
const FAR: f64 = 6.0;

/// The plots that can be drawn, and why the others cannot.
pub(super) fn plots(
    reading: Reading<'_>,
    library: &Library,
    courses: Option<&SpreadCourses>,
) -> (Vec<Plot>, Vec<String>) {
    let (mut plots, mut lacking) = (Vec::new(), Vec::new());
    match reading.model.fly() {
        Ok(flight_result) => {
            let calm = flight_result.calm();
            let apart = Time::from_si((calm.apogee.time.si() / POINTS).max(0.01));
            let moments = flight_result.moments(apart);
            let plot = |title: &str,
                        dimension,
                        marks: &[(f64, f64, &str)],
                        of: &dyn Fn(&crate::engineering::ascent::Moment) -> f64| {
                let largest = moments.iter().map(of).fold(0.0, f64::max);
                let scale = Scale::of(reading, dimension, largest);
                let points = moments.iter().map(|m| (m.time.si(), of(m) * scale.factor)).collect();
                let said =
                    |(t, v, w): &(f64, f64, &str)| (*t, v * scale.factor, format!("{w} {}", scale.words(*v)));
                let marks = marks.iter().map(said).collect();
                let plot = Plot {
                    title: title.to_owned(),
                    across: "s since ignition".to_owned(),
                    unit: scale.unit.clone(),
                    lines: vec![(title.to_owned(), points)],
                    marks,
                    ..Plot::default()
                };
                (plot, scale)
            };
            let burnout = calm.burnout.time.si();
            let (mut height, scale) = plot(
                "Height above the field",
                Dimension::LENGTH,
                &[
                    (burnout, calm.burnout.height.si(), "burnout"),
                    (calm.apogee.time.si(), calm.apogee.height.si(), "apogee"),
                ],
                &|m| m.height.si(),
            );
            if let Some(ceiling) = ceiling(reading) {
                height.limit = Some((ceiling * scale.factor, "ceiling".to_owned()));
            }
            height.band = courses.map(|all| banded(&all.heights, scale.factor)).unwrap_or_default();
            plots.push(height);
            let peak = calm.top_speed;
            let (mut speed, scale) = plot(
                "Speed",
                Dimension::SPEED,
                &[
                    (calm.rail_exit.time.si(), calm.rail_exit.speed.si(), "off the rail"),
                    (peak.time.si(), peak.value.si(), "top speed"),
                ],
                &|m| m.speed.si(),
            );
            speed.band = courses.map(|all| banded(&all.speeds, scale.factor)).unwrap_or_default();
            plots.push(speed);
            let (mut acceleration, scale) =
                plot("Size of the acceleration", Dimension::ACCELERATION, &[], &|m| m.acceleration.si());
            let hardest = moments.iter().max_by(|a, b| a.acceleration.si().total_cmp(&b.acceleration.si()));
            acceleration.marks = hardest
                .map(|m| {
                    let size = m.acceleration.si();
                    let words = format!("{}, {:.1} g", scale.words(size), size / STANDARD_GRAVITY);
                    (m.time.si(), size * scale.factor, words)
                })
                .into_iter()
                .collect();
            plots.push(acceleration);
            match reading.model.margin_history(apart) {
                Ok(trajectory) => {
                    let least = trajectory.iter().copied().min_by(|a, b| a.1.total_cmp(&b.1));
                    let mark =
                        |(time, margin): (Time, f64)| (time.si(), margin, format!("least {margin:.2}"));
                    plots.push(Plot {
                        title: "Calibres of stability".to_owned(),
                        across: "s since ignition".to_owned(),
                        lines: vec![(
                            "stability".to_owned(),
                            trajectory.iter().map(|(time, margin)| (time.si(), *margin)).collect(),
                        )],
                        marks: least.map(mark).into_iter().collect(),
                        ..Plot::default()
                    });
                }
                Err(gap) => lacking.push(format!("Stability is not plotted: {}.", reading.why(&gap))),
            }
            for fins in reading.model.design().store.of_type(&FINS) {
                match reading.number(fins, "flutter_ratio") {
                    Ok(least) => {
                        // The ratio goes with one over the root of the dynamic pressure.
                        let q = calm.peak_dynamic_pressure.value.si();
                        let at = |m: &crate::engineering::ascent::Moment| {
                            let here = m.dynamic_pressure.si();
                            if here > 0.0 { (least * (q / here).sqrt()).min(FAR) } else { FAR }
                        };
                        let (mut plot, _) = plot(
                            "Flutter speed over airspeed (cut off at 6)",
                            Dimension::NUMBER,
                            &[(calm.peak_dynamic_pressure.time.si(), least, "least")],
                            &at,
                        );
                        plot.most = Some(FAR);
                        let limits = library.packs.iter().flat_map(|p| &p.limits);
                        if let Some(limit) = limits.into_iter().find(|l| l.name == "least_flutter_ratio") {
                            plot.limit = Some((limit.value.si, "least allowed".to_owned()));
                        }
                        plots.push(plot);
                    }
                    Err(gap) => lacking.push(format!("Flutter is not plotted: {}.", reading.why(&gap))),
                }
            }
        }
        Err(gap) => lacking.push(format!("The ascent is not plotted: {}.", reading.why(&gap))),
    }
    whole(reading, courses, &mut plots, &mut lacking);
    lag(reading, &mut plots, &mut lacking);
    (plots, lacking)
}

/// A band in the unit of a plot.
fn banded<T: Copy + Into<Quantity>>(band: &Band<T>, factor: f64) -> Vec<(f64, f64, f64)> {
    let size = |one: T| one.into().si * factor;
    band.iter().map(|(time, least, most)| (time.si(), size(*least), size(*most))).collect()
}

fn ceiling(reading: Reading<'_>) -> Option<f64> {
    let flight = reading.part(reading.root(), crate::design::rocket::flight)?;
    reading.si(flight, crate::design::flight::ceiling)
}

/// The whole flight, its events by the numbers of the timeline's table.
fn whole(
    reading: Reading<'_>,
    courses: Option<&SpreadCourses>,
    plots: &mut Vec<Plot>,
    lacking: &mut Vec<String>,
) {
    let Ok(timeline) = reading.model.timeline() else { return };
    let (mut plot, scale) = timeline::plot(reading, &timeline);
    plot.band = courses.map(|all| banded(&all.flight, scale.factor)).unwrap_or_default();
    plots.push(plot);
    if let Some(gap) = &timeline.gap {
        lacking.push(format!("The descent is not plotted: {}.", reading.why(gap)));
    }
}

fn lag(reading: Reading<'_>, plots: &mut Vec<Plot>, lacking: &mut Vec<String>) {
    let mut lines = Vec::new();
    for bay in bays(reading) {
        let Some(section) = reading.model.as_a(bay) else { continue };
        match reading.model.lag_course(section) {
            Ok(trajectory) => {
                let points: Vec<(f64, f64)> = trajectory.iter().map(|(t, h)| (t.si(), h.si())).collect();
                lines.push((reading.name(bay), points));
            }
            Err(gap) => lacking.push(format!(
                "The lag of {} is not plotted: {}.",
                reading.name(bay),
                reading.why(&gap)
            )),
        }
    }
    let largest = lines.iter().flat_map(|(_, points)| points).map(|(_, h)| *h).fold(0.0, f64::max);
    if lines.is_empty() || largest <= 0.0 {
        return;
    }
    let scale = Scale::of(reading, Dimension::LENGTH, largest);
    let most = lines.iter().flat_map(|(_, points)| points).max_by(|a, b| a.1.total_cmp(&b.1));
    let marks = most.map(|(t, h)| (*t, h * scale.factor, format!("at most {}", scale.words(*h))));
    let marks = marks.into_iter().collect();
    for point in lines.iter_mut().flat_map(|(_, points)| points) {
        point.1 *= scale.factor;
    }
    plots.push(Plot {
        title: "How much too low the altimeter bay reads".to_owned(),
        across: "s since ignition".to_owned(),
        unit: scale.unit,
        lines,
        marks,
        ..Plot::default()
    });
}
