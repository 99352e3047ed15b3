//! `holdpoint pass`: a hold point passed, and the record of it beside the design.

use std::fmt::Write as _;
use std::path::PathBuf;

use clap::Args;

use super::invocation::{Invocation, Output};
use super::records::{read_record, record_of, reviewed};
use super::settings::RuleSources;
use super::spread_option::SpreadOption;
use super::writing;
use crate::model::Model;
use crate::report::holds_text;
use crate::review::{Pass, Passes, values_of};
use crate::rules::{HoldPoint, OwnRule};
use crate::vocabulary::Date;
use crate::yaml::clean_line;

/// A name longer than this is none.
const LONGEST_NAME: usize = 120;

/// Pass a hold point: keep who, when and every value that its rules read, beside the design
///
/// Refused while the hold point or one before it holds. A value that changes later is a finding that names the old one and
/// the new one.
///
/// Exit: 0 passed, 1 something holds, 2 something could not be read or written.
#[derive(Args, Clone, Debug)]
pub struct PassOptions {
    /// The hold point
    #[arg(value_enum, value_name = "HOLD_POINT")]
    pub point: HoldPoint,
    /// The design file
    pub design: PathBuf,
    /// Who passes it
    #[arg(long, value_name = "NAME")]
    pub by: String,
    #[allow(missing_docs, reason = "the flags say what each is for")]
    #[command(flatten)]
    pub sources: RuleSources,
    /// The day it is (year-month-day); today where not said
    #[arg(long, value_name = "DATE")]
    pub today: Option<Date>,
}

/// Passes a hold point: writes who, when and every value that its rules read beside the design. Refused while it holds, or
/// one before it does.
pub(super) fn pass(options: &PassOptions, invocation: &Invocation<'_>) -> Output {
    let (style, today) = (invocation.style, invocation.day(options.today));
    let by = clean_line(options.by.trim()).into_owned();
    if by.is_empty() || by.chars().count() > LONGEST_NAME {
        return Output::failed(format!(
            "`--by` takes the name of who passes the hold point, of 1 to {LONGEST_NAME} letters\n"
        ));
    }
    let mut output = Output::default();
    let Some((library, reviewed)) =
        reviewed(&options.design, &options.sources, (today, SpreadOption::default()), style, &mut output)
    else {
        return output;
    };
    let point = options.point;
    let name = clean_line(reviewed.design.source.name()).into_owned();
    // What changed since this hold point was passed is what passing it again is for.
    let settled =
        |f: &crate::review::Finding| f.own == Some(OwnRule::PassedValueChanged) && f.before == point;
    let mut left = reviewed.clone();
    left.findings.retain(|f| f.before <= point && !settled(f));
    left.settle();
    left.hold_points.retain(|h| h.point <= point);
    if !left.is_clear() {
        let _ = writeln!(output.complaints, "{point} of {name} is not passed: something holds");
        output.complaints.push_str(&holds_text(&left));
        output.code = 1;
        return output;
    }
    let (mut passes, before) = match read_record(&options.design) {
        Ok(Some((passes, text))) => (passes, Some(text)),
        Ok(None) => (Passes::default(), None),
        Err(problems) => {
            output.complain(&problems, style);
            return output;
        }
    };
    let values = {
        let model = Model::new(&reviewed.design, library.environment(today));
        values_of(&model, &library, &reviewed.packs, point)
    };
    let count = values.len();
    passes.put(Pass::new(point, today, &by, &reviewed.digest, values));
    let path = record_of(&options.design);
    let text = passes.written();
    let written = match before {
        Some(before) => writing::replace(&path, &before, &text),
        None => writing::create(&path, &text),
    };
    let record = clean_line(&path.to_string_lossy()).into_owned();
    match written {
        Ok(()) => {
            let _ = writeln!(
                output.report,
                "{point} of {name} passed on {} by {by}; {count} values are kept in {record}",
                today
            );
        }
        Err(why) => {
            let _ = writeln!(output.complaints, "{record} is not written: {why}");
            output.code = 2;
        }
    }
    output
}
