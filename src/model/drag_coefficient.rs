//! The drag coefficient that is shown, and how it comes about, step by step.

use super::airflow::{Built, Law, law};
use super::computed::computed;
use super::launch_site::air_at_field;
use super::planform::planform_lines;
use super::sections::{sections, sections_or_none};
use super::{AnyComputed, EvalContext, Formula, Outcome, both};
use crate::design::{Rocket, fins, section};
use crate::engineering::drag;
use crate::engineering::drag::law::{DragLaw, Flow};
use crate::quantity::{Dimension, Quantity};
use crate::vocabulary::Id;

/// The Mach number at which the drag coefficient is shown: slow enough for no rise, fast enough to matter.
const SHOWN_AT: f64 = 0.3;

computed! {
    /// The drag coefficient while coasting at Mach 0.3 at the field, on the reference area.
    DRAG_COEFFICIENT: "drag_coefficient" of Rocket gives f64,
        Formula::expression("{body} + {fins} + {edges of the fins} + {base} + {interference} + {buttons}"),
        "the build-up of S. F. Hoerner, Fluid-Dynamic Drag (from memory)", coefficient;
}

pub(super) const COMPUTED: &[&dyn AnyComputed] = &[&DRAG_COEFFICIENT];

fn coefficient(ctx: &EvalContext<'_>, root: Id<Rocket>) -> Outcome<f64> {
    let (law, air) = both(law(ctx, root), air_at_field(ctx, root))?;
    let airspeed = air.speed_of_sound * SHOWN_AT;
    let flow = Flow { air, airspeed, mach: SHOWN_AT, burning: false };
    if ctx.is_recording() {
        match &law {
            Law::Steady(_) => ctx.formula(|| Formula::choice("{coefficient}, as stated under `drag`")),
            Law::Table(_) => ctx.formula(|| Formula::method("read off the stated curve at Mach 0.3")),
            Law::BuildUp(built) => record_build_up(ctx, built, &flow)?,
        }
    }
    Ok(law.coefficient(&flow))
}

/// The parts of the build-up, each with what it is the product of.
fn record_build_up(ctx: &EvalContext<'_>, built: &Built, flow: &Flow) -> Outcome<()> {
    let parts = ctx.or_refuse(built.at(flow))?;
    let of = ctx.or_refuse(drag::factors(&built.airframe, flow.mach, built.reynolds(flow)))?;
    let expression = |text: &'static str| move || Formula::expression(text);
    let number = Quantity::number;
    ctx.step("speed of sound", || Formula::method("ideal gas at `temperature`"), flow.air.speed_of_sound);
    ctx.step("airspeed", expression("0.3 × {speed of sound}"), flow.airspeed);
    ctx.step(
        "density of the air",
        || Formula::method("ideal gas at `temperature` and the standard pressure of `site_elevation`"),
        flow.air.density,
    );
    let viscosity = Quantity::new(
        flow.air.viscosity,
        Dimension::PRESSURE.times(Dimension::TIME).unwrap_or(Dimension::NUMBER),
    );
    ctx.step("viscosity of the air", || Formula::method("Sutherland's formula at `temperature`"), viscosity);
    ctx.step(
        "Re, Reynolds number of the body",
        expression("{density of the air} × {airspeed} × {length} / {viscosity of the air}"),
        number(built.reynolds(flow)),
    );
    ctx.step(
        "friction of the body",
        expression("greatest of (0.455 / log({Re})^2.58 × (1 − 0.1 × 0.3²), 0.032 × ({surface_roughness} / {length})^0.2 × (1 − 0.12 × 0.3²))"),
        number(of.body_friction),
    );
    ctx.step(
        "form factor of the body",
        expression("1 + 1.5 / ({length} / {calibre})^1.5 + 7 / ({length} / {calibre})³"),
        number(of.body_form),
    );
    ctx.step(
        "body",
        expression("{friction of the body} × {form factor of the body} × {skin} / (π / 4 × {calibre}²)"),
        number(parts.body),
    );
    let sections = sections(ctx)?;
    let sets = sections.iter().filter_map(|section| ctx.part(section, section::fins).ok().flatten());
    for set in sets {
        let [root, tip, span, _] = planform_lines(ctx, set);
        let (thick, count) = (ctx.field_line(set, fins::thickness), ctx.field_line(set, fins::count));
        ctx.step(
            "mean chord of the fins",
            || Formula::Expression(format!("({root} + {tip}) / 2").into()),
            built.airframe.fins.mean_chord,
        );
        ctx.step(
            "friction of the fins",
            expression(
                "greatest of (0.455 / log({Re} × {mean chord of the fins} / {length})^2.58 × (1 − 0.1 × 0.3²), 0.032 × ({surface_roughness} / {mean chord of the fins})^0.2 × (1 − 0.12 × 0.3²))",
            ),
            number(of.fin_friction),
        );
        ctx.step(
            "form factor of the fins",
            || {
                let ratio = format!("{thick} / {{mean chord of the fins}}");
                Formula::Expression(format!("1 + 2 × {ratio} + 60 × ({ratio})^4").into())
            },
            number(of.fin_form),
        );
        ctx.step(
            "fins",
            || {
                let faces = format!("2 × {count} × {span} × {{mean chord of the fins}}");
                let text = format!(
                    "{{friction of the fins}} × {{form factor of the fins}} × {faces} / (π / 4 × {{calibre}}²)"
                );
                Formula::Expression(text.into())
            },
            number(parts.fins),
        );
    }
    record_edges(ctx, built, &parts, of.fin_friction);
    ctx.step("base", expression("0.029 / √({body}) × ({wake_diameter} / {calibre})³"), number(parts.base));
    ctx.step("interference", expression("0.05 × ({body} + {fins})"), number(parts.interference));
    ctx.step(
        "buttons",
        expression("{frontal area of what stands out} / (π / 4 × {calibre}²)"),
        number(parts.buttons),
    );
    Ok(())
}

