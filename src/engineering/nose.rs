//! Nose cones: the shapes, and the volume, skin and side view that stability and drag need of them.

use std::f64::consts::PI;

use super::{Unworkable, above_zero, finite};
use crate::quantity::{Area, Length, Volume};

/// Slices of the numerical integrals over a profile.
const SLICES: u32 = 2000;
/// Lengths beyond which the arc of an ogive is too flat for its closed form; the nose is a cone for every purpose.
const FLATTEST_ARC: f64 = 200.0;

/// The profile of a nose: its radius r at the distance x from the tip, for the length L and the base radius R.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Shape {
    /// r = R x/L.
    Cone,
    /// An arc that meets the body without a corner: arc radius ρ = (R² + L²)/(2 R).
    TangentOgive,
    /// An arc of a larger radius ρ than the tangent ogive's, which leaves a corner at the base.
    SecantOgive {
        /// The arc radius ρ.
        arc: Length,
    },
    /// Half an ellipse: r = R √(1 − (1 − x/L)²).
    Ellipsoid,
    /// r = R (2 ξ − K ξ²)/(2 − K), ξ = x/L; K = 0 is a cone, K = 1 meets the body without a corner.
    Parabola {
        /// The parameter K, 0 to 1.
        k: f64,
    },
    /// r = R ξⁿ.
    Power {
        /// The exponent n, above 0 and not above 1.
        exponent: f64,
    },
    /// r = R √((θ − sin 2θ/2 + C sin³ θ)/π), θ = arccos(1 − 2 ξ).
    Haack {
        /// The parameter C, 0 to 2/3: 0 for least drag at given length and diameter (von Kármán), 1/3 for given length and volume.
        c: f64,
    },
}

/// A nose of a shape, a length and a base diameter, checked to make sense.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Nose {
    shape: Shape,
    length: f64,
    radius: f64,
}

/// What a part looks like from the side.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SideView {
    /// The area of the silhouette.
    pub area: Area,
    /// Its centroid, measured aft from the part's front end.
    pub centroid: Length,
}

/// A circular arc through the tip and the rim: centre (x, y) and radius, with y below the axis or on it.
struct Arc {
    x: f64,
    y: f64,
    radius: f64,
}

impl Nose {
    /// A nose.
    ///
    /// Errors: a length or diameter that is not above zero; a shape parameter out of its range; a tangent ogive shorter than its base
    /// radius (it cannot be tangent); a secant ogive whose arc is smaller than the tangent one's (it would bulge) or larger than 200
    /// lengths (call it a cone). Source: geometry.
    pub fn new(shape: Shape, length: Length, base_diameter: Length) -> Result<Self, Unworkable> {
        let l = above_zero("the length of the nose", length.si())?;
        let r = above_zero("the base diameter of the nose", base_diameter.si())? / 2.0;
        let ranged = |what: &str, value: f64, low: f64, high: f64| {
            if value >= low && value <= high {
                Ok(())
            } else {
                Err(Unworkable::because(format!("{what} is out of its range")))
            }
        };
        match shape {
            Shape::Cone | Shape::Ellipsoid => {}
            Shape::TangentOgive => {
                if l < r {
                    return Err(Unworkable::because(
                        "a tangent ogive cannot be shorter than half its diameter",
                    ));
                }
                ranged("the arc of the ogive", tangent_arc(l, r), 0.0, FLATTEST_ARC * l)?;
            }
            Shape::SecantOgive { arc } => {
                if l < r {
                    return Err(Unworkable::because("an ogive cannot be shorter than half its diameter"));
                }
                // A hair of room for an arc computed by the caller from the tangent formula.
                let least = tangent_arc(l, r) * (1.0 - 1e-9);
                ranged("the arc of the secant ogive", arc.si(), least, FLATTEST_ARC * l)?;
            }
            Shape::Parabola { k } => ranged("the parameter K of the parabola", k, 0.0, 1.0)?,
            Shape::Power { exponent } => {
                ranged("the exponent of the power nose", exponent, f64::MIN_POSITIVE, 1.0)?;
            }
            Shape::Haack { c } => ranged("the parameter C of the Haack nose", c, 0.0, 2.0 / 3.0 + 1e-9)?,
        }
        Ok(Self { shape, length: l, radius: r })
    }

    /// Its length L.
    #[must_use]
    pub const fn length(&self) -> Length {
        Length::from_si(self.length)
    }

    /// Its base diameter 2 R.
    #[must_use]
    pub const fn base_diameter(&self) -> Length {
        Length::from_si(2.0 * self.radius)
    }

    /// Radius r at the distance x from the tip; 0 before the tip, R behind the base. Source: the shapes' definitions, see [`Shape`].
    #[must_use]
    pub fn radius_at(&self, from_tip: Length) -> Length {
        Length::from_si(self.profile(from_tip.si() / self.length))
    }

