//! What the air meets: skin, base, roughness, and the drag coefficient that comes of them.

use std::borrow::Cow;
use std::f64::consts::FRAC_PI_4;

use super::balance::{CALIBRE, outline};
use super::joints::computed;
use super::planform::planform;
use super::stations::sections;
use super::{EvalContext, Computed, Outcome, Type, both};
use crate::design::{
    PROTUBERANCE, RAIL_BUTTON, ROCKET, boat_tail, drag as stated, fins, flight, motor, nose_cone,
    protuberance, rail_button, rocket, section, switch_band, transition, tube,
};
use crate::engineering::atmosphere::{self, Air};
use crate::engineering::build_up::{BuildUp, SLOWEST};
use crate::engineering::drag::{self, Airframe, Fins, INTERFERENCE, Motor};
use crate::engineering::drag_law::{DragLaw, DragTable, Flow, SteadyDrag};
use crate::engineering::nose::Nose;
use crate::quantity::{Area, Dimension as D, Length, Quantity, Temperature};
use crate::tables::finish;
use crate::vocabulary::{EntityId, Key, Value};

/// The Mach number at which the drag coefficient is shown: slow enough for no rise, fast enough to matter.
const SHOWN_AT: f64 = 0.3;

computed! {
    /// The area that drag coefficients refer to: the circle of one calibre.
    REFERENCE_AREA: "reference_area" of ROCKET gives Type::Quantity(D::AREA), "π/4 × calibre²", "", |asking, id| {
        let across = asking.ask_typed::<Length>(id, &CALIBRE)?;
        Ok(Value::Quantity((across * across * FRAC_PI_4).into()))
    };
    /// The skin of the body that the air rubs along; fins and base not counted.
    SKIN: "skin" of ROCKET gives Type::Quantity(D::AREA),
        "Σ skin of nose cone, tubes, switch bands, transitions and boat-tails", "geometry", skin;
    /// The diameter of the base: of the aft end of the last section.
    BASE: "base_diameter" of ROCKET gives Type::Quantity(D::LENGTH),
        "aft diameter of the boat-tail or transition of the last section, else its outside diameter", "", base;
    /// Height of the roughness of the outside.
    ROUGHNESS: "surface_roughness" of ROCKET gives Type::Quantity(D::LENGTH),
        "`roughness` where it is stated, else that of the finish", "", |asking, id| {
            if asking.model().has(id, rocket::roughness.slot)? {
                return asking.get(id, rocket::roughness);
            }
            match asking.get(id, rocket::finish)? {
                Value::Entity(row) => asking.get(row, finish::roughness),
                _ => Err(asking.refuse("the finish is not one of the table's")),
            }
        };
    /// The drag coefficient while coasting at Mach 0.3 at the field, on the reference area.
    DRAG_COEFFICIENT: "drag_coefficient" of ROCKET gives Type::Quantity(D::NUMBER),
        "as stated in `drag`; else friction and form of body and fins + base + interference + buttons",
        "the build-up of S. F. Hoerner, Fluid-Dynamic Drag (from memory)", coefficient;
}

pub(super) const COMPUTED: &[&Computed] = &[&REFERENCE_AREA, &SKIN, &BASE, &ROUGHNESS, &DRAG_COEFFICIENT];

