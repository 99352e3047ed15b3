//! How a quantity that Rust works out is written down: its name, what has it, what it gives, its formula and its source.

macro_rules! computed {
    ($( $(#[doc = $doc:literal])+ $id:ident: $name:literal of $entity:ident gives $gives:ty $(= $words:ident)?, $formula:expr, $source:expr, $compute:expr; )*) => {
        $(
            $(#[doc = $doc])+
            pub(super) static $id: $crate::model::Computed<$entity, $gives> = $crate::model::Computed {
                name: $name,
                doc: concat!($($doc),+),
                formula: $formula,
                source: $source,
                words: computed!(@words $($words)?),
                compute: $compute,
            };
        )*
    };
    (@words) => { &[] };
    (@words $words:ident) => { $words };
}
pub(super) use computed;
