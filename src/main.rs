//! The command line: parses and dispatches.

use std::io::{IsTerminal, Write};
use std::path::PathBuf;
use std::process::ExitCode;

use clap::{Parser, Subcommand};
use holdpoint::commands::{self, Output};
use holdpoint::report::Style;

/// A second pair of eyes on the design of a high-power rocket.
#[derive(Parser)]
#[command(name = "holdpoint", version, about, disable_help_subcommand = true)]
struct Arguments {
    #[command(subcommand)]
    command: Command,
}

#[derive(Subcommand)]
enum Command {
    /// Run the trials of rule files
    Trial {
        /// Rule files or folders; the built-in packs where none is given
        paths: Vec<PathBuf>,
    },
}

fn main() -> ExitCode {
    let arguments = Arguments::parse();
    let style = Style { colour: std::io::stdout().is_terminal(), width: 100 };
    let output = match arguments.command {
        Command::Trial { paths } => commands::trial(&commands::TrialOptions { paths, style }),
    };
    write_out(&output)
}

/// Writes what a command gave back. A reader that went away is no error of ours.
fn write_out(output: &Output) -> ExitCode {
    let _ = std::io::stdout().lock().write_all(output.report.as_bytes());
    let _ = std::io::stderr().lock().write_all(output.complaints.as_bytes());
    ExitCode::from(output.code)
}
