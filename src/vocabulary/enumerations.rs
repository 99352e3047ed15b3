//! Enumerations whose members are words: one declaration each, from which names, reading, help and schemas come.

use clap::builder::PossibleValue;

/// An enumeration made by [`words!`](crate::words).
pub trait Words: Copy + PartialEq + 'static {
    /// Each member, in the order of the declaration.
    const ALL: &'static [Self];
    /// The words, in the same order.
    const WORDS: &'static [&'static str];

    /// The member's word in files, in reports and on the command line.
    fn word(self) -> &'static str;

    /// What the member means, in a line.
    fn meaning(self) -> &'static str;
}

/// A word as the command line takes and explains it.
#[must_use]
pub fn possible_value(word: impl Words) -> PossibleValue {
    PossibleValue::new(word.word()).help(word.meaning().trim().trim_end_matches('.'))
}

/// Declares an enumeration of words: `Flight = "flight",` with a doc for each.
///
/// What it gives: `ALL`, `WORDS`, `name`, `of`, `Display`, [`Words`], the [`Decode`](super::Decode) of a field of the shape
/// `OneOf`, the `ValueEnum` of the command line, and the word in JSON with its schema.
#[macro_export]
macro_rules! words {
    ($(
        $(#[doc = $doc:literal])+
        $(#[derive($($derived:ident),+)])?
        $visible:vis enum $name:ident {
            $( $(#[doc = $meaning:literal])+ $(#[$default:ident])? $member:ident = $word:literal, )+
        }
    )+) => { $(
        $(#[doc = $doc])+
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
        $(#[derive($($derived),+)])?
        $visible enum $name {
            $( $(#[doc = $meaning])+ $(#[$default])? $member, )+
        }

        #[allow(dead_code, reason = "what an enumeration gives is the same for all")]
        impl $name {
            /// All of them, in order.
            $visible const ALL: [Self; Self::WORDS.len()] = [$(Self::$member),+];
            /// Their words, in the same order.
            $visible const WORDS: &'static [&'static str] = &[$($word),+];

            /// Its word in files and reports.
            #[must_use]
            $visible const fn name(self) -> &'static str {
                match self {
                    $( Self::$member => $word, )+
                }
            }

            /// The one that a word stands for.
            #[must_use]
            $visible fn of(word: &str) -> Option<Self> {
                Self::ALL.into_iter().find(|one| one.name() == word)
            }
        }

        impl $crate::vocabulary::Words for $name {
            const ALL: &'static [Self] = &Self::ALL;
            const WORDS: &'static [&'static str] = Self::WORDS;

            fn word(self) -> &'static str {
                self.name()
            }

            fn meaning(self) -> &'static str {
                match self {
                    $( Self::$member => concat!($($meaning),+), )+
                }
            }
        }

        impl ::std::fmt::Display for $name {
            fn fmt(&self, f: &mut ::std::fmt::Formatter<'_>) -> ::std::fmt::Result {
                f.pad(self.name())
            }
        }

        impl ::serde::Serialize for $name {
            fn serialize<S: ::serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
                serializer.serialize_str(self.name())
            }
        }

        impl ::schemars::JsonSchema for $name {
            fn inline_schema() -> bool {
                true
            }

            fn schema_name() -> ::std::borrow::Cow<'static, str> {
                stringify!($name).into()
            }

            fn json_schema(_: &mut ::schemars::SchemaGenerator) -> ::schemars::Schema {
                ::schemars::json_schema!({ "enum": Self::WORDS })
            }
        }

        impl $crate::vocabulary::Decode for $name {
            fn decode(value: &$crate::vocabulary::Value) -> Option<Self> {
                match value {
                    $crate::vocabulary::Value::Word(word) => Self::of(word),
                    _ => None,
                }
            }
        }

        impl ::clap::ValueEnum for $name {
            fn value_variants<'a>() -> &'a [Self] {
                &Self::ALL
            }

            fn to_possible_value(&self) -> Option<::clap::builder::PossibleValue> {
                Some($crate::vocabulary::possible_value(*self))
            }
        }
    )+ };
}
