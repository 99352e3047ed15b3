//! Quantities whose dimension is known to the compiler: the coin of the engineering room.

use std::ops::{Add, Div, Mul, Neg, Sub};

use super::{ArithmeticError, Dimension, Quantity, Style, System};

/// A quantity whose dimension is known to the compiler; a plain number is one, too.
pub trait Dimensional: Copy + Into<Quantity> {
    /// Its dimension.
    const DIMENSION: Dimension;

    /// From a value in SI base units.
    fn from_si(value: f64) -> Self;

    /// The value in SI base units.
    fn si(self) -> f64;
}

impl Dimensional for f64 {
    const DIMENSION: Dimension = Dimension::NUMBER;

    fn from_si(value: f64) -> Self {
        value
    }

    fn si(self) -> f64 {
        self
    }
}

impl From<f64> for Quantity {
    fn from(value: f64) -> Self {
        Self::number(value)
    }
}

/// A quantity of a dimension that is known to the compiler, with the author's way of writing it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Styled<T> {
    value: T,
    style: Style,
}

impl<T: Dimensional> Styled<T> {
    /// The value, in no unit of its own.
    #[must_use]
    pub fn value(self) -> T {
        self.value
    }

    /// The same as a quantity.
    #[must_use]
    pub fn quantity(self) -> Quantity {
        Quantity { style: self.style, ..self.value.into() }
    }

    /// The quantity, where it is of this dimension.
    #[must_use]
    pub fn of(quantity: Quantity) -> Option<Self> {
        let value = (quantity.dimension == T::DIMENSION).then(|| T::from_si(quantity.si))?;
        Some(Self { value, style: quantity.style })
    }

    /// A value that is printed in a system of units.
    #[must_use]
    pub fn in_system(value: T, system: System) -> Self {
        Self { value, style: Style { system, ..Style::default() } }
    }
}

impl<T: Dimensional> From<T> for Styled<T> {
    fn from(value: T) -> Self {
        Self { value, style: Style::default() }
    }
}

impl<T: Dimensional> From<Styled<T>> for Quantity {
    fn from(styled: Styled<T>) -> Self {
        styled.quantity()
    }
}

macro_rules! typed {
    ($( $(#[doc = $doc:literal])+ $name:ident = $dimension:expr; )*) => { $(
        $(#[doc = $doc])+
        #[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
        pub struct $name(f64);

        impl $name {
            /// Its dimension.
            pub const DIMENSION: Dimension = $dimension;

            /// From a value in SI base units.
            #[must_use]
            pub const fn from_si(value: f64) -> Self {
                Self(value)
            }

            /// The value in SI base units.
            #[must_use]
            pub const fn si(self) -> f64 {
                self.0
            }
        }

        impl Dimensional for $name {
            const DIMENSION: Dimension = $dimension;

            fn from_si(value: f64) -> Self {
                Self(value)
            }

            fn si(self) -> f64 {
                self.0
            }
        }

        impl From<$name> for Quantity {
            fn from(value: $name) -> Self {
                Self::new(value.0, $dimension)
            }
        }

        impl TryFrom<Quantity> for $name {
            type Error = ArithmeticError;

            fn try_from(value: Quantity) -> Result<Self, ArithmeticError> {
                if value.dimension == $dimension {
                    return Ok(Self(value.si));
                }
                Err(ArithmeticError::Dimensions {
                    doing: "use as one",
                    left: value.dimension.in_words(),
                    right: $dimension.in_words(),
                })
            }
        }

        impl Mul<f64> for $name {
            type Output = Self;
            fn mul(self, by: f64) -> Self {
                Self(self.0 * by)
            }
        }

        impl Div<f64> for $name {
            type Output = Self;
            fn div(self, by: f64) -> Self {
                Self(self.0 / by)
            }
        }

        impl Div for $name {
            type Output = f64;
            fn div(self, by: Self) -> f64 {
                self.0 / by.0
            }
        }
    )* };
}

macro_rules! additive {
    ($($name:ident)*) => { $(
        impl Add for $name {
            type Output = Self;
            fn add(self, other: Self) -> Self {
                Self(self.0 + other.0)
            }
        }

        impl Sub for $name {
            type Output = Self;
            fn sub(self, other: Self) -> Self {
                Self(self.0 - other.0)
            }
        }

        impl Neg for $name {
            type Output = Self;
            fn neg(self) -> Self {
                Self(-self.0)
            }
        }
    )* };
}

macro_rules! products {
    ($($left:ident * $right:ident = $product:ident;)*) => { $(
        impl Mul<$right> for $left {
            type Output = $product;
            fn mul(self, other: $right) -> $product {
                $product(self.0 * other.0)
            }
        }
    )* };
}

typed! {
    /// A length, in m.
    Length = Dimension::LENGTH;
    /// An area, in m².
    Area = Dimension::AREA;
    /// A volume, in m³.
    Volume = Dimension::VOLUME;
    /// A mass, in kg.
    Mass = Dimension::MASS;
    /// A time, in s.
    Time = Dimension::TIME;
    /// A speed, in m/s.
    Speed = Dimension::SPEED;
    /// An acceleration, in m/s².
    Acceleration = Dimension::ACCELERATION;
    /// A force, in N.
    Force = Dimension::FORCE;
    /// A pressure or stress, in Pa.
    Pressure = Dimension::PRESSURE;
    /// An energy, in J.
    Energy = Dimension::ENERGY;
    /// An impulse, in N·s.
    Impulse = Dimension::IMPULSE;
    /// A density, in kg/m³.
    Density = Dimension::DENSITY;
    /// An angle, in rad.
    Angle = Dimension::ANGLE;
    /// A point on the temperature scale, in K.
    Temperature = Dimension::TEMPERATURE;
    /// A difference of temperatures, in K.
    TemperatureDifference = Dimension::TEMPERATURE_DIFFERENCE;
    /// An electric current, in A.
    Current = Dimension::CURRENT;
    /// A voltage, in V.
    Voltage = Dimension::VOLTAGE;
    /// An electric charge, in A·s: the capacity of a battery.
    ElectricCharge = Dimension::CHARGE;
    /// A resistance, in Ω.
    Resistance = Dimension::RESISTANCE;
    /// A power, in W.
    Power = Dimension::POWER;
    /// A frequency, in Hz.
    Frequency = Dimension::FREQUENCY;
}

additive! { Length Area Volume Mass Time Speed Acceleration Force Pressure Energy Impulse Density Angle
TemperatureDifference Current Voltage Resistance }

products! {
    Length * Length = Area;
    Area * Length = Volume;
    Pressure * Area = Force;
    Mass * Acceleration = Force;
    Density * Volume = Mass;
    Speed * Time = Length;
    Current * Resistance = Voltage;
}