fn skin(asking: &EvalContext<'_>, _: EntityId) -> Outcome<Value> {
    let mut total: Outcome<f64> = Ok(0.0);
    let mut add = |name: Cow<'static, str>, one: Outcome<Area>| {
        if let Ok(area) = &one {
            asking.step(name, "skin", *area);
        }
        let so_far = std::mem::replace(&mut total, Ok(0.0));
        total = both(so_far, one).map(|(t, a)| t + a.si());
    };
    for section in sections(asking)?.iter().copied() {
        let name = asking.model().entity(section).map(|e| e.name.to_string()).unwrap_or_default();
        if let Some(cone) = asking.part(section, section::nose_cone)? {
            let nose = nose(asking, cone);
            add("nose cone".into(), nose.and_then(|nose| asking.worked(nose.skin())));
        }
        if let Some(body) = asking.part(section, section::tube)? {
            add(format!("tube of {name}").into(), straight(asking, body, tube::outer_diameter, tube::length));
        } else if let Some(band) = asking.part(section, section::switch_band)? {
            // A band is cut from body tube; where its diameter is not written, it is the rocket's.
            let across = if asking.model().has(band, switch_band::outer_diameter.slot)? {
                asking.typed::<Length>(band, switch_band::outer_diameter)
            } else {
                asking.ask_typed::<Length>(asking.model().root(), &CALIBRE)
            };
            let one = both(across, asking.typed::<Length>(band, switch_band::length));
            add(format!("band of {name}").into(), one.and_then(|(d, l)| asking.worked(drag::skin(d, d, l))));
        }
        if let Some(part) = asking.part(section, section::transition)? {
            let ends = both(
                asking.typed::<Length>(part, transition::fore_diameter),
                asking.typed::<Length>(part, transition::aft_diameter),
            );
            let one = both(ends, asking.typed::<Length>(part, transition::length));
            add(
                format!("transition of {name}").into(),
                one.and_then(|((f, a), l)| asking.worked(drag::skin(f, a, l))),
            );
        }
        if let Some(tail) = asking.part(section, section::boat_tail)? {
            let ends = both(
                asking.ask_typed::<Length>(section, &super::stations::BODY_DIAMETER),
                asking.typed::<Length>(tail, boat_tail::aft_diameter),
            );
            let one = both(ends, asking.typed::<Length>(tail, boat_tail::length));
            add(
                format!("boat-tail of {name}").into(),
                one.and_then(|((f, a), l)| asking.worked(drag::skin(f, a, l))),
            );
        }
    }
    total.map(|si| Value::Quantity(Area::from_si(si).into()))
}

/// The nose cone as a shape of known volume and skin.
pub(super) fn nose(asking: &EvalContext<'_>, cone: EntityId) -> Outcome<Nose> {
    let sizes = both(
        asking.typed::<Length>(cone, nose_cone::length),
        asking.typed::<Length>(cone, nose_cone::outer_diameter),
    );
    let shape = asking.get(cone, nose_cone::shape).and_then(|word| outline(asking, &word));
    let ((length, across), shape) = both(sizes, shape)?;
    asking.worked(Nose::new(shape, length, across))
}

fn straight(asking: &EvalContext<'_>, part: EntityId, across: Key, long: Key) -> Outcome<Area> {
    let (d, l) = both(asking.typed::<Length>(part, across), asking.typed::<Length>(part, long))?;
    asking.worked(drag::skin(d, d, l))
}

