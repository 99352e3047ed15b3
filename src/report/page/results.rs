//! What the rocket comes to on its page: the flight, where it lands, the tables, the margins.

use maud::{Markup, html};

use super::rows::{legend, margin_rows};
use super::shown::table;
use super::{Sheet, plots};
use crate::report::summary::is_telling;
use crate::report::tables;
use crate::report::{failures, landing_plan, timeline};
use crate::review::{MarginLine, SpreadCourses};

/// So many margins are shown before a reader asks for the others.
const NARROWEST: usize = 10;

impl Sheet<'_> {
    pub(super) fn flight(&self) -> Markup {
        let (plots, lacking) = plots::plots(self.reading, self.library, self.courses());
        html! {
            section class="flight" {
                h2 id={ (self.prefix) "flight" } { "The flight, as computed" }
                div class="plots" {
                    @for plot in &plots {
                        figure { figcaption { (plot.title) @if !plot.unit.is_empty() { ", " (plot.unit) } } (plot.markup()) (legend(plot)) }
                    }
                }
                @for words in lacking { p class="lacking" { (words) } }
                @let failures = failures::table(self.reading);
                @if !failures.rows.is_empty() { (table(&failures, "", &|_| html! {})) }
                @let events = timeline::table(self.reading);
                @if !events.rows.is_empty() { details class="table" { summary { (events.title) } (table(&events, "", &|_| html! {})) } }
            }
            section class="landing" {
                h2 id={ (self.prefix) "landing" } { "Where it lands" }
                @match landing_plan::lacking(self.reading) {
                    Some(why) => p class="lacking" { "Not known: " (why) "." },
                    None => div class="both" {
                        (landing_plan::figure(self.reading, self.courses()))
                        (table(&landing_plan::table(self.reading), "", &|_| html! {}))
                    },
                }
            }
        }
    }

    /// The flights of a spread, where one was asked for.
    fn courses(&self) -> Option<&SpreadCourses> {
        self.review.spread.as_ref().map(|spread| &spread.courses)
    }

    pub(super) fn tables(&self) -> Markup {
        let r = self.reading;
        let all = [
            tables::facts(r, Some(r.root()), "Weight and stability", "", tables::STABILITY),
            tables::facts(r, tables::motor_of(r), "Motor", "", tables::MOTOR_FACTS),
            tables::facts(r, Some(r.root()), "Flight", "", tables::FLIGHT_FACTS),
            tables::SECTIONS.table(r),
            tables::JOINTS.table(r),
            tables::PINS.table(r),
            tables::SCREWS.table(r),
            tables::CHARGES.table(r),
            tables::GROUND_TESTS.table(r),
            tables::VENTS.table(r),
            tables::BAYS.table_of(r, &tables::bays(r)),
            tables::FIN_TABLE.table(r),
            tables::PARACHUTES.table(r),
            tables::HARNESSES.table(r),
            tables::LINKS.table(r),
            tables::ATTACHMENTS.table(r),
            tables::RODS_TABLE.table(r),
            tables::BULKHEADS.table(r),
            tables::CIRCUITS.table(r),
        ];
        html! {
            section class="tables" {
                h2 id={ (self.prefix) "tables" } { "What it comes to" }
                div class="many" {
                    @for one in all.iter().filter(|t| !t.rows.is_empty()) {
                        details class="table" { summary { (one.title) } (table(one, "", &|_| html! {})) }
                    }
                }
            }
        }
    }

    pub(super) fn margins(&self) -> Markup {
        let rows = &self.review.margins;
        html! {
            section {
                h2 id={ (self.prefix) "margins" } { "Margins, the narrowest first" }
                @if rows.is_empty() { p { "No rule that is held has a margin to show." } }
                // What is met exactly, or says how parts fit, tells a reader less than a margin that a change may use up.
                @let (telling, others): (Vec<&MarginLine>, Vec<&MarginLine>) = rows.iter().partition(|line| is_telling(line));
                @let (narrow, wide) = telling.split_at(telling.len().min(NARROWEST));
                @if !narrow.is_empty() { (margin_rows(narrow)) }
                @if !wide.is_empty() {
                    details class="long" { summary { "The other " (wide.len()) } (margin_rows(wide)) }
                }
                @if !others.is_empty() {
                    details class="long" {
                        summary { "How parts fit, and what is met exactly or twice over: " (others.len()) }
                        (margin_rows(&others))
                    }
                }
            }
        }
    }
}
