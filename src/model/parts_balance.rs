//! Balance worked out from the parts, before there is a finished rocket to lay on an edge.

use std::f64::consts::FRAC_PI_4;

use super::balance::{PRESSURE, motor_middle};
use super::computed::computed;
use super::cords::weighed_cords;
use super::extents::{body_of, extent};
use super::nose_shape::nose;
use super::planform::{planform, planform_lines};
use super::sections::{CALIBRE, sections};
use super::{AnyComputed, EvalContext, Formula, Outcome, both};
use crate::design::{
    Fins, Lid, Parachute, Rocket, Rods, Section, SwitchBand, Tube, addition, bulkhead, coupler, fins,
    harness, lid, motor, motor_mount, nose_cone, parachute, ring, rocket, rods, section, switch_band, tube,
};
use crate::engineering::stability;
use crate::quantity::{Length, Mass, Volume};
use crate::tables::{Material, material, thread};
use crate::vocabulary::{Edge, EntityId, Id, Key, Typed};

computed! {
    /// Where the section balances by itself, aft from the nose tip: as stated, else estimated from its parts.
    SECTION_BALANCE: "balance_station" of Section gives Length,
        Formula::expression("Σ mass × station over the parts that can be weighed, what is left of the section's mass at its middle, / mass"),
        "statics", section_balance;
    /// Where the rocket should balance ready to fly by its parts, aft from the nose tip; an estimate.
    BALANCE_OF_PARTS: "balance_of_parts" of Rocket gives Length,
        Formula::expression("Σ mass × station / Σ mass over sections, parachutes, cords and the loaded motor, each parachute and cord at the middle of its section"),
        "statics", balance_of_parts;
    /// What those of its parts weigh at least whose mass is written, or follows from their size and material: tubes, couplers, fins without
    /// their tabs, rings, bulkheads, lids, rods, the switch band. A nose cone counts by its written mass alone; what is inside as avionics does not count.
    LEAST_MASS: "least_mass" of Section gives Mass,
        Formula::method("masses of tube, coupler, motor tube, fins, rings, bulkheads, lids, rods and switch band, each as written or by size and density, and of a nose cone as written, added up"),
        "common practice; geometry", least_mass;
    /// How far the centre of pressure lies behind the balance point that the parts come to, in calibres; an estimate, before there is a finished rocket to measure.
    STABILITY_OF_PARTS: "stability_of_parts" of Rocket gives f64,
        Formula::expression("({centre_of_pressure} − {balance_of_parts}) / {calibre}"), "definition of the static margin", |ctx, id| {
            let (pressure, balance) = both(ctx.query(id, &PRESSURE), ctx.query(id, &BALANCE_OF_PARTS))?;
            let calibre = ctx.query(id, &CALIBRE)?;
            ctx.or_refuse(stability::static_margin(pressure, balance, calibre))
        };
}

pub(super) const COMPUTED: &[&dyn AnyComputed] =
    &[&SECTION_BALANCE, &BALANCE_OF_PARTS, &STABILITY_OF_PARTS, &LEAST_MASS];

/// How far what follows from sizes and densities may weigh more than the section that was weighed, as a part of it.
/// Source: common practice, densities of wound tubes and sheets lie a tenth to a fifth apart.
const DENSITY_SPREAD: f64 = 0.25;

/// A mass and where it is, in kg and m aft from the nose tip.
struct Weight {
    mass: f64,
    station: f64,
    /// The lines or steps that say so; empty where no working is asked for.
    texts: [String; 2],
}

/// The centre of several masses, each by its own line and that of its place.
fn centre<'t>(texts: impl Iterator<Item = &'t [String; 2]> + Clone) -> Formula {
    let moments: Vec<String> = texts.clone().map(|[mass, place]| format!("{mass} × {place}")).collect();
    let masses: Vec<String> = texts.map(|[mass, _]| mass.clone()).collect();
    Formula::Expression(format!("({}) / ({})", moments.join(" + "), masses.join(" + ")).into())
}

