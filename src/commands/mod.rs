//! The commands: one file each. They gather input, call the library, and give back text and an exit code.

mod baseline;
mod checklist;
mod compare;
mod completions;
mod deployment;
mod editor_files;
mod explain;
mod failures;
mod gathering;
mod git;
mod inputs;
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
mod pass;
mod progress;
mod records;
mod review;
mod rules;
mod schema;
mod settings;
mod templates;
mod trial;
mod watch;
mod writing;

pub use gathering::Printed;
pub use schema::SchemaOf;
pub use settings::RuleSources;

use std::io::Read;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use clap::{Parser, Subcommand};

use crate::design::Design;
use crate::report::{Style, problem_text};
use crate::text::{LARGEST_FILE, Problem, Source, Span, too_large};
use crate::vocabulary::Date;

/// What a run of a command is given besides its options.
pub struct Invocation<'r> {
    /// How text is drawn.
    pub style: Style,
    /// The day it is, where an option does not say.
    pub today: Date,
    /// Asks a person at the terminal; `None` for no answer, and where no person is.
    pub ask: fn(&str) -> Option<String>,
    /// What a report that comes piece by piece is printed to.
    pub out: &'r mut Printed,
}

impl Invocation<'_> {
    /// The day that an option names, or the day it is.
    fn day(&self, said: Option<Date>) -> Date {
        said.unwrap_or(self.today)
    }
}

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

/// What a command gives back: what to write, and how it ended.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Output {
    /// The report, for standard output; what `review` has printed already is no part of it.
    pub report: String,
    /// What went wrong with the tool itself, for standard error.
    pub complaints: String,
    /// 0 nothing holds, 1 something holds, 2 could not review.
    pub code: u8,
}

impl Output {
    /// A command that could not do its work.
    #[must_use]
    pub fn failed(complaint: impl Into<String>) -> Self {
        Self { report: String::new(), complaints: complaint.into(), code: 2 }
    }

    /// Takes in what is wrong with files: the exit code is 2.
    fn complain(&mut self, problems: &[Placed], style: Style) {
        for (source, problem) in problems {
            self.complaints.push_str(&problem_text(source, problem, style));
            self.code = 2;
        }
    }

    /// Takes in what is wrong with a design as it is written.
    fn complain_of(&mut self, design: &Design, style: Style) {
        for problem in &design.problems {
            self.complaints.push_str(&problem_text(&design.source, problem, style));
            self.code = 2;
        }
    }

    /// Takes in that the report could not be printed, so that a half one does not pass for a whole. A reader that went
    /// away has what it wanted, and is no error of ours.
    pub fn not_printed(&mut self, error: &std::io::Error) {
        if error.kind() != std::io::ErrorKind::BrokenPipe {
            self.complaints.push_str(&format!("standard output: not written: {error}\n"));
            self.code = 2;
        }
    }
}

/// The folder whose files are tables.
const TABLES: &str = "tables";

/// The files of a path that bring rules and rows.
#[derive(Default)]
struct RuleFiles {
    packs: Vec<PathBuf>,
    tables: Vec<PathBuf>,
}

impl RuleFiles {
    fn is_empty(&self) -> bool {
        self.packs.is_empty() && self.tables.is_empty()
    }
}

/// What lies in a folder and below, without what a `.gitignore` names. What the person who runs it has set for all of their
/// repositories has no say: a folder holds the same designs for everyone.
fn walk(folder: &Path) -> ignore::Walk {
    ignore::WalkBuilder::new(folder).git_global(false).git_exclude(false).build()
}

