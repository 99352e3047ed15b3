//! Falling through the air of a day: how long it takes, and how far the wind carries what falls.

use std::sync::Arc;

use super::{STANDARD_GRAVITY, Unworkable, above_zero, atmosphere, finite, zero_or_more};
use crate::quantity::{Area, Density, Length, Mass, Speed, TemperatureDifference, Time};

/// Abscissas and weights of Gauss's rule with eight points, those of the positive half of −1 to 1. Source: *Handbook of Mathematical
/// Functions*, National Bureau of Standards, table 25.4.
const GAUSS: [(f64, f64); 4] = [
    (0.183_434_642_495_650, 0.362_683_783_378_362),
    (0.525_532_409_916_329, 0.313_706_645_877_887),
    (0.796_666_477_413_627, 0.222_381_034_453_374),
    (0.960_289_856_497_536, 0.101_228_536_290_376),
];
/// The exponent of the power law of the wind over open ground in neutral air.
pub const OPEN_GROUND: f64 = 1.0 / 7.0;
/// The height that wind speeds of forecasts and field masts belong to where none is said, m.
pub const MAST: f64 = 10.0;

/// Drag coefficient of a cylinder across the flow, on diameter × length, as the lowest over Reynolds numbers at which hobby rockets
/// fall: beyond the drop of drag.
const ACROSS_LOW: f64 = 0.3;
/// The same for a long cylinder before the drop of drag.
const ACROSS_HIGH: f64 = 1.2;
/// Drag coefficient of a flat plate across the flow, on its area.
const PLATE: f64 = 1.17;
/// Mean of sin³ over a body that turns end over end.
const TUMBLING: f64 = 4.0 / (3.0 * std::f64::consts::PI);

/// The wind over the field, which blows from one side at every height.
#[derive(Clone, Debug, PartialEq)]
pub enum Wind {
    /// The same at every height.
    Steady(Speed),
    /// v (z/z₀)^(1/7) above the height z₀ that v was measured at, v below.
    OpenGround {
        /// The wind v.
        speed: Speed,
        /// The height z₀, above zero.
        measured_at: Length,
    },
    /// Speeds at rising heights, in straight lines between them, and the outermost beyond; see [`Wind::by_heights`].
    ByHeights(Arc<[(Length, Speed)]>),
}

impl Wind {
    /// A wind by a list of heights above the field and speeds, as forecasters give it. Below the first of them it grows in a straight
    /// line from the wind at the ground.
    ///
    /// Source: interpolation.
    ///
    /// # Errors
    /// An empty list; a height or a speed below zero; heights that do not rise.
    pub fn by_heights(ground: Speed, list: &[(Length, Speed)]) -> Result<Self, Unworkable> {
        let mut points = Vec::with_capacity(list.len() + 1);
        match list.first() {
            None => return Err(Unworkable::because("the list of winds has no height")),
            Some((first, _)) if first.si() > 0.0 => points.push((Length::from_si(0.0), ground)),
            Some(_) => {}
        }
        points.extend_from_slice(list);
        for (height, speed) in &points {
            zero_or_more("a height of the list of winds", height.si())?;
            zero_or_more("a wind", speed.si())?;
        }
        let pairs = points.iter().zip(points.iter().skip(1));
        if pairs.into_iter().any(|((low, _), (high, _))| low >= high) {
            return Err(Unworkable::because("the heights of the list of winds do not rise"));
        }
        Ok(Self::ByHeights(points.into()))
    }

    /// Its speed at a height above the ground.
    ///
    /// Range: the power law describes the air up to some hundred metres; above, it is an estimate. Source: the seventh-root profile
    /// of the *Glossary of Meteorology*, American Meteorological Society.
    #[must_use]
    pub fn at(&self, height: Length) -> Speed {
        match self {
            Self::Steady(speed) => *speed,
            Self::OpenGround { speed, measured_at } => {
                *speed * libm::pow((height.si() / measured_at.si()).max(1.0), OPEN_GROUND)
            }
            Self::ByHeights(points) => between(points, height.si()),
        }
    }

