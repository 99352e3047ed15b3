//! What the air meets: skin, base, roughness, and the drag coefficient that comes of them.

use std::f64::consts::FRAC_PI_4;

use super::computed::computed;
use super::nose_shape::nose;
use super::planform::planform;
use super::sections::{BODY_DIAMETER, CALIBRE, LENGTH, sections};
use super::{AnyComputed, EvalContext, Formula, Outcome, both};
use crate::design::{
    Flight, Protuberance, RailButton, Rocket, Section, boat_tail, drag as stated, fins, flight, motor,
    protuberance, rail_button, rocket, section, switch_band, transition, tube,
};
use crate::engineering::drag::build_up::{BuildUp, SLOWEST};
use crate::engineering::drag::law::{DragLaw, DragTable, Flow, SteadyDrag};
use crate::engineering::drag::{self, Airframe, INTERFERENCE};
use crate::quantity::{Area, Length, Styled};
use crate::tables::{Finish, finish};
use crate::vocabulary::{EntityId, Id, Key};

/// The finish of a rocket of which none is written: of those that are usual the smoothest, so that it flies no higher than worked out.
const USUAL_FINISH: &str = "smooth_paint";

computed! {
    /// The area that drag coefficients refer to: the circle of one calibre.
    REFERENCE_AREA: "reference_area" of Rocket gives Area, Formula::expression("π / 4 × {calibre}²"), "", |ctx, id| {
        let across = ctx.query(id, &CALIBRE)?;
        Ok(across * across * FRAC_PI_4)
    };
    /// The skin of the body that the air rubs along; fins and base not counted.
    SKIN: "skin" of Rocket gives Area,
        Formula::expression("skins of nose cone, tubes, switch bands, transitions and boat-tails, added up"), "geometry", skin;
    /// The diameter of the base: of the aft end of the last section.
    BASE: "base_diameter" of Rocket gives Styled<Length>,
        Formula::choice("{body_diameter}, of the last section"), "", base;
    /// The diameter of the wake: of the base, or of the body before a boat-tail that is too steep for the air to follow.
    WAKE: "wake_diameter" of Rocket gives Styled<Length>, Formula::choice("{base_diameter}"),
        "from memory: the air leaves conical boat-tails above a half angle of 10 to 12°", wake;
    /// Height of the roughness of the outside.
    ROUGHNESS: "surface_roughness" of Rocket gives Styled<Length>,
        Formula::choice("{roughness}, of the finish"), "", |ctx, id| {
            if ctx.has(id, rocket::roughness)? {
                ctx.formula(|| Formula::choice("{roughness}, as stated"));
                return ctx.quantity(id, rocket::roughness);
            }
            if ctx.has(id, rocket::finish)? {
                return ctx.quantity(ctx.get(id, rocket::finish)?, finish::roughness);
            }
            let smooth = ctx.model().tables().row::<Finish>(USUAL_FINISH);
            ctx.formula(|| Formula::choice("{roughness}, of smooth paint, as no finish is written"));
            ctx.quantity(smooth.ok_or_else(|| ctx.missing(id, rocket::finish))?, finish::roughness)
        };
}

pub(super) const COMPUTED: &[&dyn AnyComputed] = &[&REFERENCE_AREA, &SKIN, &BASE, &WAKE, &ROUGHNESS];

