//! What the air meets: skin, base, roughness, and the drag coefficient that comes of them.

use std::borrow::Cow;
use std::f64::consts::FRAC_PI_4;

use super::balance::{CALIBRE, outline};
use super::joints::computed;
use super::planform::planform;
use super::stations::sections;
use super::{AnyComputed, EvalContext, Outcome, both};
use crate::design::{
    NoseCone, Protuberance, RailButton, Rocket, boat_tail, drag as stated, fins, flight, motor, nose_cone,
    protuberance, rail_button, rocket, section, switch_band, transition, tube,
};
use crate::engineering::atmosphere::{self, Air};
use crate::engineering::build_up::{BuildUp, SLOWEST};
use crate::engineering::drag::{self, Airframe, INTERFERENCE};
use crate::engineering::drag_law::{DragLaw, DragTable, Flow, SteadyDrag};
use crate::engineering::nose::Nose;
use crate::quantity::{Area, Length, Quantity, Styled};
use crate::tables::finish;
use crate::vocabulary::{Id, Key};

/// The Mach number at which the drag coefficient is shown: slow enough for no rise, fast enough to matter.
const SHOWN_AT: f64 = 0.3;

computed! {
    /// The area that drag coefficients refer to: the circle of one calibre.
    REFERENCE_AREA: "reference_area" of Rocket gives Area, "π/4 × calibre²", "", |ctx, id| {
        let across = ctx.query(id, &CALIBRE)?;
        Ok(across * across * FRAC_PI_4)
    };
    /// The skin of the body that the air rubs along; fins and base not counted.
    SKIN: "skin" of Rocket gives Area,
        "Σ skin of nose cone, tubes, switch bands, transitions and boat-tails", "geometry", skin;
    /// The diameter of the base: of the aft end of the last section.
    BASE: "base_diameter" of Rocket gives Styled<Length>,
        "aft diameter of the boat-tail or transition of the last section, else its outside diameter", "", base;
    /// Height of the roughness of the outside.
    ROUGHNESS: "surface_roughness" of Rocket gives Styled<Length>,
        "`roughness` where it is stated, else that of the finish", "", |ctx, id| {
            if ctx.has(id, rocket::roughness)? {
                return ctx.quantity(id, rocket::roughness);
            }
            ctx.quantity(ctx.get(id, rocket::finish)?, finish::roughness)
        };
    /// The drag coefficient while coasting at Mach 0.3 at the field, on the reference area.
    DRAG_COEFFICIENT: "drag_coefficient" of Rocket gives f64,
        "as stated in `drag`; else friction and form of body and fins + edges of the fins + base + interference + buttons",
        "the build-up of S. F. Hoerner, Fluid-Dynamic Drag (from memory)", coefficient;
}

pub(super) const COMPUTED: &[&dyn AnyComputed] =
    &[&REFERENCE_AREA, &SKIN, &BASE, &ROUGHNESS, &DRAG_COEFFICIENT];

fn skin(ctx: &EvalContext<'_>, _: Id<Rocket>) -> Outcome<Area> {
    let mut total: Outcome<f64> = Ok(0.0);
    let mut add = |name: Cow<'static, str>, one: Outcome<Area>| {
        if let Ok(area) = &one {
            ctx.step(name, "skin", *area);
        }
        let so_far = std::mem::replace(&mut total, Ok(0.0));
        total = both(so_far, one).map(|(t, a)| t + a.si());
    };
    for section in sections(ctx)?.iter() {
        let name = ctx.name(section);
        if let Some(cone) = ctx.part(section, section::nose_cone)? {
            let nose = nose(ctx, cone);
            add("nose cone".into(), nose.and_then(|nose| ctx.or_refuse(nose.skin())));
        }
        if let Some(body) = ctx.part(section, section::tube)? {
            add(format!("tube of {name}").into(), straight(ctx, body, tube::outer_diameter, tube::length));
        } else if let Some(band) = ctx.part(section, section::switch_band)? {
            // A band is cut from body tube; where its diameter is not written, it is the rocket's.
            let across = if ctx.has(band, switch_band::outer_diameter)? {
                ctx.get(band, switch_band::outer_diameter)
            } else {
                ctx.query(ctx.rocket(), &CALIBRE)
            };
            let one = both(across, ctx.get(band, switch_band::length));
            add(format!("band of {name}").into(), one.and_then(|(d, l)| ctx.or_refuse(drag::skin(d, d, l))));
        }
        if let Some(part) = ctx.part(section, section::transition)? {
            let ends =
                both(ctx.get(part, transition::fore_diameter), ctx.get(part, transition::aft_diameter));
            let one = both(ends, ctx.get(part, transition::length));
            add(
                format!("transition of {name}").into(),
                one.and_then(|((f, a), l)| ctx.or_refuse(drag::skin(f, a, l))),
            );
        }
        if let Some(tail) = ctx.part(section, section::boat_tail)? {
            let ends = both(
                ctx.query(section, &super::stations::BODY_DIAMETER),
                ctx.get(tail, boat_tail::aft_diameter),
            );
            let one = both(ends, ctx.get(tail, boat_tail::length));
            add(
                format!("boat-tail of {name}").into(),
                one.and_then(|((f, a), l)| ctx.or_refuse(drag::skin(f, a, l))),
            );
        }
    }
    total.map(Area::from_si)
}