fn base(asking: &EvalContext<'_>, _: EntityId) -> Outcome<Value> {
    let Some(last) = sections(asking)?.last().copied() else {
        return Err(asking.refuse("the rocket has no sections"));
    };
    if let Some(tail) = asking.part(last, section::boat_tail)? {
        return asking.get(tail, boat_tail::aft_diameter);
    }
    if let Some(part) = asking.part(last, section::transition)? {
        return asking.get(part, transition::aft_diameter);
    }
    asking.ask(last, &super::stations::BODY_DIAMETER)
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
        let motor = if flow.burning { Motor::Burning { diameter: self.motor } } else { Motor::Off };
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

fn points(asking: &EvalContext<'_>, id: EntityId, key: Key) -> Outcome<Vec<(f64, f64)>> {
    match asking.get(id, key)? {
        Value::Curve(points) => Ok(points.iter().map(|(mach, cd)| (mach.si, cd.si)).collect()),
        _ => Err(asking.refuse("this is no curve")),
    }
}

/// The author's own drag where it is stated, else the build-up from the shape.
pub(super) fn law(asking: &EvalContext<'_>, root: EntityId) -> Outcome<Law> {
    if let Some(own) = asking.part(root, rocket::drag)? {
        let model = asking.model();
        if model.has(own, stated::against_mach.slot)? {
            let coasting = points(asking, own, stated::against_mach)?;
            let table = if model.has(own, stated::while_burning.slot)? {
                DragTable::with_burning(&points(asking, own, stated::while_burning)?, &coasting)
            } else {
                DragTable::new(&coasting)
            };
            return asking.worked(table).map(Law::Table);
        }
        let steady = asking.quantity(own, stated::coefficient)?.si;
        return asking.worked(SteadyDrag::new(steady)).map(Law::Steady);
    }
    build_up(asking, root).map(Law::BuildUp)
}

fn build_up(asking: &EvalContext<'_>, root: EntityId) -> Outcome<Built> {
    let sizes = both(
        asking.ask_typed::<Length>(root, &super::stations::LENGTH),
        asking.ask_typed::<Length>(root, &CALIBRE),
    );
    let surface = both(asking.ask_typed::<Area>(root, &SKIN), asking.ask_typed::<Length>(root, &ROUGHNESS));
    let aft = both(asking.ask_typed::<Length>(root, &BASE), motor_diameter(asking, root));
    let ((length, diameter), ((skin, roughness), ((base, motor), fins))) =
        both(sizes, both(surface, both(aft, fins_of(asking))))?;
    let buttons = buttons(asking)?;
    if motor > base {
        return Err(asking.refuse("the motor is wider than the base it burns from"));
    }
    let airframe =
        Airframe { length, diameter, skin, base, roughness, fins, buttons, interference: INTERFERENCE };
    Ok(Built { airframe, motor, ready: BuildUp::new(&airframe, motor).ok() })
}

fn motor_diameter(asking: &EvalContext<'_>, root: EntityId) -> Outcome<Length> {
    let engine = asking.part(root, rocket::motor)?.ok_or_else(|| asking.refuse("no motor is described"))?;
    asking.typed::<Length>(engine, motor::diameter)
}

fn fins_of(asking: &EvalContext<'_>) -> Outcome<Fins> {
    let mut sets = Vec::new();
    for section in sections(asking)?.iter() {
        sets.extend(asking.part(*section, section::fins)?);
    }
    let set = match *sets {
        [] => {
            return Err(
                asking.refuse("the drag of a rocket without fins is not worked out here: state `drag`")
            );
        }
        [set] => set,
        _ => {
            return Err(
                asking.refuse("the drag of fins on several sections is not worked out here: state `drag`")
            );
        }
    };
    let (shape, (thickness, count)) = both(
        planform(asking, set),
        both(asking.typed::<Length>(set, fins::thickness), asking.count(set, fins::count)),
    )?;
    Ok(Fins { count, mean_chord: (shape.root_chord + shape.tip_chord) * 0.5, span: shape.span, thickness })
}

/// Frontal area of the buttons whose size is written down, and of whatever else stands out.
fn buttons(asking: &EvalContext<'_>) -> Outcome<Area> {
    let model = asking.model();
    let mut total = Area::from_si(0.0);
    let mut add = |thing: EntityId, width: Key, height: Key| -> Outcome<()> {
        let sides = both(asking.typed::<Length>(thing, width), asking.typed::<Length>(thing, height));
        let (width, height) = sides?;
        total = total + width * height;
        Ok(())
    };
    for button in model.all_of(&RAIL_BUTTON) {
        if model.has(button, rail_button::width.slot)? && model.has(button, rail_button::height.slot)? {
            add(button, rail_button::width, rail_button::height)?;
        }
    }
    for thing in model.all_of(&PROTUBERANCE) {
        add(thing, protuberance::width, protuberance::height)?;
    }
    Ok(total)
}

/// The air of the standard day at an altitude.
pub(super) fn standard_air(asking: &EvalContext<'_>, altitude: Length) -> Outcome<Air> {
    atmosphere::at(altitude).map_err(|error| asking.refuse(error.to_string()))
}

/// The air at the field on the day.
pub(super) fn air_at_field(asking: &EvalContext<'_>, root: EntityId) -> Outcome<Air> {
    let place = asking.part(root, rocket::flight)?.ok_or_else(|| asking.refuse("no flight is described"))?;
    let (elevation, temperature) = both(
        asking.typed::<Length>(place, flight::site_elevation),
        asking.typed::<Temperature>(place, flight::temperature),
    )?;
    let standard = standard_air(asking, elevation)?;
    asking.worked(atmosphere::of(standard.pressure, temperature))
}

fn coefficient(asking: &EvalContext<'_>, root: EntityId) -> Outcome<Value> {
    let (law, air) = both(law(asking, root), air_at_field(asking, root))?;
    let airspeed = air.speed_of_sound * SHOWN_AT;
    let flow = Flow { air, airspeed, mach: SHOWN_AT, burning: false };
    if let Law::BuildUp(built) = &law {
        let parts = asking.worked(built.at(&flow))?;
        asking.step("airspeed", "0.3 × speed of sound at the field", airspeed);
        for (name, formula, value) in [
            ("body", "friction × form factor × skin / reference area", parts.body),
            ("fins", "friction × form factor × both faces / reference area", parts.fins),
            ("base", "0.029 / √body, on the base", parts.base),
            ("interference", "5 % of body and fins", parts.interference),
            (
                "buttons",
                "frontal area of those whose size is written down, and of other things that stand out / reference area",
                parts.buttons,
            ),
        ] {
            asking.step(name, formula, Quantity::number(value));
        }
    }
    Ok(Value::Quantity(Quantity::number(law.coefficient(&flow))))
}