fn skin(ctx: &EvalContext<'_>, root: Id<Rocket>) -> Outcome<Area> {
    let mut total: Outcome<f64> = Ok(0.0);
    let mut terms = Vec::new();
    let mut add = |part: EntityId, one: Outcome<Area>, formula: &dyn Fn() -> Formula| {
        if let Ok(area) = &one
            && ctx.is_recording()
        {
            let section = ctx.holder::<Section>(part).map(|section| ctx.name(section)).unwrap_or_default();
            let name = format!("{} of {section}", ctx.name(part).replace('_', " "));
            ctx.step(name.clone(), formula, *area);
            terms.push(format!("{{{name}}}"));
        }
        let so_far = std::mem::replace(&mut total, Ok(0.0));
        total = both(so_far, one).map(|(t, a)| t + a.si());
    };
    let cylinder =
        |across: String, long: String| Formula::Expression(format!("π × {across} × {long}").into());
    let tapered = |fore: String, aft: String, long: String| {
        Formula::Expression(format!("π / 2 × ({fore} + {aft}) × √({long}² + (({fore} − {aft}) / 2)²)").into())
    };
    for section in sections(ctx)?.iter() {
        if let Some(cone) = ctx.part(section, section::nose_cone)? {
            let nose = nose(ctx, cone);
            add(cone.any(), nose.and_then(|nose| ctx.or_refuse(nose.skin())), &|| {
                Formula::method("integrated along its outline")
            });
        }
        if let Some(body) = ctx.part(section, section::tube)? {
            add(body.any(), straight(ctx, body, tube::outer_diameter, tube::length), &|| {
                cylinder(ctx.field_line(body, tube::outer_diameter), ctx.field_line(body, tube::length))
            });
        } else if let Some(band) = ctx.part(section, section::switch_band)? {
            // A band is cut from body tube; where its diameter is not written, it is the rocket's.
            let own = ctx.has(band, switch_band::outer_diameter)?;
            let across = if own {
                ctx.get(band, switch_band::outer_diameter)
            } else {
                ctx.query(ctx.rocket(), &CALIBRE)
            };
            let one = both(across, ctx.get(band, switch_band::length));
            add(band.any(), one.and_then(|(d, l)| ctx.or_refuse(drag::skin(d, d, l))), &|| {
                let across = if own {
                    ctx.field_line(band, switch_band::outer_diameter)
                } else {
                    ctx.line(root, CALIBRE.name)
                };
                cylinder(across, ctx.field_line(band, switch_band::length))
            });
        }
        if let Some(part) = ctx.part(section, section::transition)? {
            let ends =
                both(ctx.get(part, transition::fore_diameter), ctx.get(part, transition::aft_diameter));
            let one = both(ends, ctx.get(part, transition::length));
            add(part.any(), one.and_then(|((f, a), l)| ctx.or_refuse(drag::skin(f, a, l))), &|| {
                tapered(
                    ctx.field_line(part, transition::fore_diameter),
                    ctx.field_line(part, transition::aft_diameter),
                    ctx.field_line(part, transition::length),
                )
            });
        }
        if let Some(tail) = ctx.part(section, section::boat_tail)? {
            let ends = both(ctx.query(section, &BODY_DIAMETER), ctx.get(tail, boat_tail::aft_diameter));
            let one = both(ends, ctx.get(tail, boat_tail::length));
            add(tail.any(), one.and_then(|((f, a), l)| ctx.or_refuse(drag::skin(f, a, l))), &|| {
                tapered(
                    ctx.line(section, BODY_DIAMETER.name),
                    ctx.field_line(tail, boat_tail::aft_diameter),
                    ctx.field_line(tail, boat_tail::length),
                )
            });
        }
    }
    ctx.formula(|| Formula::Expression(terms.join(" + ").into()));
    total.map(Area::from_si)
}

fn straight<E>(
    ctx: &EvalContext<'_>,
    part: Id<E>,
    across: Key<E, Length>,
    long: Key<E, Length>,
) -> Outcome<Area> {
    let (d, l) = both(ctx.get(part, across), ctx.get(part, long))?;
    ctx.or_refuse(drag::skin(d, d, l))
}

fn base(ctx: &EvalContext<'_>, _: Id<Rocket>) -> Outcome<Styled<Length>> {
    let Some(last) = sections(ctx)?.iter().next_back() else {
        return Err(ctx.refuse("the rocket has no sections"));
    };
    if let Some(tail) = ctx.part(last, section::boat_tail)? {
        ctx.formula(|| Formula::choice("{aft_diameter}, of the boat-tail of the last section"));
        return ctx.quantity(tail, boat_tail::aft_diameter);
    }
    if let Some(part) = ctx.part(last, section::transition)? {
        ctx.formula(|| Formula::choice("{aft_diameter}, of the transition of the last section"));
        return ctx.quantity(part, transition::aft_diameter);
    }
    ctx.query_quantity(last, &BODY_DIAMETER)
}