    /// The mean of its speed between two heights, each metre of height counted alike.
    ///
    /// Source: the integrals of the seventh root and of straight lines.
    #[must_use]
    pub fn mean(&self, low: Length, high: Length) -> Speed {
        let (from, to) = (low.si(), high.si());
        if from >= to {
            return self.at(high);
        }
        match self {
            Self::Steady(speed) => *speed,
            Self::OpenGround { speed, measured_at } => {
                let z0 = measured_at.si();
                // ∫ w dz from the ground.
                let sum = |z: f64| match z > z0 {
                    true => z0 + z0 * (libm::pow(z / z0, 1.0 + OPEN_GROUND) - 1.0) / (1.0 + OPEN_GROUND),
                    false => z,
                };
                *speed * ((sum(to) - sum(from)) / (to - from))
            }
            Self::ByHeights(points) => {
                let inside = points.iter().map(|(z, _)| z.si()).filter(|z| from < *z && *z < to);
                let (mut sum, mut last) = (0.0, from);
                for z in inside.chain([to]) {
                    sum += 0.5 * (between(points, last).si() + between(points, z).si()) * (z - last);
                    last = z;
                }
                Speed::from_si(sum / (to - from))
            }
        }
    }
}

/// The speed at a height by straight lines between points of rising height.
fn between(points: &[(Length, Speed)], height: f64) -> Speed {
    let at = points.partition_point(|(z, _)| z.si() <= height);
    match (at.checked_sub(1).and_then(|below| points.get(below)), points.get(at)) {
        (Some((low, slow)), Some((high, fast))) => {
            let share = (height - low.si()) / (high.si() - low.si());
            *slow + (*fast - *slow) * share
        }
        (Some((_, speed)), None) | (None, Some((_, speed))) => *speed,
        (None, None) => Speed::from_si(0.0),
    }
}

/// The air over a field on a day.
#[derive(Clone, Debug, PartialEq)]
pub struct Day {
    /// Height of the field above the sea.
    pub field: Length,
    /// How much warmer the air is than on the standard day, at every height.
    pub warmer: TemperatureDifference,
    /// The wind.
    pub wind: Wind,
}

impl Day {
    /// The density at a height above the field: the pressure of the standard day with the temperature of this one.
    ///
    /// Source: *U.S. Standard Atmosphere, 1976*; ideal gas.
    ///
    /// # Errors
    /// A height outside the standard atmosphere.
    pub fn density(&self, height: Length) -> Result<Density, Unworkable> {
        let altitude = atmosphere::in_range(self.field + height)?;
        let density = atmosphere::on_day(altitude.si(), self.warmer.si()).density;
        finite("the density of the air", density.si()).map(Density::from_si)
    }
}

/// A stretch of a fall with one drag area, at the speed where drag carries the weight.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stretch {
    /// What falls.
    pub mass: Mass,
    /// Its drag coefficient times its area.
    pub drag_area: Area,
    /// The height above the field where it begins.
    pub from: Length,
    /// The height above the field where it ends.
    pub to: Length,
}

/// What a fall came to.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Fall {
    /// How long it took.
    pub time: Time,
    /// How far the wind carried it.
    pub drift: Length,
}

/// The speed of a fall at a height: v = √(2 m g/(ρ CdS)).
///
/// Source: T. W. Knacke, *Parachute Recovery Systems Design Manual*, NWC TP 6575 (1991).
///
/// # Errors
/// A mass or a drag area that is not above zero, a height outside the standard atmosphere.
pub fn rate(mass: Mass, drag_area: Area, height: Length, day: &Day) -> Result<Speed, Unworkable> {
    super::parachute::descent_rate(mass, drag_area, day.density(height)?)
}