/// The drag of the edges of the fins, by their shape.
fn record_edges(ctx: &EvalContext<'_>, built: &Built, parts: &drag::Drag, friction: f64) {
    let of = built.airframe.fins;
    let all = sections_or_none(ctx);
    let set = all.into_iter().find_map(|section| ctx.part(section, section::fins).ok().flatten());
    let leading = match of.edges {
        drag::Edges::Tapered => {
            let said = set.is_some_and(|set| ctx.has(set, fins::edges) == Ok(true));
            let none = || {
                Formula::fixed(if said {
                    "round in front and thin behind: nothing beyond friction and form"
                } else {
                    "their shape (`edges`) is not written: nothing is added, and blunt ones drag more than this"
                })
            };
            ctx.step("edges of the fins", none, Quantity::number(parts.edges));
            return;
        }
        drag::Edges::Rounded => "1 / (1 − 0.3²)^0.417 − 1",
        drag::Edges::Square => "0.85 × (1 + 0.3² / 4 + 0.3^4 / 40)",
    };
    let front = drag::leading_edge(of.edges, SHOWN_AT).unwrap_or(f64::NAN);
    let expression = |text: String| move || Formula::Expression(text.into());
    ctx.step("leading edge", expression(leading.to_owned()), Quantity::number(front));
    let Some(set) = set else { return };
    let [_, _, span, _] = planform_lines(ctx, set);
    let (thick, count) = (ctx.field_line(set, fins::thickness), ctx.field_line(set, fins::count));
    let behind = drag::trailing_edge(of.edges, friction, of.mean_chord, of.thickness).unwrap_or(f64::NAN);
    let faces = format!("2 × {{friction of the fins}} × {{mean chord of the fins}} / {thick}");
    ctx.step("trailing edge", expression(format!("0.135 / ({faces})^0.3333333")), Quantity::number(behind));
    ctx.step(
        "edges of the fins",
        expression(format!(
            "({{leading edge}} + {{trailing edge}}) × {count} × {span} × {thick} / (π / 4 × {{calibre}}²)"
        )),
        Quantity::number(parts.edges),
    );
}
