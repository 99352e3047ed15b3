//! Rows of margins, and what the lines of a plot are.

use maud::{Markup, html};

use crate::report::margin::margin_text;
use crate::review::MarginLine;
use crate::yaml::clean_line;

pub(super) fn margin_rows(rows: &[&MarginLine]) -> Markup {
    html! {
        div class="scroll" { table class="margins" {
            thead { tr { th { "rule" } th { "on" } th { "to spare" } } }
            tbody { @for one in rows {
                tr { td { (clean_line(&one.rule)) } td { (clean_line(&one.subject)) } td { (margin_text(one.margin)) } }
            } }
        } }
    }
}

pub(super) fn legend(plot: &crate::report::plot::Plot) -> Markup {
    html! {
        @if plot.lines.len() > 1 {
            p class="legend" { @for (place, (name, _)) in plot.lines.iter().enumerate() {
                span class={ "curve-" (place % 4) } { "— " (name) } " "
            } }
        }
    }
}