/// The time ∫ dz/v and the drift ∫ w dz/v of a stretch, by Gauss's rule with eight points on each smooth piece of it. In the seventh
/// root of the height, the drift in a wind that grows with it is smooth down to where the wind was measured.
///
/// Source: [`rate`]; kinematics.
///
/// # Errors
/// Those of [`rate`]; a stretch that ends above where it begins.
pub fn fall(stretch: &Stretch, day: &Day) -> Result<Fall, Unworkable> {
    let (low, high) = (stretch.to.si(), stretch.from.si());
    zero_or_more("the height to fall", high - low)?;
    let [tropopause, stratosphere] = atmosphere::layer_edges().map(|edge| edge.si() - day.field.si());
    // Above this height the seventh root of the height is the variable.
    let mast = match &day.wind {
        Wind::Steady(_) => MAST,
        Wind::OpenGround { measured_at, .. } => above_zero("where the wind was measured", measured_at.si())?,
        Wind::ByHeights(_) => f64::INFINITY,
    };
    let listed: &[(Length, Speed)] = if let Wind::ByHeights(points) = &day.wind { points } else { &[] };
    let kinks = [mast, tropopause, stratosphere].into_iter().chain(listed.iter().map(|(z, _)| z.si()));
    let mut kinks: Vec<f64> = kinks.filter(|kink| low < *kink && *kink < high).collect();
    kinks.sort_by(f64::total_cmp);
    let (mut time, mut drift, mut from) = (0.0, 0.0, low);
    for to in kinks.into_iter().chain([high]) {
        let root = |z: f64| libm::pow(z, OPEN_GROUND);
        let (begin, end) = if from >= mast { (root(from), root(to)) } else { (from, to) };
        let (middle, half) = (0.5 * (begin + end), 0.5 * (end - begin));
        for (abscissa, weight) in GAUSS.iter().flat_map(|(x, w)| [(-x, w), (*x, w)]) {
            let s = middle + half * abscissa;
            // The height, and how much of it a piece of the variable is.
            let (height, stretched) = if from >= mast {
                let sixth = s * s * s * s * s * s;
                (sixth * s, sixth / OPEN_GROUND)
            } else {
                (s, 1.0)
            };
            let here = Length::from_si(height);
            let slowness = half * weight * stretched / rate(stretch.mass, stretch.drag_area, here, day)?.si();
            time += slowness;
            drift += slowness * day.wind.at(here).si();
        }
        from = to;
    }
    Ok(Fall {
        time: finite("the time of descent", time).map(Time::from_si)?,
        drift: finite("the drift", drift).map(Length::from_si)?,
    })
}

/// The least and the most drag area of a body that falls without a canopy that carries it: tumbling end over end beyond the drop of
/// drag, and flat across the air before it, with two of its fins as plates.
///
/// Source: cylinders and plates across the flow by tables of drag coefficients of the *Aeronautical Engineer's Data Book*, and
/// A. Roshko, *J. Fluid Mech.* 10 (1961) 345 for the drop; the mean of sin³ is geometry. How a rocket without its canopy falls
/// is not known, so that only the band means something.
///
/// # Errors
/// A size that is not above zero.
pub fn body_drag_area(diameter: Length, length: Length, fin: Area) -> Result<(Area, Area), Unworkable> {
    let d = above_zero("the diameter of the body", diameter.si())?;
    let l = above_zero("the length of the body", length.si())?;
    let s = zero_or_more("the area of a fin", fin.si())?;
    let low = finite("the drag area of the body", ACROSS_LOW * TUMBLING * d * l)?;
    let high = finite("the drag area of the body", ACROSS_HIGH * d * l + PLATE * 2.0 * s)?;
    Ok((Area::from_si(low), Area::from_si(high)))
}

/// The speed after a free fall from rest through a height against drag: v² = vₜ² (1 − e^(−2 g h/vₜ²)), the density being that of the
/// lower end.
///
/// Source: Newton's second law with drag that goes with the square of the speed.
///
/// # Errors
/// Those of [`rate`]; a height below zero.
pub fn speed_after(
    mass: Mass,
    drag_area: Area,
    fallen: Length,
    height: Length,
    day: &Day,
) -> Result<Speed, Unworkable> {
    let h = zero_or_more("the height to fall", fallen.si())?;
    let terminal = rate(mass, drag_area, height, day)?.si();
    let share = -libm::expm1(-2.0 * STANDARD_GRAVITY * h / (terminal * terminal));
    finite("the speed of the fall", terminal * share.sqrt()).map(Speed::from_si)
}