fn section_balance(ctx: &EvalContext<'_>, id: Id<Section>) -> Outcome<Length> {
    if ctx.has(id, section::balance)? {
        let position = ctx.get(id, section::balance)?;
        ctx.see(position.distance);
        // Here the tape is laid along the whole section, as it is balanced.
        let part = position.of.as_deref().unwrap_or("section");
        let (ends, along) = super::extents::base(ctx, id, Some(part))?;
        let distance = position.distance.si;
        ctx.formula(|| {
            let at = ctx.field_line(id, section::balance);
            Formula::Expression(match position.edge {
                Edge::Fore => format!("{} + {at}", ctx.line(along, "fore_station")).into(),
                Edge::Aft => format!("{} − {at}", ctx.line(along, "aft_station")).into(),
            })
        });
        let station = match position.edge {
            Edge::Fore => ends.fore + distance,
            Edge::Aft => ends.aft - distance,
        };
        return Ok(Length::from_si(station));
    }
    let (whole, middle) = both(ctx.get(id, section::mass), middle(ctx, id))?;
    let parts = weighed(ctx, id)?;
    let known: f64 = parts.iter().map(|part| part.mass).sum();
    let left = whole.si() - known;
    if left < -DENSITY_SPREAD * whole.si() {
        return Err(ctx.refuse("the parts of the section weigh more than the section"));
    }
    let left = left.max(0.0);
    if ctx.is_recording() {
        let masses: Vec<&str> = parts.iter().map(|part| part.texts[0].as_str()).collect();
        let whole_line = ctx.field_line(id, section::mass);
        let rest = match *masses {
            [] => whole_line,
            [one] => format!("{whole_line} − {one}"),
            _ => format!("{whole_line} − ({})", masses.join(" + ")),
        };
        let rest = || match whole.si() < known {
            // What is lighter than usual tubes and sheets has nothing else in it.
            true => Formula::fixed("the parts weigh as much as the section"),
            false => Formula::Expression(rest.into()),
        };
        ctx.step("rest of the section", rest, Mass::from_si(left));
        let body = body_of(ctx, id)?;
        let [fore, aft] = ["fore_station", "aft_station"].map(|end| ctx.offered(body, end));
        let halfway = || Formula::Expression(format!("({fore} + {aft}) / 2").into());
        ctx.step("middle of the section", halfway, Length::from_si(middle));
        ctx.formula(|| {
            let rest = ["{rest of the section}".to_owned(), "{middle of the section}".to_owned()];
            centre(parts.iter().map(|part| &part.texts).chain([&rest]))
        });
    }
    let moment: f64 = parts.iter().map(|part| part.mass * part.station).sum();
    Ok(Length::from_si((moment + left * middle) / (known + left)))
}

/// The middle of what a section is built around, which may reach into its neighbours.
fn middle(ctx: &EvalContext<'_>, id: Id<Section>) -> Outcome<f64> {
    extent(ctx, body_of(ctx, id)?).map(|e| f64::midpoint(e.fore, e.aft))
}

