//! The program: parses the command line, dispatches, writes out.

use std::io::{IsTerminal, Write};
use std::process::ExitCode;

use clap::{CommandFactory as _, Parser};
use holdpoint::commands::{Arguments, Colour, Invocation, Output};
use holdpoint::report::Style;
use holdpoint::vocabulary::Date;

/// A review makes and drops some ten thousand small values, which this allocator does in less time than the system's.
#[global_allocator]
static ALLOCATOR: mimalloc::MiMalloc = mimalloc::MiMalloc;

fn main() -> ExitCode {
    let arguments = match Arguments::try_parse() {
        Ok(arguments) => arguments,
        Err(error) => return exit_of_parser(&error),
    };
    let style = Style { colour: colour(arguments.color), ..Style::default() };
    let mut out = std::io::stdout();
    let mut invocation =
        Invocation { style, today: this_day(), ask: answer, out: &mut out, command_line: Arguments::command };
    write_out(arguments.command.run(&mut invocation))
}

/// What a person at a terminal answers; `None` for nothing, and where no person is.
fn answer(question: &str) -> Option<String> {
    if !(std::io::stdin().is_terminal() && std::io::stderr().is_terminal()) {
        return None;
    }
    let _ = write!(std::io::stderr(), "{question} (enter: leave it open)\n> ");
    let mut line = String::new();
    std::io::stdin().read_line(&mut line).ok()?;
    let line = line.trim();
    (!line.is_empty()).then(|| line.to_owned())
}

/// The flag decides, then the user's wish for none, then whether a person is looking.
fn colour(wanted: Colour) -> bool {
    match wanted {
        Colour::Always => true,
        Colour::Never => false,
        Colour::Auto => {
            let none = std::env::var_os("NO_COLOR").is_some_and(|v| !v.is_empty());
            let dumb = std::env::var_os("TERM").is_some_and(|t| t == "dumb");
            !none && !dumb && std::io::stdout().is_terminal()
        }
    }
}

/// The day in universal time: a waiver runs out on the same day everywhere.
fn this_day() -> Date {
    jiff::tz::TimeZone::UTC.to_datetime(jiff::Timestamp::now()).date()
}

/// Help and the version, or what is wrong with the command line.
fn exit_of_parser(error: &clap::Error) -> ExitCode {
    let code = u8::try_from(error.exit_code()).unwrap_or(2);
    let mut output = Output { code, ..Output::default() };
    let printed = error.print().and_then(|()| std::io::stdout().flush());
    if let Err(failure) = printed.as_ref()
        && !error.use_stderr()
    {
        output.not_printed(failure);
    }
    write_out(output)
}

/// Writes what a command gave back; what could not be written is said on standard error.
fn write_out(mut output: Output) -> ExitCode {
    let mut out = std::io::stdout().lock();
    if let Err(error) = out.write_all(output.report.as_bytes()).and_then(|()| out.flush()) {
        output.not_printed(&error);
    }
    let _ = std::io::stderr().lock().write_all(output.complaints.as_bytes());
    ExitCode::from(output.code)
}
