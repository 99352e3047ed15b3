//! The macro that declares entity types.

/// The key of a field as it is spelled in files: Rust's own words are declared raw (`r#for`).
#[must_use]
pub const fn spelled(name: &'static str) -> &'static str {
    match name.as_bytes() {
        [b'r', b'#', ..] => name.split_at(2).1,
        _ => name,
    }
}

/// Declares entity types: one line a field. `expected`, `optional` and `required` say what absence means; `implied` is a part
/// that is never written and always there. After the shape, `formerly "on"` names the key that the field had before. A
/// reference is also read the other way round, under the plural of the type that has it: `inverse "parts"` gives another name.
/// The shape of a field says what Rust makes of it: `Measure(Length, Positive)` is a length, `One(Tube)` the identity of a tube,
/// `OneOf(Level)` a member of an enumeration that [`words!`](crate::words) declares.
#[macro_export]
macro_rules! entity_types {
    ($(
        $(#[doc = $doc:literal])+
        $entity_type:ident : $entity:ident as $module:ident = $name:literal {
            $( $(#[doc = $field_doc:literal])+ $need:ident $field:ident : $shape:ident $( ( $($argument:tt)* ) )?
                $( formerly $formerly:literal )? $( inverse $inverse:literal )?; )*
            $( refused $refused:literal : $why:literal; )*
        }
    )*) => { $(
        $(#[doc = $doc])+
        pub static $entity_type: $crate::vocabulary::EntityType = $crate::vocabulary::EntityType {
            name: $name,
            doc: concat!($($doc),+),
            fields: &[ $( $crate::vocabulary::Field {
                name: $crate::vocabulary::spelled(stringify!($field)),
                doc: concat!($($field_doc),+),
                need: $crate::entity_types!(@need $need),
                shape: $crate::entity_types!(@shape $shape $( $($argument)* )?),
                formerly: $crate::entity_types!(@name $( $formerly )?),
                inverse: $crate::entity_types!(@name $( $inverse )?),
            } ),* ],
            refused: &[ $( $crate::vocabulary::Refused { name: $refused, why: $why } ),* ],
        };

        $(#[doc = $doc])+
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
        #[allow(unreachable_pub, reason = "some types are used in one place only")]
        pub enum $entity {}

        // Under the type's own name, so that the shapes of other fields name both by one word.
        #[doc(hidden)]
        #[allow(unused_imports, unreachable_pub, reason = "some types are no part of another")]
        pub use self::$entity_type as $entity;

        impl $crate::vocabulary::Typed for $entity {
            const TYPE: &'static $crate::vocabulary::EntityType = &$entity_type;
        }

        #[doc = concat!("The fields of `", $name, "`, by slot.")]
        #[allow(non_upper_case_globals, dead_code, unreachable_pub, reason = "a field is spelled in Rust as it is in the file")]
        pub mod $module {
            #[allow(unused_imports, reason = "the types of its fields, where it has any")]
            use super::*;

            #[allow(non_camel_case_types, clippy::upper_case_acronyms, reason = "a field is spelled in Rust as it is in the file")]
            enum Slot { $( $field ),* }
            $(
                $(#[doc = $field_doc])+
                pub const $field: $crate::vocabulary::Key<
                    super::$entity,
                    $crate::entity_types!(@value $shape $( $($argument)* )?),
                > = $crate::vocabulary::Key::in_slot(Slot::$field as u16);
            )*
        }
    )* };
    (@name) => { None };
    (@name $name:literal) => { Some($name) };

    (@need expected) => { $crate::vocabulary::Need::Expected };
    (@need optional) => { $crate::vocabulary::Need::Optional };
    (@need required) => { $crate::vocabulary::Need::Required };
    (@need implied) => { $crate::vocabulary::Need::Implied };

    (@shape Measure $quantity:ty, $sign:ident) => {
        $crate::vocabulary::Shape::Measure(
            <$quantity as $crate::quantity::Dimensional>::DIMENSION, $crate::vocabulary::Sign::$sign)
    };
    (@shape Measures $quantity:ty, $sign:ident) => {
        $crate::vocabulary::Shape::Measures(
            <$quantity as $crate::quantity::Dimensional>::DIMENSION, $crate::vocabulary::Sign::$sign)
    };
    (@shape Curve $x:ty, $y:ty) => {
        $crate::vocabulary::Shape::Curve(
            <$x as $crate::quantity::Dimensional>::DIMENSION, <$y as $crate::quantity::Dimensional>::DIMENSION)
    };
    (@shape Number $sign:ident) => { $crate::vocabulary::Shape::Number($crate::vocabulary::Sign::$sign) };
    (@shape Count $least:literal) => { $crate::vocabulary::Shape::Count($least) };
    (@shape OneOf $words:ty) => { $crate::vocabulary::Shape::Word(<$words>::WORDS) };
    (@shape Word $words:expr) => { $crate::vocabulary::Shape::Word($words) };
    (@shape $plain:ident) => { $crate::vocabulary::Shape::$plain };
    (@shape $reference:ident $($entity:tt)+) => { $crate::vocabulary::Shape::$reference(&$($entity)+) };

    (@value Measure $quantity:ty, $sign:ident) => { $quantity };
    (@value Measures $quantity:ty, $sign:ident) => { Vec<$quantity> };
    (@value Curve $x:ty, $y:ty) => { Vec<($x, $y)> };
    (@value Number $sign:ident) => { f64 };
    (@value Count $least:literal) => { u32 };
    (@value OneOf $words:ty) => { $words };
    (@value Word $words:expr) => { &'static str };
    (@value Truth) => { bool };
    (@value Text) => { std::sync::Arc<str> };
    (@value Texts) => { std::sync::Arc<[std::sync::Arc<str>]> };
    (@value Date) => { $crate::vocabulary::Date };
    (@value Position) => { $crate::vocabulary::Position };
    (@value Raw) => { $crate::yaml::NodeId };
    (@value Many $entity:ty) => { $crate::vocabulary::Ids<$entity> };
    (@value List $entity:ty) => { $crate::vocabulary::Ids<$entity> };
    (@value Listed $entity:ty) => { $crate::vocabulary::Ids<$entity> };
    (@value RefersAll $entity:ty) => { $crate::vocabulary::Ids<$entity> };
    (@value $one:ident $entity:ty) => { $crate::vocabulary::Id<$entity> };
}
