//! The types of Rust that a computed quantity may be, and what each is to a rule.

use std::sync::Arc;

use super::Type;
use crate::quantity::{
    Acceleration, Angle, Area, Current, Density, Dimension, Dimensional, ElectricCharge, Energy, Force,
    Impulse, Length, Mass, Pressure, Quantity, Resistance, Speed, Styled, Temperature, TemperatureDifference,
    Time, Voltage, Volume,
};
use crate::vocabulary::{Decode, Id, Typed, Value};

/// What a computed quantity may be in Rust.
pub trait Computable: Sized + 'static {
    /// What others get who ask for it.
    type Plain: Decode;

    /// What it is to a rule; `words` are those of which a word is one.
    fn gives(words: &'static [&'static str]) -> Type;

    /// It as a value.
    fn into_value(self) -> Value;
}

macro_rules! computable {
    ($( $type:ty, $words:pat => $gives:expr, $value:ident => $into:expr; )*) => { $(
        impl Computable for $type {
            type Plain = Self;

            fn gives($words: &'static [&'static str]) -> Type {
                $gives
            }

            fn into_value(self) -> Value {
                let $value = self;
                $into
            }
        }
    )* };
}

computable! {
    bool, _ => Type::Truth, truth => Value::Truth(truth);
    &'static str, words => Type::Word(words), word => Value::Word(word);
    Arc<str>, _ => Type::Text, text => Value::Text(text);
    u32, _ => Type::Quantity(Dimension::NUMBER), count => Value::Quantity(Quantity::number(f64::from(count)));
}

macro_rules! computable_quantities {
    ($($type:ident)*) => { $(
        impl Computable for $type {
            type Plain = Self;

            fn gives(_: &'static [&'static str]) -> Type {
                Type::Quantity(<Self as Dimensional>::DIMENSION)
            }

            fn into_value(self) -> Value {
                Value::Quantity(self.into())
            }
        }
    )* };
}

computable_quantities! { f64 Length Area Volume Mass Time Speed Acceleration Force Pressure Energy Impulse Density Angle
Temperature TemperatureDifference Current Voltage Resistance ElectricCharge }

impl<T: Dimensional + Decode + 'static> Computable for Styled<T> {
    type Plain = T;

    fn gives(_: &'static [&'static str]) -> Type {
        Type::Quantity(T::DIMENSION)
    }

    fn into_value(self) -> Value {
        Value::Quantity(self.quantity())
    }
}

impl<T: Dimensional + 'static> Computable for Vec<T> {
    type Plain = Self;

    fn gives(_: &'static [&'static str]) -> Type {
        Type::Quantities(T::DIMENSION)
    }

    fn into_value(self) -> Value {
        Value::Quantities(self.into_iter().map(Into::into).collect())
    }
}

impl<K: Typed> Computable for Id<K> {
    type Plain = Self;

    fn gives(_: &'static [&'static str]) -> Type {
        Type::Entity(K::TYPE)
    }

    fn into_value(self) -> Value {
        Value::Entity(self.any())
    }
}
