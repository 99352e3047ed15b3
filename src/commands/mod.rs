//! The commands: one file each. They gather input, call the library, and give back text and an exit code.

mod baseline;
mod checklist;
mod compare;
mod completions;
mod deployment;
mod editor_files;
mod explain;
mod failures;
mod files;
mod git;
mod inputs;
mod invocation;
mod language_server;
mod locks;
mod man;
mod mend;
mod new;
mod new_pack;
mod next;
mod one_design;
mod outputs;
mod packet;
mod page_server;
mod pass;
mod progress;
mod records;
mod report_writer;
mod review;
mod rules;
mod schema;
mod settings;
mod spread_option;
mod templates;
mod trial;
mod watch;
mod writing;

pub use invocation::{Invocation, Output};
pub use report_writer::Printed;
pub use schema::SchemaOf;
pub use settings::RuleSources;

use clap::{Parser, Subcommand};

/// A second pair of eyes on the design of a high-power rocket.
#[derive(Parser, Debug)]
#[command(name = "holdpoint", version, about, disable_help_subcommand = true)]
pub struct Arguments {
    /// When to use colours
    #[arg(long, global = true, value_enum, default_value_t)]
    pub color: Colour,
    /// The command, with its options.
    #[command(subcommand)]
    pub command: Command,
}

crate::words! {
    /// When to use colours.
    #[derive(Default)]
    pub enum Colour {
        /// On a terminal that can show them.
        #[default]
        Auto = "auto",
        /// In any case.
        Always = "always",
        /// Not at all.
        Never = "never",
    }
}

/// Declares the commands: the file and its function, and its options, whose docs are its help.
macro_rules! commands {
    ($($command:ident: $name:ident($options:ident),)+) => {
        /// A command with its options.
        #[derive(Subcommand, Debug)]
        #[allow(missing_docs, reason = "the options say what each is for")]
        pub enum Command {
            $( $name($command::$options), )+
        }

        impl Command {
            /// Runs it.
            #[must_use]
            pub fn run(&self, invocation: &mut Invocation<'_>) -> Output {
                match self {
                    $( Self::$name(options) => $command::$command(options, invocation), )+
                }
            }
        }
    };
}

commands! {
    review: Review(ReviewOptions),
    mend: Mend(MendOptions),
    checklist: Checklist(ChecklistOptions),
    watch: Watch(WatchOptions),
    failures: Failures(FailuresOptions),
    packet: Packet(PacketOptions),
    templates: Templates(TemplatesOptions),
    compare: Compare(CompareOptions),
    pass: Pass(PassOptions),
    explain: Explain(ExplainOptions),
    trial: Trial(TrialOptions),
    rules: Rules(RulesOptions),
    new: New(NewOptions),
    next: Next(NextOptions),
    completions: Completions(CompletionsOptions),
    man: Man(ManOptions),
    schema: Schema(SchemaOptions),
    language_server: LanguageServer(LanguageServerOptions),
}