/// The parts of a section whose mass is written down or follows from size and material; the others are left to the rest.
fn weighed(ctx: &EvalContext<'_>, id: Id<Section>) -> Outcome<Vec<Weight>> {
    let mut parts = Vec::new();
    let mut add = |part: EntityId, mass: Option<Mass>, along: f64| -> Outcome<()> {
        if let Some(mass) = mass {
            let ends = extent(ctx, part)?;
            let station = ends.fore + along * (ends.aft - ends.fore);
            let texts = record_weight(ctx, part, station, || {
                let [fore, aft] = ["fore_station", "aft_station"].map(|end| ctx.line(part, end));
                if along == 0.5 {
                    Formula::Expression(format!("({fore} + {aft}) / 2").into())
                } else {
                    Formula::method("centroid of the side view of the cone, integrated along its outline")
                }
            });
            parts.push(Weight { mass: mass.si(), station, texts });
        }
        Ok(())
    };
    if let Some(cone) = ctx.part(id, section::nose_cone)? {
        // The silhouette's centroid is that of a thin shell of gentle slope.
        let along = nose(ctx, cone).ok().and_then(|nose| {
            let view = nose.side_view().ok()?;
            Some(view.centroid.si() / nose.length().si())
        });
        add(cone.any(), written(ctx, cone, nose_cone::mass)?, along.unwrap_or(0.5))?;
    }
    if let Some(body) = ctx.part(id, section::tube)? {
        add(body.any(), mass_of_tube(ctx, body)?, 0.5)?;
    }
    if let Some(inner) = ctx.part(id, section::coupler)? {
        let mass = match written(ctx, inner, coupler::mass)? {
            Some(mass) => Some(mass),
            None => hollow(
                ctx,
                inner,
                coupler::material,
                (coupler::outer_diameter, coupler::inner_diameter),
                coupler::length,
            )?,
        };
        add(inner.any(), mass, 0.5)?;
    }
    for plate in ctx.entities(id, section::bulkheads)?.iter() {
        let mass = if ctx.has(plate, bulkhead::outer_diameter)? {
            reckoned(
                ctx,
                plate,
                bulkhead::material,
                |ctx| {
                    let across = ctx.get(plate, bulkhead::outer_diameter)?;
                    Ok(across * across * ctx.get(plate, bulkhead::thickness)? * FRAC_PI_4)
                },
                || {
                    let across = ctx.field_line(plate, bulkhead::outer_diameter);
                    format!("π / 4 × {across}² × {}", ctx.field_line(plate, bulkhead::thickness))
                },
            )?
        } else {
            None
        };
        add(plate.any(), mass, 0.5)?;
    }
    if let Some(mount) = ctx.part(id, section::motor_mount)? {
        if let Some(inner) = ctx.part(mount, motor_mount::tube)? {
            add(inner.any(), mass_of_tube(ctx, inner)?, 0.5)?;
        }
        for one in ctx.entities(mount, motor_mount::rings)?.iter() {
            let mass = hollow(
                ctx,
                one,
                ring::material,
                (ring::outer_diameter, ring::inner_diameter),
                ring::thickness,
            )?;
            add(one.any(), mass, 0.5)?;
        }
    }
    if let Some(set) = ctx.part(id, section::fins)? {
        fin_weight(ctx, set, &mut parts)?;
    }
    Ok(parts)
}

/// The mass of a round bar or disc by its size and material.
fn solid<E: Typed>(
    ctx: &EvalContext<'_>,
    part: Id<E>,
    made_of: Key<E, Id<Material>>,
    volume: impl Fn() -> Outcome<Volume>,
) -> Outcome<f64> {
    Ok(reckoned(ctx, part, made_of, |_| volume(), String::new)?.map_or(0.0, |mass| mass.si()))
}

fn least_mass(ctx: &EvalContext<'_>, id: Id<Section>) -> Outcome<Mass> {
    let mut total = 0.0;
    ctx.unrecorded(|| -> Outcome<()> {
        total += weighed(ctx, id)?.iter().map(|part| part.mass).sum::<f64>();
        for cap in ctx.entities(id, section::lids)?.iter() {
            let cap: Id<Lid> = cap;
            if ctx.has(cap, lid::inner_disc)? {
                total += solid(ctx, cap, lid::material, || {
                    let (across, thick) = both(ctx.get(cap, lid::inner_disc), ctx.get(cap, lid::thickness))?;
                    Ok(across * across * thick * FRAC_PI_4)
                })?;
            }
        }
        if let Some(bars) = ctx.part(id, section::rods)? {
            let bars: Id<Rods> = bars;
            if ctx.has(bars, rods::thread)? {
                total += solid(ctx, bars, rods::material, || {
                    let row = ctx.get(bars, rods::thread)?;
                    let (area, count) = both(ctx.get(row, thread::stress_area), ctx.get(bars, rods::count))?;
                    Ok(area * ctx.get(bars, rods::length)? * f64::from(count))
                })?;
            }
        }
        if let (Some(band), Some(inner)) =
            (ctx.part(id, section::switch_band)?, ctx.part(id, section::coupler)?)
        {
            let band: Id<SwitchBand> = band;
            if ctx.has(band, switch_band::outer_diameter)?
                && ctx.has(band, switch_band::inner_diameter)?
                && ctx.has(inner, coupler::material)?
            {
                // A band is cut from tube of the sort that its coupler is made of.
                let row = ctx.get(inner, coupler::material)?;
                if ctx.has(row, material::density) == Ok(true) {
                    let across = both(
                        ctx.get(band, switch_band::outer_diameter),
                        ctx.get(band, switch_band::inner_diameter),
                    );
                    let ((outer, inner), long) = both(across, ctx.get(band, switch_band::length))?;
                    let ring = (outer * outer - inner * inner) * long * FRAC_PI_4;
                    total += (ctx.get(row, material::density)? * ring).si().max(0.0);
                }
            }
        }
        Ok(())
    })?;
    Ok(Mass::from_si(total))
}

