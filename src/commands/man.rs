//! `holdpoint man`: the manual pages.

use clap::Args;

use super::invocation::{Invocation, Output};
use crate::yaml::clean_line;

/// Print the manual page of this program, or of one of its commands
#[derive(Args, Clone, Debug)]
pub struct ManOptions {
    /// The command
    pub command: Option<String>,
}

/// The manual page of the program or of one command, as roff.
pub(super) fn man(options: &ManOptions, invocation: &Invocation<'_>) -> Output {
    let mut program = (invocation.command_line)();
    program.build();
    let page = match &options.command {
        None => program,
        Some(name) => match program.find_subcommand(name) {
            // A page is named by the words that run the command, joined.
            Some(command) => command.clone().display_name(format!("holdpoint-{}", command.get_name())),
            None => {
                let known: Vec<&str> = program.get_subcommands().map(clap::Command::get_name).collect();
                let words =
                    format!("no command is named `{}`; they are {}\n", clean_line(name), known.join(", "));
                return Output::failed(words);
            }
        },
    };
    let mut roff = Vec::new();
    match clap_mangen::Man::new(page).render(&mut roff) {
        Ok(()) => Output { report: String::from_utf8_lossy(&roff).into_owned(), ..Output::default() },
        Err(error) => Output::failed(format!("{error}\n")),
    }
}