fn wake(ctx: &EvalContext<'_>, root: Id<Rocket>) -> Outcome<Styled<Length>> {
    let aft = ctx.query_quantity(root, &BASE)?;
    let Some(last) = sections(ctx)?.iter().next_back() else { return Ok(aft) };
    let (fore, long) = if let Some(tail) = ctx.part(last, section::boat_tail)? {
        both(ctx.query(last, &BODY_DIAMETER), ctx.get(tail, boat_tail::length))?
    } else if let Some(part) = ctx.part(last, section::transition)? {
        both(ctx.get(part, transition::fore_diameter), ctx.get(part, transition::length))?
    } else {
        return Ok(aft);
    };
    let wake = ctx.or_refuse(drag::wake(fore, aft.value(), long))?;
    if wake == aft.value() {
        return Ok(aft);
    }
    ctx.formula(|| {
        Formula::method("from `base_diameter` at a half angle of 10° to the diameter before the tail at 12°")
    });
    Ok(wake.into())
}

/// What the drag of a flight follows.
#[derive(Clone, Debug)]
pub(super) enum Law {
    Steady(SteadyDrag),
    Table(DragTable),
    BuildUp(Built),
}

/// The drag built up from the shape.
#[derive(Clone, Copy, Debug)]
pub(super) struct Built {
    pub(super) airframe: Airframe,
    motor: Length,
    /// The same, made ready for a flight; none where no flow has a coefficient.
    ready: Option<BuildUp>,
}

impl Built {
    /// Reynolds number of the body.
    pub(super) fn reynolds(&self, flow: &Flow) -> f64 {
        let air = &flow.air;
        let reynolds = air.density.si() * flow.airspeed.si() * self.airframe.length.si() / air.viscosity;
        reynolds.max(SLOWEST)
    }

    pub(super) fn at(&self, flow: &Flow) -> Result<drag::Drag, crate::engineering::Unworkable> {
        let motor =
            if flow.burning { drag::Motor::Burning { diameter: self.motor } } else { drag::Motor::Off };
        drag::coefficient(&self.airframe, flow.mach, self.reynolds(flow), motor)
    }
}

impl DragLaw for Law {
    fn coefficient(&self, flow: &Flow) -> f64 {
        match self {
            Self::Steady(law) => law.coefficient(flow),
            Self::Table(law) => law.coefficient(flow),
            Self::BuildUp(law) => law.ready.map_or(f64::NAN, |ready| ready.coefficient(flow)),
        }
    }
}

/// The drag of a flight: its law, and how much more or less of it there is than that says.
#[derive(Clone, Debug)]
pub(super) struct FlightDrag {
    law: Law,
    factor: f64,
}

impl DragLaw for FlightDrag {
    fn coefficient(&self, flow: &Flow) -> f64 {
        self.factor * self.law.coefficient(flow)
    }
}

/// What the ascent is flown with.
pub(super) fn flight_drag(ctx: &EvalContext<'_>, root: Id<Rocket>, place: Id<Flight>) -> Outcome<FlightDrag> {
    let factor =
        if ctx.has(place, flight::drag_factor)? { ctx.get(place, flight::drag_factor) } else { Ok(1.0) };
    let (law, factor) = both(law(ctx, root), factor)?;
    Ok(FlightDrag { law, factor })
}

/// The author's own drag where it is stated, else the build-up from the shape.
pub(super) fn law(ctx: &EvalContext<'_>, root: Id<Rocket>) -> Outcome<Law> {
    if let Some(own) = ctx.part(root, rocket::drag)? {
        if ctx.has(own, stated::against_mach)? {
            let coasting = ctx.get(own, stated::against_mach)?;
            let table = if ctx.has(own, stated::while_burning)? {
                DragTable::with_burning(&ctx.get(own, stated::while_burning)?, &coasting)
            } else {
                DragTable::new(&coasting)
            };
            return ctx.or_refuse(table).map(Law::Table);
        }
        let steady = ctx.get(own, stated::coefficient)?;
        return ctx.or_refuse(SteadyDrag::new(steady)).map(Law::Steady);
    }
    build_up(ctx, root).map(Law::BuildUp)
}