/// What a part is called in a working.
fn part_name(ctx: &EvalContext<'_>, part: EntityId) -> String {
    let name = ctx.name(part).replace('_', " ");
    let holder = ctx.parent(part).filter(|parent| ctx.as_a::<Section>(*parent).is_none());
    holder.map_or_else(
        || name.clone(),
        |holder| format!("{name} of the {}", ctx.name(holder).replace('_', " ")),
    )
}

/// Tells where a part balances, and gives the line of its mass and the step of its place.
fn record_weight(
    ctx: &EvalContext<'_>,
    part: EntityId,
    station: f64,
    place: impl FnOnce() -> Formula,
) -> [String; 2] {
    if !ctx.is_recording() {
        return [String::new(), String::new()];
    }
    let name = part_name(ctx, part);
    let at = format!("{name}: balances at");
    ctx.step(at.clone(), place, Length::from_si(station));
    let estimated = format!("{name}: mass");
    let mass = if ctx.has_step(&estimated) { format!("{{{estimated}}}") } else { ctx.line(part, "mass") };
    [mass, format!("{{{at}}}")]
}

fn fin_weight(ctx: &EvalContext<'_>, set: Id<Fins>, parts: &mut Vec<Weight>) -> Outcome<()> {
    let shape = planform(ctx, set)?;
    let (root, tip, span, sweep) = (shape.root_chord, shape.tip_chord, shape.span, shape.sweep);
    let mass = match written(ctx, set, fins::mass)? {
        Some(mass) => Some(mass),
        None => reckoned(
            ctx,
            set,
            fins::material,
            |ctx| {
                let count = f64::from(ctx.get(set, fins::count)?);
                let thickness = ctx.get(set, fins::thickness)?;
                Ok((root + tip) * 0.5 * span * thickness * count)
            },
            || {
                let [root, tip, span, _] = planform_lines(ctx, set);
                let (count, thick) = (ctx.field_line(set, fins::count), ctx.field_line(set, fins::thickness));
                format!("{count} × ({root} + {tip}) / 2 × {span} × {thick}")
            },
        )?,
    };
    if let Some(mass) = mass {
        let (c, t, x) = (root.si(), tip.si(), sweep.si());
        // Centroid of the trapezoid along the body, from the leading corner of the root.
        let along = x / 3.0 * (c + 2.0 * t) / (c + t) + (c * c + c * t + t * t) / (3.0 * (c + t));
        let fore = extent(ctx, set)?.fore;
        let texts = record_weight(ctx, set.any(), fore + along, || {
            let [c, t, _, x] = planform_lines(ctx, set);
            let fore = ctx.line(set, "fore_station");
            Formula::Expression(
                format!("{fore} + {x} / 3 × ({c} + 2 × {t}) / ({c} + {t}) + ({c}² + {c} × {t} + {t}²) / (3 × ({c} + {t}))")
                    .into(),
            )
        });
        parts.push(Weight { mass: mass.si(), station: fore + along, texts });
    }
    Ok(())
}

fn mass_of_tube(ctx: &EvalContext<'_>, part: Id<Tube>) -> Outcome<Option<Mass>> {
    match written(ctx, part, tube::mass)? {
        Some(mass) => Ok(Some(mass)),
        None => hollow(ctx, part, tube::material, (tube::outer_diameter, tube::inner_diameter), tube::length),
    }
}

fn written<E>(ctx: &EvalContext<'_>, part: Id<E>, key: Key<E, Mass>) -> Outcome<Option<Mass>> {
    if ctx.has(part, key)? { ctx.get(part, key).map(Some) } else { Ok(None) }
}