    /// Share V/(A L) of the cylinder around it that the nose fills, A = π R²: cone 1/3; ellipsoid 2/3; parabola
    /// (4/3 − K + K²/5)/(2 − K)²; power 1/(2 n + 1); Haack 1/2 + 3 C/16; ogives by the volume of revolution of the arc.
    ///
    /// Exact for each shape. Source: integral calculus; the tests compare it with published values.
    #[must_use]
    pub fn fullness(&self) -> f64 {
        match self.shape {
            Shape::Cone => 1.0 / 3.0,
            Shape::Ellipsoid => 2.0 / 3.0,
            Shape::Parabola { k } => (4.0 / 3.0 - k + k * k / 5.0) / (2.0 - k).powi(2),
            Shape::Power { exponent } => 1.0 / (2.0 * exponent + 1.0),
            Shape::Haack { c } => 0.5 + 3.0 * c / 16.0,
            Shape::TangentOgive | Shape::SecantOgive { .. } => {
                let Arc { x, y, radius } = self.arc();
                let (l, square) = (self.length, radius * radius);
                // r = s + y with s = √(ρ² − (x − x_c)²); the integrals of s² and of s from the tip to the base.
                let squares = square * l - ((l - x).powi(3) + x.powi(3)) / 3.0;
                let half = |u: f64| {
                    f64::midpoint(
                        u * (square - u * u).max(0.0).sqrt(),
                        square * (u / radius).clamp(-1.0, 1.0).asin(),
                    )
                };
                let roots = half(l - x) - half(-x);
                (squares + 2.0 * y * roots + y * y * l) / (self.radius * self.radius * l)
            }
        }
    }

    /// Volume V of the nose, as if solid. Source: see [`Nose::fullness`].
    pub fn volume(&self) -> Result<Volume, Unworkable> {
        let cylinder = PI * self.radius * self.radius * self.length;
        finite("the volume of the nose", self.fullness() * cylinder).map(Volume::from_si)
    }

    /// Skin area of the nose without its base, by the sum of narrow cones between 2000 stations set closer near the tip.
    ///
    /// Good to 1e-5 of itself, 1e-3 for powers below 1/2. Errors: a size beyond computing. Source: integral calculus.
    pub fn skin(&self) -> Result<Area, Unworkable> {
        let area: f64 =
            self.slices().map(|((x0, r0), (x1, r1))| PI * (r0 + r1) * (x1 - x0).hypot(r1 - r0)).sum();
        finite("the skin of the nose", area).map(Area::from_si)
    }

    /// Side view of the nose, by the same sum as [`Nose::skin`].
    ///
    /// Errors: a size beyond computing. Source: integral calculus.
    pub fn side_view(&self) -> Result<SideView, Unworkable> {
        let mut area = 0.0;
        let mut moment = 0.0;
        for ((x0, r0), (x1, r1)) in self.slices() {
            let slice = (x1 - x0) * (r0 + r1);
            area += slice;
            moment += slice * f64::midpoint(x0, x1);
        }
        finite("the side view of the nose", area)?;
        let centroid = finite("the centroid of the nose", moment / area)?;
        Ok(SideView { area: Area::from_si(area), centroid: Length::from_si(centroid) })
    }

    /// Neighbouring pairs of stations (x, r) from tip to base; they crowd at a blunt tip, where the slope is steep.
    fn slices(&self) -> impl Iterator<Item = ((f64, f64), (f64, f64))> + '_ {
        let station = |i: u32| {
            let xi = (f64::from(i) / f64::from(SLICES)).powi(2);
            (xi * self.length, self.profile(xi))
        };
        (0..SLICES).map(move |i| (station(i), station(i + 1)))
    }

    /// Radius at the share ξ of the length.
    fn profile(&self, xi: f64) -> f64 {
        let xi = xi.clamp(0.0, 1.0);
        let share = match self.shape {
            Shape::Cone => xi,
            Shape::Ellipsoid => (1.0 - (1.0 - xi).powi(2)).max(0.0).sqrt(),
            Shape::Parabola { k } => (2.0 * xi - k * xi * xi) / (2.0 - k),
            Shape::Power { exponent } => xi.powf(exponent),
            Shape::Haack { c } => {
                let theta = (1.0 - 2.0 * xi).acos();
                ((theta - (2.0 * theta).sin() / 2.0 + c * theta.sin().powi(3)) / PI).max(0.0).sqrt()
            }
            Shape::TangentOgive | Shape::SecantOgive { .. } => {
                let Arc { x, y, radius } = self.arc();
                let u = xi * self.length - x;
                ((radius * radius - u * u).max(0.0).sqrt() + y).max(0.0) / self.radius
            }
        };
        share * self.radius
    }

    /// The arc of an ogive, through the tip and the rim of the base.
    fn arc(&self) -> Arc {
        let (l, r) = (self.length, self.radius);
        let radius = match self.shape {
            Shape::SecantOgive { arc } => arc.si(),
            _ => tangent_arc(l, r),
        };
        let chord = l.hypot(r);
        let height = (radius * radius - chord * chord / 4.0).max(0.0).sqrt();
        Arc { x: l / 2.0 + height * r / chord, y: r / 2.0 - height * l / chord, radius }
    }
}

/// Arc radius of the tangent ogive.
fn tangent_arc(length: f64, radius: f64) -> f64 {
    (radius * radius + length * length) / (2.0 * radius)
}