/// The rule files of a path: the file itself, or every `*.yaml` of a folder and those below; designs, records and settings are
/// left out. A file in a folder named `tables` is a table, another one a pack.
fn rule_files(path: &Path) -> RuleFiles {
    let in_tables = |folder: &Path| folder.file_name().is_some_and(|name| name == TABLES);
    if !path.is_dir() {
        let file = vec![path.to_path_buf()];
        return if path.parent().is_some_and(in_tables) {
            RuleFiles { tables: file, ..RuleFiles::default() }
        } else {
            RuleFiles { packs: file, ..RuleFiles::default() }
        };
    }
    let mut found: Vec<PathBuf> = walk(path)
        .filter_map(Result::ok)
        .map(ignore::DirEntry::into_path)
        .filter(|p| p.extension().is_some_and(|e| e == "yaml" || e == "yml"))
        .filter(|p| [".rocket.yaml", ".passed.yaml"].iter().all(|end| !p.to_string_lossy().ends_with(end)))
        .filter(|p| !p.file_name().is_some_and(|name| name == settings::FILE || name == "rocket.yaml"))
        .collect();
    found.sort();
    // What stands above the path that was named says nothing of it.
    let inside = |file: &PathBuf| file.ancestors().skip(1).take_while(|a| a.starts_with(path)).any(in_tables);
    let (tables, packs) = found.into_iter().partition(inside);
    RuleFiles { packs, tables }
}

/// A problem with the source it is about.
type Placed = (Arc<Source>, Problem);

/// A problem of a path that gave no text.
fn of_path(path: &Path, problem: Problem) -> Placed {
    (Arc::new(Source::new(path.to_string_lossy(), "")), problem)
}

/// A file as a source under the name it was asked for by. No more of it is read than a design may have, and nothing of what
/// is no plain file: a pipe that nobody writes to would be waited for without end.
fn open(path: &Path) -> Result<Source, Placed> {
    let failed = |error: std::io::Error| {
        let words = match error.kind() {
            std::io::ErrorKind::NotFound => "there is no such file".to_owned(),
            _ => error.to_string(),
        };
        of_path(path, Problem::of_file(words))
    };
    let about = std::fs::metadata(path).map_err(failed)?;
    if about.is_dir() {
        return Err(of_path(path, Problem::of_file("this is a folder, not a file")));
    }
    if !about.is_file() {
        let message = format!("this is {}, not a plain file", sort_of(about.file_type()));
        return Err(of_path(path, Problem::of_file(message).help("`-` reads a design from standard input")));
    }
    if about.len() > LARGEST_FILE as u64 {
        return Err(of_path(path, too_large(about.len())));
    }
    read_source(&path.to_string_lossy(), std::fs::File::open(path).map_err(failed)?)
}

/// What a file is that is neither a plain file nor a folder.
#[cfg(unix)]
fn sort_of(file_type: std::fs::FileType) -> &'static str {
    use std::os::unix::fs::FileTypeExt as _;
    if file_type.is_fifo() {
        "a named pipe"
    } else if file_type.is_socket() {
        "a socket"
    } else {
        "a device"
    }
}

#[cfg(not(unix))]
fn sort_of(_: std::fs::FileType) -> &'static str {
    "a device"
}

/// Reads a source to its end, or to where it is too large: standard input may have no end.
fn read_source(name: &str, from: impl Read) -> Result<Source, Placed> {
    let named = |problem| (Arc::new(Source::new(name, "")), problem);
    let mut bytes = Vec::new();
    from.take(LARGEST_FILE as u64 + 1)
        .read_to_end(&mut bytes)
        .map_err(|error| named(Problem::of_file(error.to_string())))?;
    if bytes.len() > LARGEST_FILE {
        let message = format!("the text goes on after {} MiB; no more is read", LARGEST_FILE >> 20);
        return Err(named(Problem::of_file(message).help("a design takes a few hundred lines")));
    }
    // What stands before a byte that is no text shows where it is.
    let good = match std::str::from_utf8(&bytes) {
        Ok(_) => String::new(),
        Err(error) => String::from_utf8_lossy(bytes.get(..error.valid_up_to()).unwrap_or(&[])).into_owned(),
    };
    Source::from_bytes(name, bytes).map_err(|problem| {
        let end = Span::new(good.len(), good.len());
        (Arc::new(Source::new(name, good)), Problem { span: Some(end), ..problem })
    })
}

/// True when a rule file or a table is one of those built in, so that it is not loaded twice.
fn is_built_in(source: &Source) -> bool {
    crate::rules::BuiltIn::of(source).is_some() || crate::tables::Tables::has_built_in(source)
}