/// Volume × density of the material, where the material is written down and has one.
fn reckoned<E: Typed>(
    ctx: &EvalContext<'_>,
    part: Id<E>,
    key: Key<E, Id<Material>>,
    volume: impl Fn(&EvalContext<'_>) -> Outcome<Volume>,
    texts: impl Fn() -> String,
) -> Outcome<Option<Mass>> {
    if !ctx.has(part, key)? {
        return Ok(None);
    }
    let row = ctx.get(part, key)?;
    if ctx.has(row, material::density) != Ok(true) {
        return Ok(None);
    }
    let (density, volume) = both(ctx.get(row, material::density), volume(ctx))?;
    let mass = density * volume;
    if ctx.is_recording() {
        let formula = format!("{} × {}", texts(), ctx.field_line(row, material::density));
        ctx.step(
            format!("{}: mass", part_name(ctx, part.any())),
            || Formula::Expression(formula.into()),
            mass,
        );
    }
    Ok(Some(mass))
}

/// The mass of a hollow cylinder by its size and material.
fn hollow<E: Typed>(
    ctx: &EvalContext<'_>,
    part: Id<E>,
    made_of: Key<E, Id<Material>>,
    (outer, inner): (Key<E, Length>, Key<E, Length>),
    long: Key<E, Length>,
) -> Outcome<Option<Mass>> {
    let volume = |ctx: &EvalContext<'_>| {
        let across = both(ctx.get(part, outer), ctx.get(part, inner));
        let ((outer, inner), long) = both(across, ctx.get(part, long))?;
        if inner >= outer {
            return Err(ctx.refuse("the inside is as wide as the outside, or wider"));
        }
        Ok((outer * outer - inner * inner) * long * FRAC_PI_4)
    };
    reckoned(ctx, part, made_of, volume, || {
        let [outer, inner, long] = [outer, inner, long].map(|key| ctx.field_line(part, key));
        format!("π / 4 × ({outer}² − {inner}²) × {long}")
    })
}

fn balance_of_parts(ctx: &EvalContext<'_>, root: Id<Rocket>) -> Outcome<Length> {
    let mut total: Outcome<(f64, f64)> = Ok((0.0, 0.0));
    let mut texts: Vec<[String; 2]> = Vec::new();
    let mut add = |mass: Outcome<Mass>, station: Outcome<Length>, lines: &dyn Fn() -> [String; 2]| {
        if ctx.is_recording() {
            texts.push(lines());
        }
        let so_far = std::mem::replace(&mut total, Ok((0.0, 0.0)));
        total = both(so_far, both(mass, station))
            .map(|((m, moment), (mass, at))| (m + mass.si(), moment + mass.si() * at.si()));
    };
    for one in sections(ctx)?.iter() {
        add(ctx.get(one, section::mass), ctx.query(one, &SECTION_BALANCE), &|| {
            [ctx.field_line(one, section::mass), ctx.line(one, SECTION_BALANCE.name)]
        });
        for more in ctx.entities(one, section::additions)?.iter() {
            let place = extent(ctx, more).map(|ends| Length::from_si(ends.fore));
            add(ctx.get(more, addition::mass), place, &|| {
                [ctx.field_line(more, addition::mass), ctx.line(more, "fore_station")]
            });
        }
    }
    let taken_at = |what: EntityId, home: Outcome<Id<Section>>, place: &Outcome<Length>| {
        let step = format!("{}: taken at", ctx.name(what));
        if let (Ok(body), Ok(middle)) = (home.and_then(|home| body_of(ctx, home)), place) {
            let [fore, aft] = ["fore_station", "aft_station"].map(|end| ctx.offered(body, end));
            let halfway = || Formula::Expression(format!("({fore} + {aft}) / 2").into());
            ctx.step(step.clone(), halfway, *middle);
        }
        [ctx.line(what, "mass"), format!("{{{step}}}")]
    };
    for canopy in ctx.every::<Parachute>() {
        let home = ctx.get(canopy, parachute::packed_in);
        let place = home.clone().and_then(|home| middle(ctx, home)).map(Length::from_si);
        add(ctx.get(canopy, parachute::mass), place.clone(), &|| {
            taken_at(canopy.any(), home.clone(), &place)
        });
    }
    for (cord, home) in weighed_cords(ctx)? {
        let place = home.clone().and_then(|home| middle(ctx, home)).map(Length::from_si);
        add(ctx.get(cord, harness::mass), place.clone(), &|| taken_at(cord.any(), home.clone(), &place));
    }
    let engine = ctx.part(root, rocket::motor)?.ok_or_else(|| ctx.refuse("no motor is described"))?;
    add(ctx.get(engine, motor::loaded_mass), motor_middle(ctx, root), &|| {
        [ctx.field_line(engine, motor::loaded_mass), "{middle of the motor}".to_owned()]
    });
    let (mass, moment) = total?;
    ctx.formula(|| centre(texts.iter()));
    Ok(Length::from_si(moment / mass))
}
