//! `holdpoint completions`: what a shell needs to complete this program's arguments.

use clap::Args;

use super::invocation::{Invocation, Output};

/// Print what a shell needs to complete this program's arguments
#[derive(Args, Clone, Debug)]
pub struct CompletionsOptions {
    /// The shell
    #[arg(value_enum)]
    pub shell: clap_complete::Shell,
}

/// The completions of a shell.
pub(super) fn completions(options: &CompletionsOptions, invocation: &Invocation<'_>) -> Output {
    let mut script = Vec::new();
    clap_complete::generate(options.shell, &mut (invocation.command_line)(), "holdpoint", &mut script);
    Output { report: String::from_utf8_lossy(&script).into_owned(), ..Output::default() }
}
