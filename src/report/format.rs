//! The forms of a review's report: one line each, from which names, help and the report itself come.

use std::path::Path;

use clap::ValueEnum;
use clap::builder::PossibleValue;

use super::{Concise, Json, Junit, Page, ReportForm, Sarif, Style, Text, Workflow};
use crate::review::FailOn;
use crate::vocabulary::possible_value;

/// What a report hangs on besides what it reports.
#[derive(Clone, Copy, Debug)]
pub struct ReportOptions<'o> {
    /// How text is drawn.
    pub style: Style,
    /// The folder of the run.
    pub base: &'o Path,
    /// Findings that are waived or in the baseline too, in a form that otherwise leaves them out.
    pub show_waived: bool,
    /// What makes a review fail.
    pub fail_on: FailOn,
}

/// Declares the forms: the word, and what makes a report in that form.
macro_rules! formats {
    ($( $(#[doc = $doc:literal])+ $(#[$default:ident])? $format:ident = $word:literal, |$options:ident| $report:expr; )+) => {
        $crate::words! {
            /// The form of a report.
            #[derive(Default)]
            pub enum Format {
                $( $(#[doc = $doc])+ $(#[$default])? $format = $word, )+
            }
        }

        impl Format {
            /// A report in this form, of which nothing is written yet.
            #[must_use]
            pub fn report(self, options: ReportOptions<'_>) -> Box<dyn ReportForm> {
                match self {
                    $( Self::$format => { let $options = options; Box::new($report) } )+
                }
            }
        }
    };
}

formats! {
    /// As a mentor would write it.
    #[default]
    Text = "text", |o| Text::new(o.style);
    /// One line a finding.
    Concise = "concise", |_o| Concise::default();
    /// The contract for programs.
    Json = "json", |_o| Json;
    /// SARIF 2.1.0.
    Sarif = "sarif", |o| Sarif::new(o.base, o.show_waived);
    /// JUnit XML.
    Junit = "junit", |o| Junit::new(o.base, o.fail_on);
    /// GitHub's workflow commands.
    Github = "github", |o| Workflow::new(o.base);
    /// One page for a browser or a printer.
    Html = "html", |_o| Page::default();
}

impl Format {
    /// Whether it prints how numbers came about and the margins of what is held; a review that nobody prints these of need
    /// not find them.
    #[must_use]
    pub const fn shows_working(self) -> bool {
        matches!(self, Self::Text | Self::Html)
    }

    /// Whether it says what no rule spoke about.
    #[must_use]
    pub const fn shows_not_judged(self) -> bool {
        matches!(self, Self::Text | Self::Json | Self::Html)
    }
}

/// The form of an answer that is no report of a review.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct AnswerFormat(Format);

impl AnswerFormat {
    const ALL: [Self; 3] = [Self(Format::Text), Self(Format::Concise), Self(Format::Json)];

    /// True for the contract for programs; false for text.
    #[must_use]
    pub fn is_json(self) -> bool {
        self.0 == Format::Json
    }

    /// True for one line each.
    #[must_use]
    pub fn is_concise(self) -> bool {
        self.0 == Format::Concise
    }
}

impl ValueEnum for AnswerFormat {
    fn value_variants<'a>() -> &'a [Self] {
        &Self::ALL
    }

    fn to_possible_value(&self) -> Option<PossibleValue> {
        Some(possible_value(self.0))
    }
}