fn build_up(ctx: &EvalContext<'_>, root: Id<Rocket>) -> Outcome<Built> {
    let sizes = both(ctx.query(root, &LENGTH), ctx.query(root, &CALIBRE));
    let surface = both(ctx.query(root, &SKIN), ctx.query(root, &ROUGHNESS));
    let aft = both(both(ctx.query(root, &BASE), ctx.query(root, &WAKE)), motor_diameter(ctx, root));
    let ((length, diameter), ((skin, roughness), (((base, wake), motor), fins))) =
        both(sizes, both(surface, both(aft, fins_of(ctx))))?;
    let buttons = buttons(ctx)?;
    if motor > base {
        return Err(ctx.refuse("the motor is wider than the base it burns from"));
    }
    let airframe =
        Airframe { length, diameter, skin, base: wake, roughness, fins, buttons, interference: INTERFERENCE };
    Ok(Built { airframe, motor, ready: BuildUp::new(&airframe, motor).ok() })
}

fn motor_diameter(ctx: &EvalContext<'_>, root: Id<Rocket>) -> Outcome<Length> {
    let engine = ctx.part(root, rocket::motor)?.ok_or_else(|| ctx.refuse("no motor is described"))?;
    ctx.get(engine, motor::diameter)
}

fn fins_of(ctx: &EvalContext<'_>) -> Outcome<drag::Fins> {
    let mut sets = Vec::new();
    for section in sections(ctx)?.iter() {
        sets.extend(ctx.part(section, section::fins)?);
    }
    let set = match *sets {
        [] => {
            return Err(ctx.refuse("the drag of a rocket without fins is not worked out here: state `drag`"));
        }
        [set] => set,
        _ => {
            return Err(
                ctx.refuse("the drag of fins on several sections is not worked out here: state `drag`")
            );
        }
    };
    // Not written, they add nothing: the rocket then flies no higher and no faster than is worked out.
    let edges = if ctx.has(set, fins::edges)? {
        match ctx.get(set, fins::edges)? {
            "square" => drag::Edges::Square,
            "rounded" => drag::Edges::Rounded,
            _ => drag::Edges::Tapered,
        }
    } else {
        drag::Edges::Tapered
    };
    let (shape, (thickness, count)) =
        both(planform(ctx, set), both(ctx.get(set, fins::thickness), ctx.get(set, fins::count)))?;
    Ok(drag::Fins {
        count,
        mean_chord: (shape.root_chord + shape.tip_chord) * 0.5,
        span: shape.span,
        thickness,
        edges,
    })
}

/// Frontal area of the buttons whose size is written down, and of whatever else stands out.
fn buttons(ctx: &EvalContext<'_>) -> Outcome<Area> {
    let mut total = Area::from_si(0.0);
    let mut terms = Vec::new();
    let mut add = |width: Outcome<Length>, height: Outcome<Length>, part: EntityId| -> Outcome<()> {
        if ctx.is_recording() {
            terms.push(format!("{} × {}", ctx.line(part, "width"), ctx.line(part, "height")));
        }
        let (width, height) = both(width, height)?;
        total = total + width * height;
        Ok(())
    };
    for button in ctx.every::<RailButton>() {
        if ctx.has(button, rail_button::width)? && ctx.has(button, rail_button::height)? {
            add(ctx.get(button, rail_button::width), ctx.get(button, rail_button::height), button.any())?;
        }
    }
    for part in ctx.every::<Protuberance>() {
        add(ctx.get(part, protuberance::width), ctx.get(part, protuberance::height), part.any())?;
    }
    ctx.step(
        "frontal area of what stands out",
        || match *terms {
            [] => Formula::fixed("nothing whose size is written down"),
            _ => Formula::Expression(terms.join(" + ").into()),
        },
        total,
    );
    Ok(total)
}
