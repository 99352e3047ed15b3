//! Numbers to quantities and structures, and back: so that a function can be swept without a line of its own for each of its arguments.

use std::fmt::Display;

use holdpoint::engineering::atmosphere::{self, Air};
use holdpoint::engineering::bending::{SideForce, Stretch, Wall};
use holdpoint::engineering::constant_thrust::{Flight, Heights};
use holdpoint::engineering::drag::{self, Airframe};
use holdpoint::engineering::fall;
use holdpoint::engineering::flutter::Plate;
use holdpoint::engineering::igniter::{Arrangement, Circuit};
use holdpoint::engineering::lag::{BayLag, Waypoint};
use holdpoint::engineering::landing_ellipse::Ellipse;
use holdpoint::engineering::loads::{Stripping, ThreadedHole, WallHoles};
use holdpoint::engineering::motors;
use holdpoint::engineering::nose::SideView;
use holdpoint::engineering::parachute::{Band, Opening, OpeningForce};
use holdpoint::engineering::pins::Half;
use holdpoint::engineering::planform::{Planform, Reduced};
use holdpoint::engineering::stability::{Contribution, FinSet};
use holdpoint::engineering::supersonic::Linear;
use holdpoint::engineering::venting::{Lag, VentedBay};
use holdpoint::quantity::{
    Acceleration, Angle, Area, Current, Density, Energy, Force, Impulse, Length, Mass, Pressure, Resistance,
    Speed, Temperature, TemperatureDifference, Time, Voltage, Volume,
};

/// What is made of numbers, taken one after the other.
pub(super) trait Taken {
    fn taken(from: &mut dyn Iterator<Item = f64>) -> Self;
}

/// What consists of numbers.
pub(super) trait Given {
    /// Whether it may be a refusal.
    const CHECKED: bool = false;

    /// Adds its numbers; false where it is a refusal.
    fn give(&self, to: &mut Vec<f64>) -> bool;
}

impl Taken for f64 {
    fn taken(from: &mut dyn Iterator<Item = f64>) -> Self {
        from.next().expect("as many numbers as the function takes")
    }
}

impl Taken for u32 {
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "as far as it goes")]
    fn taken(from: &mut dyn Iterator<Item = f64>) -> Self {
        f64::taken(from) as Self
    }
}

impl<A: Taken, B: Taken> Taken for (A, B) {
    fn taken(from: &mut dyn Iterator<Item = f64>) -> Self {
        (A::taken(from), B::taken(from))
    }
}

impl<T: Taken, const N: usize> Taken for [T; N] {
    fn taken(from: &mut dyn Iterator<Item = f64>) -> Self {
        std::array::from_fn(|_| T::taken(from))
    }
}

impl Taken for Air {
    fn taken(from: &mut dyn Iterator<Item = f64>) -> Self {
        // Of an altitude where there is one, so that its parts belong together.
        let altitude = Length::taken(from);
        atmosphere::at(altitude).unwrap_or_else(|_| Self {
            temperature: Temperature::from_si(altitude.si()),
            pressure: Pressure::from_si(altitude.si()),
            density: Density::from_si(altitude.si()),
            speed_of_sound: Speed::from_si(altitude.si()),
            viscosity: altitude.si(),
        })
    }
}

impl Given for f64 {
    fn give(&self, to: &mut Vec<f64>) -> bool {
        to.push(*self);
        true
    }
}

macro_rules! whole {
    ($($type:ty),*) => {$(
        impl Given for $type {
            fn give(&self, _: &mut Vec<f64>) -> bool {
                true
            }
        }
    )*};
}
// What is no number cannot be endless.
whole!(u8, u32, usize, &'static str, Option<u8>, drag::Motor, motors::Designated<'_>);

impl<T: Given, E: Display> Given for Result<T, E> {
    const CHECKED: bool = true;

    fn give(&self, to: &mut Vec<f64>) -> bool {
        match self {
            Ok(value) => value.give(to),
            Err(reason) => {
                assert!(!reason.to_string().is_empty(), "a refusal without a word");
                false
            }
        }
    }
}

impl<A: Given, B: Given> Given for (A, B) {
    fn give(&self, to: &mut Vec<f64>) -> bool {
        self.0.give(to) && self.1.give(to)
    }
}

