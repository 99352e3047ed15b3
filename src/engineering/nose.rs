//! Nose cones: the shapes, and the volume, skin and side view that stability and drag need of them.

use std::f64::consts::PI;

use super::{Unworkable, above_zero, finite};
use crate::quantity::{Area, Length, Volume};

/// Slices of the numerical integrals over a profile that is steep without bound at the tip.
const SLICES: u32 = 2000;
/// Slices over a smoother profile, where the sum over every second station shows how far the sum is off.
const FEW_SLICES: u32 = 256;
/// Lengths beyond which the arc of an ogive is too flat for its closed form; the nose is a cone for every purpose.
const FLATTEST_ARC: f64 = 200.0;

/// The profile of a nose: its radius r at the distance x from the tip, for the length L and the base radius R.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum NoseShape {
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
    shape: NoseShape,
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
    /// Source: geometry.
    ///
    /// # Errors
    /// A length or diameter that is not above zero; a shape parameter out of its range; a tangent ogive shorter than its base
    /// radius (it cannot be tangent); a secant ogive whose arc is smaller than the tangent one's (it would bulge) or larger
    /// than 200 lengths (call it a cone).
    pub fn new(shape: NoseShape, length: Length, base_diameter: Length) -> Result<Self, Unworkable> {
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
            NoseShape::Cone | NoseShape::Ellipsoid => {}
            NoseShape::TangentOgive => {
                if l < r {
                    return Err(Unworkable::because(
                        "a tangent ogive cannot be shorter than half its diameter",
                    ));
                }
                ranged("the arc of the ogive", tangent_arc(l, r), 0.0, FLATTEST_ARC * l)?;
            }
            NoseShape::SecantOgive { arc } => {
                if l < r {
                    return Err(Unworkable::because("an ogive cannot be shorter than half its diameter"));
                }
                // A hair of room for an arc computed by the caller from the tangent formula.
                let least = tangent_arc(l, r) * (1.0 - 1e-9);
                ranged("the arc of the secant ogive", arc.si(), least, FLATTEST_ARC * l)?;
            }
            NoseShape::Parabola { k } => ranged("the parameter K of the parabola", k, 0.0, 1.0)?,
            NoseShape::Power { exponent } => {
                ranged("the exponent of the power nose", exponent, f64::MIN_POSITIVE, 1.0)?;
            }
            NoseShape::Haack { c } => ranged("the parameter C of the Haack nose", c, 0.0, 2.0 / 3.0 + 1e-9)?,
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

    /// Radius r at the distance x from the tip; 0 before the tip, R behind the base. Source: the shapes' definitions, see [`NoseShape`].
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
            NoseShape::Cone => 1.0 / 3.0,
            NoseShape::Ellipsoid => 2.0 / 3.0,
            NoseShape::Parabola { k } => (4.0 / 3.0 - k + k * k / 5.0) / (2.0 - k).powi(2),
            NoseShape::Power { exponent } => 1.0 / (2.0 * exponent + 1.0),
            NoseShape::Haack { c } => 0.5 + 3.0 * c / 16.0,
            NoseShape::TangentOgive | NoseShape::SecantOgive { .. } => {
                let arc = self.arc();
                let Arc { x, y, radius } = arc;
                let (l, square) = (self.length, radius * radius);
                // r = s + y with s = √(ρ² − (x − x_c)²); the integrals of s² and of s from the tip to the base.
                let squares = square * l - ((l - x).powi(3) + x.powi(3)) / 3.0;
                let roots = arc.roots(l);
                (squares + 2.0 * y * roots + y * y * l) / (self.radius * self.radius * l)
            }
        }
    }

    /// Volume V of the nose, as if solid. Source: see [`Nose::fullness`].
    ///
    /// # Errors
    /// A size so large that the volume is no finite number.
    pub fn volume(&self) -> Result<Volume, Unworkable> {
        let cylinder = PI * self.radius * self.radius * self.length;
        finite("the volume of the nose", self.fullness() * cylinder).map(Volume::from_si)
    }

    /// Skin area of the nose without its base: cone, ellipsoid and ogives in closed form, the others by the sum of narrow cones between
    /// stations set closer near the tip.
    ///
    /// Good to 1e-5 of itself, 1e-3 for powers below 1/2. Source: integral calculus.
    ///
    /// # Errors
    /// A size beyond computing.
    pub fn skin(&self) -> Result<Area, Unworkable> {
        let (l, r) = (self.length, self.radius);
        let area = match self.shape {
            NoseShape::Cone => PI * r * libm::hypot(l, r),
            NoseShape::Ellipsoid => {
                // Half a spheroid; near the sphere both closed forms are 0/0, and their common series holds.
                let bend = 1.0 - (r / l).powi(2);
                let along = if bend.abs() < 1e-4 {
                    1.0 + bend / 6.0
                } else if bend > 0.0 {
                    libm::asin(bend.sqrt()) / bend.sqrt()
                } else {
                    libm::asinh((-bend).sqrt()) / (-bend).sqrt()
                };
                PI * r * (r + l * along)
            }
            NoseShape::TangentOgive | NoseShape::SecantOgive { .. } => {
                let Arc { x, y, radius } = self.arc();
                let turn = libm::asin(((l - x) / radius).clamp(-1.0, 1.0))
                    + libm::asin((x / radius).clamp(-1.0, 1.0));
                2.0 * PI * radius * (l + y * turn)
            }
            NoseShape::Parabola { .. } | NoseShape::Power { .. } | NoseShape::Haack { .. } => {
                let [area, _] = self.sums(|(x0, r0), (x1, r1)| {
                    [PI * (r0 + r1) * ((x1 - x0) * (x1 - x0) + (r1 - r0) * (r1 - r0)).sqrt(), 0.0]
                });
                area
            }
        };
        finite("the skin of the nose", area).map(Area::from_si)
    }

    /// Side view of the nose: in closed form but for the Haack noses, which go by the same sum as [`Nose::skin`].
    ///
    /// Source: integral calculus.
    ///
    /// # Errors
    /// A size beyond computing.
    pub fn side_view(&self) -> Result<SideView, Unworkable> {
        let (l, r) = (self.length, self.radius);
        // The area, and its moment about the tip.
        let [area, moment] = match self.shape {
            NoseShape::Cone => [r * l, 2.0 / 3.0 * r * l * l],
            NoseShape::Ellipsoid => [PI / 2.0 * r * l, (PI / 2.0 - 2.0 / 3.0) * r * l * l],
            NoseShape::Parabola { k } => {
                let base = 2.0 * r * l / (2.0 - k);
                [base * (1.0 - k / 3.0), base * l * (2.0 / 3.0 - k / 4.0)]
            }
            NoseShape::Power { exponent } => {
                [2.0 * r * l / (exponent + 1.0), 2.0 * r * l * l / (exponent + 2.0)]
            }
            NoseShape::TangentOgive | NoseShape::SecantOgive { .. } => {
                let arc = self.arc();
                let Arc { x, y, radius } = arc;
                let roots = arc.roots(l);
                let cube = |u: f64| libm::pow((radius * radius - u * u).max(0.0), 1.5);
                let lever = x * roots - (cube(l - x) - cube(x)) / 3.0;
                [2.0 * (roots + y * l), 2.0 * lever + y * l * l]
            }
            NoseShape::Haack { .. } => self.sums(|(x0, r0), (x1, r1)| {
                let slice = (x1 - x0) * (r0 + r1);
                [slice, slice * f64::midpoint(x0, x1)]
            }),
        };
        finite("the side view of the nose", area)?;
        let centroid = finite("the centroid of the nose", moment / area)?;
        Ok(SideView { area: Area::from_si(area), centroid: Length::from_si(centroid) })
    }

    /// Sums over slices between stations (x, r) from tip to base; they crowd at a blunt tip, where the slope is steep. The sums' error goes
    /// with the square of a slice, so that of twice as wide slices is four times it and takes it away.
    fn sums(&self, slice: impl Fn((f64, f64), (f64, f64)) -> [f64; 2]) -> [f64; 2] {
        let steep = matches!(self.shape, NoseShape::Power { .. });
        let count = if steep { SLICES } else { FEW_SLICES };
        let station = |i: u32| {
            let root = f64::from(i) / f64::from(count);
            let xi = root * root;
            (xi * self.length, self.profile(xi))
        };
        let (mut fine, mut coarse) = ([0.0; 2], [0.0; 2]);
        let (mut before, mut last) = (station(0), station(0));
        for i in 1..=count {
            let here = station(i);
            add(&mut fine, slice(last, here));
            if i % 2 == 0 {
                add(&mut coarse, slice(before, here));
                before = here;
            }
            last = here;
        }
        if steep {
            return fine;
        }
        let ([a, b], [c, d]) = (fine, coarse);
        [a + (a - c) / 3.0, b + (b - d) / 3.0]
    }

    /// Radius at the share ξ of the length.
    fn profile(&self, xi: f64) -> f64 {
        let xi = xi.clamp(0.0, 1.0);
        let share = match self.shape {
            NoseShape::Cone => xi,
            NoseShape::Ellipsoid => (1.0 - (1.0 - xi).powi(2)).max(0.0).sqrt(),
            NoseShape::Parabola { k } => (2.0 * xi - k * xi * xi) / (2.0 - k),
            NoseShape::Power { exponent } => libm::pow(xi, exponent),
            NoseShape::Haack { c } => {
                let theta = libm::acos(1.0 - 2.0 * xi);
                ((theta - libm::sin(2.0 * theta) / 2.0 + c * libm::sin(theta).powi(3)) / PI).max(0.0).sqrt()
            }
            NoseShape::TangentOgive | NoseShape::SecantOgive { .. } => {
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
            NoseShape::SecantOgive { arc } => arc.si(),
            _ => tangent_arc(l, r),
        };
        let chord = libm::hypot(l, r);
        let height = (radius * radius - chord * chord / 4.0).max(0.0).sqrt();
        Arc { x: l / 2.0 + height * r / chord, y: r / 2.0 - height * l / chord, radius }
    }
}

impl Arc {
    /// The integral of √(ρ² − (x − x_c)²) from the tip to the base at l.
    fn roots(&self, l: f64) -> f64 {
        let square = self.radius * self.radius;
        let half = |u: f64| {
            f64::midpoint(
                u * (square - u * u).max(0.0).sqrt(),
                square * libm::asin((u / self.radius).clamp(-1.0, 1.0)),
            )
        };
        half(l - self.x) - half(-self.x)
    }
}

fn add(sums: &mut [f64; 2], more: [f64; 2]) {
    for (sum, more) in sums.iter_mut().zip(more) {
        *sum += more;
    }
}

/// Arc radius of the tangent ogive.
fn tangent_arc(length: f64, radius: f64) -> f64 {
    (radius * radius + length * length) / (2.0 * radius)
}
