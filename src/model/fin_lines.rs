//! How the side force of a set of fins comes about, line by line, by the regime of its Mach number.

use super::planform::planform_lines;
use super::sections::BODY_DIAMETER;
use super::{EvalContext, Formula};
use crate::design::{Fins, Section, fins};
use crate::engineering::Unworkable;
use crate::engineering::stability::{self, FinSet, HIGHEST_SUBSONIC_MACH};
use crate::engineering::supersonic::{LOWEST_MACH, Linear};
use crate::quantity::{Length, Quantity};
use crate::vocabulary::Id;

/// A set of fins whose side force is written down, with the names under which its lines stand.
pub(super) struct FinLines<'a, 'm> {
    pub(super) ctx: &'a EvalContext<'m>,
    pub(super) set: Id<Fins>,
    /// The section that has the fins.
    pub(super) section: Id<Section>,
    pub(super) found: &'a FinSet,
    pub(super) reference: Length,
    /// What the set is called.
    pub(super) name: &'a str,
    /// The fore end of the set, aft from the nose tip.
    pub(super) begins: Length,
}

fn expression(text: String) -> impl FnOnce() -> Formula {
    move || Formula::Expression(text.into())
}

impl FinLines<'_, '_> {
    /// Slope and place at a Mach number, with the steps before them.
    ///
    /// # Errors
    /// A set or a Mach number that the method does not know.
    pub(super) fn record(&self, mach: f64) -> Result<[Formula; 2], Unworkable> {
        let Self { ctx, set, found, .. } = self;
        let [root, tip, span, sweep] = planform_lines(ctx, *set);
        let body = ctx.line(self.section, BODY_DIAMETER.name);
        let factor = stability::interference(found.count, found.span, found.body_diameter)?;
        let share = if found.count == 6 { "0.5 × " } else { "" };
        let around = format!("1 + {share}{body} / (2 × {span} + {body})");
        self.step("interference", around, Quantity::number(factor));
        let middle = format!("√({span}² + ({sweep} + ({tip} − {root}) / 2)²)");
        self.step("mid-chord line", middle, found.mid_chord());
        let slope = |beta: &str| {
            format!(
                "{} × {} × 4 × ({span} / {{calibre}})² / (1 + √(1 + ({beta}2 × {} / ({root} + {tip}))²))",
                self.own("interference"),
                ctx.field_line(*set, fins::count),
                self.own("mid-chord line")
            )
        };
        let place = format!(
            "{} + {sweep} / 3 × ({root} + 2 × {tip}) / ({root} + {tip}) + ({root} + {tip} − {root} × {tip} / ({root} + {tip})) / 6",
            ctx.line(*set, "fore_station")
        );
        let texts = if mach <= HIGHEST_SUBSONIC_MACH {
            let beta = if mach == 0.0 { "" } else { "√(1 − {Mach number}²) × " };
            [slope(beta), place]
        } else {
            let slow = stability::subsonic_fins(found, self.reference, HIGHEST_SUBSONIC_MACH)?;
            self.step("slope at Mach 0.8", slope("0.6 × "), Quantity::number(slow.slope));
            let [fast_slope, fast_place] = self.linear(mach.max(LOWEST_MACH), factor)?;
            let capped = format!("least of ({}, {fast_slope})", self.own("slope at Mach 0.8"));
            if mach >= LOWEST_MACH {
                [capped, fast_place]
            } else {
                let still = "where it acts at Mach 0.8";
                self.step(still, place, self.begins + slow.centre);
                [(self.own("slope at Mach 0.8"), capped), (self.own(still), fast_place)]
                    .map(|(slow, fast)| format!("{slow} + ({fast} − {slow}) × ({{Mach number}} − 0.8) / 0.4"))
            }
        };
        Ok(texts.map(|text| Formula::Expression(text.into())))
    }

    /// Slope and place by linear theory; gives their lines.
    fn linear(&self, mach: f64, factor: f64) -> Result<[String; 2], Unworkable> {
        let Self { ctx, set, found, .. } = self;
        let [root, tip, span, sweep] = planform_lines(ctx, *set);
        let (fast, linear) = stability::supersonic_fins(found, self.reference, mach)?;
        let Linear { b, area, centroid, behind, behind_centroid, edge, slope, .. } = linear;
        // Between the two regimes it is that of the higher one's lower end.
        let squared = if mach > LOWEST_MACH { "{Mach number}" } else { "1.2" };
        self.step("B", format!("√({squared}² − 1)"), Quantity::number(b));
        self.step("area of one", format!("{span} × ({root} + {tip}) / 2"), area);
        let middle = format!(
            "{sweep} / 3 × ({root} + 2 × {tip}) / ({root} + {tip}) + ({root}² + {root} × {tip} + {tip}²) / (3 × ({root} + {tip}))"
        );
        self.step("centroid of it", middle, centroid);
        let behind_lines = "geometry: what of the area lies behind the Mach lines, 1 outward for B aft, of its tip and of the tip that the body mirrors";
        ctx.step(self.line("behind Mach lines"), || Formula::method(behind_lines), behind);
        let its_centroid = "geometry: aft from the leading corner of the root";
        ctx.step(self.line("centroid of that"), || Formula::method(its_centroid), behind_centroid);
        let mut left = String::new();
        if edge < 1.0 {
            let how = "a leading edge behind its own Mach line: π/2 × m / E(√(1 − m²)), m = B × span / sweep, E the complete elliptic integral of the second kind";
            ctx.step(self.line("left by its edge"), || Formula::method(how), Quantity::number(edge));
            left = format!(" × {}", self.own("left by its edge"));
        }
        let carries = format!("({} − {} / 2)", self.own("area of one"), self.own("behind Mach lines"));
        let across = std::f64::consts::FRAC_PI_4 * self.reference.si() * self.reference.si();
        self.step(
            "slope by linear theory",
            format!(
                "{} × {} / 2 × 4 / {}{left} × {carries} / (π / 4 × {{calibre}}²)",
                self.own("interference"),
                ctx.field_line(*set, fins::count),
                self.own("B")
            ),
            Quantity::number(factor * f64::from(found.count) / 2.0 * slope * area.si() / across),
        );
        self.step(
            "where it acts by linear theory",
            format!(
                "{} + ({} × {} − {} / 2 × {}) / {carries}",
                ctx.line(*set, "fore_station"),
                self.own("area of one"),
                self.own("centroid of it"),
                self.own("behind Mach lines"),
                self.own("centroid of that")
            ),
            self.begins + fast.centre,
        );
        Ok(["slope by linear theory", "where it acts by linear theory"].map(|what| self.own(what)))
    }

    fn line(&self, what: &str) -> String {
        format!("{}: {what}", self.name)
    }

    /// A line of this set, as a formula names it.
    fn own(&self, what: &str) -> String {
        format!("{{{}}}", self.line(what))
    }

    fn step(&self, what: &str, text: String, value: impl Into<Quantity>) {
        self.ctx.step(self.line(what), expression(text), value);
    }
}