impl<A: Given, B: Given, C: Given> Given for (A, B, C) {
    fn give(&self, to: &mut Vec<f64>) -> bool {
        self.0.give(to) && self.1.give(to) && self.2.give(to)
    }
}

impl<T: Given> Given for Vec<T> {
    fn give(&self, to: &mut Vec<f64>) -> bool {
        self.iter().all(|one| one.give(to))
    }
}

macro_rules! quantities {
    ($($type:ident)*) => {$(
        impl Taken for $type {
            fn taken(from: &mut dyn Iterator<Item = f64>) -> Self {
                Self::from_si(f64::taken(from))
            }
        }

        impl Given for $type {
            fn give(&self, to: &mut Vec<f64>) -> bool {
                self.si().give(to)
            }
        }
    )*};
}
quantities!(Acceleration Angle Area Current Density Energy Force Impulse Length Mass Pressure Resistance Speed
    Temperature TemperatureDifference Time Voltage Volume);

/// Structures of which a value is made of numbers in the order of these fields.
macro_rules! taken {
    ($($type:ty { $($field:ident),* $(; $fixed:ident: $value:expr)? })*) => {$(
        impl Taken for $type {
            fn taken(from: &mut dyn Iterator<Item = f64>) -> Self {
                Self { $($field: Taken::taken(from),)* $($fixed: $value,)? }
            }
        }
    )*};
}
taken! {
    Stretch { fore, aft, mass }
    SideForce { at, force }
    Wall { radius, thickness }
    Flight { thrust, burn, burning, coasting, drag }
    drag::Fins { count, mean_chord, span, thickness; edges: drag::Edges::Rounded }
    Airframe { length, diameter, skin, base, roughness, fins, buttons, interference }
    fall::Stretch { mass, drag_area, from, to }
    Plate { root_chord, tip_chord, span, thickness, shear_modulus }
    Circuit { voltage, battery, wiring, igniter, count; arrangement: Arrangement::Parallel }
    Waypoint { time, altitude, climb }
    ThreadedHole { major_diameter, minor_diameter, pitch, engagement }
    WallHoles { count, diameter, wall, edge }
    SideView { area, centroid }
    Opening { drag_area, diameter, mass, speed, density, force_coefficient, fill_constant, growth }
    Half { mass, drag }
    Planform { root_chord, tip_chord, span, sweep }
    Contribution { slope, centre }
    FinSet { count, root_chord, tip_chord, span, sweep, body_diameter }
    VentedBay { volume, vents, discharge_coefficient, temperature }
    Ellipse { middle, long, short, side }
}

impl<T: Taken> Taken for Band<T> {
    fn taken(from: &mut dyn Iterator<Item = f64>) -> Self {
        Self { low: T::taken(from), high: T::taken(from) }
    }
}

impl<T: Given> Given for Band<T> {
    fn give(&self, to: &mut Vec<f64>) -> bool {
        self.low.give(to) && self.high.give(to)
    }
}

/// Structures that consist of these fields.
macro_rules! given {
    ($($type:ty { $($field:ident),* })*) => {$(
        impl Given for $type {
            fn give(&self, to: &mut Vec<f64>) -> bool {
                $(self.$field.give(to))&&*
            }
        }
    )*};
}
given! {
    Air { density, pressure, temperature, speed_of_sound, viscosity }
    Wall { radius, thickness }
    Heights { burnout_speed, burnout_height, coasted, coast }
    drag::Drag { total, body, fins, edges, base, interference, buttons, rise }
    drag::Factors { body_friction, body_form, fin_friction, fin_form }
    fall::Fall { time, drift }
    Lag { pressure, height }
    BayLag { greatest, greatest_at, last }
    Stripping { plate, screw }
    SideView { area, centroid }
    OpeningForce { force, bound, fill_time, ballistic, reduction }
    Planform { root_chord, tip_chord, span, sweep }
    Reduced { planform, elsewhere }
    Ellipse { middle, long, short, side }
    Contribution { slope, centre }
    Linear { slope, b, area, centroid, behind, behind_centroid, edge, centre }
}