/// The nose cone as a shape of known volume and skin.
pub(super) fn nose(ctx: &EvalContext<'_>, cone: Id<NoseCone>) -> Outcome<Nose> {
    let sizes = both(ctx.get(cone, nose_cone::length), ctx.get(cone, nose_cone::outer_diameter));
    let shape = ctx.get(cone, nose_cone::shape).and_then(|word| outline(ctx, word));
    let ((length, across), shape) = both(sizes, shape)?;
    ctx.or_refuse(Nose::new(shape, length, across))
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
        return ctx.quantity(tail, boat_tail::aft_diameter);
    }
    if let Some(part) = ctx.part(last, section::transition)? {
        return ctx.quantity(part, transition::aft_diameter);
    }
    ctx.query_quantity(last, &super::stations::BODY_DIAMETER)
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
    airframe: Airframe,
    motor: Length,
    /// The same, made ready for a flight; none where no flow has a coefficient.
    ready: Option<BuildUp>,
}

impl Built {
    fn at(&self, flow: &Flow) -> Result<drag::Drag, crate::engineering::Unworkable> {
        let air = &flow.air;
        let reynolds = air.density.si() * flow.airspeed.si() * self.airframe.length.si() / air.viscosity;
        let motor =
            if flow.burning { drag::Motor::Burning { diameter: self.motor } } else { drag::Motor::Off };
        drag::coefficient(&self.airframe, flow.mach, reynolds.max(SLOWEST), motor)
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
    let sizes = both(ctx.query(root, &super::stations::LENGTH), ctx.query(root, &CALIBRE));
    let surface = both(ctx.query(root, &SKIN), ctx.query(root, &ROUGHNESS));
    let aft = both(ctx.query(root, &BASE), motor_diameter(ctx, root));
    let ((length, diameter), ((skin, roughness), ((base, motor), fins))) =
        both(sizes, both(surface, both(aft, fins_of(ctx))))?;
    let buttons = buttons(ctx)?;
    if motor > base {
        return Err(ctx.refuse("the motor is wider than the base it burns from"));
    }
    let airframe =
        Airframe { length, diameter, skin, base, roughness, fins, buttons, interference: INTERFERENCE };
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
    let mut add = |width: Outcome<Length>, height: Outcome<Length>| -> Outcome<()> {
        let (width, height) = both(width, height)?;
        total = total + width * height;
        Ok(())
    };
    for button in ctx.every::<RailButton>() {
        if ctx.has(button, rail_button::width)? && ctx.has(button, rail_button::height)? {
            add(ctx.get(button, rail_button::width), ctx.get(button, rail_button::height))?;
        }
    }
    for protuberance_id in ctx.every::<Protuberance>() {
        add(ctx.get(protuberance_id, protuberance::width), ctx.get(protuberance_id, protuberance::height))?;
    }
    Ok(total)
}

/// The air of the standard day at an altitude.
pub(super) fn standard_air(ctx: &EvalContext<'_>, altitude: Length) -> Outcome<Air> {
    atmosphere::at(altitude).map_err(|error| ctx.refuse(error.to_string()))
}

/// The air at the field on the day.
pub(super) fn air_at_field(ctx: &EvalContext<'_>, root: Id<Rocket>) -> Outcome<Air> {
    let place = ctx.part(root, rocket::flight)?.ok_or_else(|| ctx.refuse("no flight is described"))?;
    let (elevation, temperature) =
        both(ctx.get(place, flight::site_elevation), ctx.get(place, flight::temperature))?;
    let standard = standard_air(ctx, elevation)?;
    ctx.or_refuse(atmosphere::of(standard.pressure, temperature))
}

fn coefficient(ctx: &EvalContext<'_>, root: Id<Rocket>) -> Outcome<f64> {
    let (law, air) = both(law(ctx, root), air_at_field(ctx, root))?;
    let airspeed = air.speed_of_sound * SHOWN_AT;
    let flow = Flow { air, airspeed, mach: SHOWN_AT, burning: false };
    if let Law::BuildUp(built) = &law {
        let parts = ctx.or_refuse(built.at(&flow))?;
        ctx.step("airspeed", "0.3 × speed of sound at the field", airspeed);
        for (name, formula, value) in [
            ("body", "friction × form factor × skin / reference area", parts.body),
            ("fins", "friction × form factor × both faces / reference area", parts.fins),
            (
                "edges of the fins",
                "(leading edge by its shape and Mach number + 0.135 / (friction of both faces on the edge's area)^(1/3)) × count × span × thickness / reference area",
                parts.edges,
            ),
            ("base", "0.029 / √body, on the base", parts.base),
            ("interference", "5 % of body and fins", parts.interference),
            (
                "buttons",
                "frontal area of those whose size is written down, and of other parts that stand out / reference area",
                parts.buttons,
            ),
        ] {
            ctx.step(name, formula, Quantity::number(value));
        }
    }
    Ok(law.coefficient(&flow))
}
