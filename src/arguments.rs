//! The command line as it is declared: commands, flags, and what their words mean to the library.

use std::path::PathBuf;

use clap::{Parser, Subcommand, ValueEnum};
use holdpoint::commands;
use holdpoint::review;
use holdpoint::rules::{HoldPoint, Level};
use holdpoint::vocabulary::Date;

/// A second pair of eyes on the design of a high-power rocket.
#[derive(Parser)]
#[command(name = "holdpoint", version, about, disable_help_subcommand = true)]
pub(crate) struct Arguments {
    /// When to use colours
    #[arg(long, global = true, value_enum, default_value_t = Colour::Auto)]
    pub(crate) color: Colour,
    #[command(subcommand)]
    pub(crate) command: Command,
}

#[derive(Clone, Copy, ValueEnum)]
pub(crate) enum Colour {
    Auto,
    Always,
    Never,
}

#[derive(Clone, Copy, ValueEnum)]
pub(crate) enum Format {
    Text,
    Concise,
    Json,
}

#[derive(Clone, Copy, ValueEnum)]
pub(crate) enum ReportFormat {
    Text,
    Concise,
    Json,
    Sarif,
    Junit,
    Github,
    Html,
}

#[derive(Clone, Copy, ValueEnum)]
pub(crate) enum Step {
    Parts,
    Bonding,
    Drilling,
    Wiring,
    Loading,
    Flight,
}

#[derive(Clone, Copy, ValueEnum)]
pub(crate) enum LevelOf {
    Error,
    Warning,
    Note,
}

#[derive(Clone, Copy, ValueEnum)]
pub(crate) enum FailOn {
    Error,
    Warning,
    Note,
    Never,
}

#[derive(Clone, Copy, ValueEnum)]
pub(crate) enum SchemaOf {
    Design,
    Pack,
    Review,
    Compare,
    Settings,
}

#[derive(Clone, Copy, ValueEnum)]
pub(crate) enum DeploymentOf {
    /// A drogue at apogee and a main low down, by two altimeters
    Dual,
    /// One parachute at apogee, by two altimeters
    Single,
    /// One parachute, by the motor's own charge
    MotorEjection,
}

#[derive(Clone, Copy, ValueEnum)]
pub(crate) enum PaperForm {
    Html,
    Markdown,
}

#[derive(Subcommand)]
pub(crate) enum Command {
    /// Review designs: what is wrong, what is not proven, and what to change
    ///
    /// Exit: 0 nothing holds, 1 something holds (see --fail-on), 2 something could not be reviewed.
    Review {
        /// Design files, folders, or `-` for standard input
        #[arg(required_unless_present = "show_settings")]
        paths: Vec<PathBuf>,
        /// Only say which settings hold for this design, and where each value comes from
        #[arg(long, value_name = "FILE")]
        show_settings: Option<PathBuf>,
        /// The form of the report
        #[arg(long, value_enum, default_value_t = ReportFormat::Text)]
        format: ReportFormat,
        /// A report in another form to a file besides: `sarif=review.sarif`; may be given again
        #[arg(long = "output", value_name = "FORM=FILE")]
        outputs: Vec<commands::OutputFile>,
        /// A baseline: what it knows still holds its step, and only the exit code passes it over
        #[arg(long, value_name = "FILE")]
        baseline: Option<PathBuf>,
        /// Write what is found now to the baseline, in place of what it knows of these designs
        #[arg(long, requires = "baseline", conflicts_with = "before")]
        write_baseline: bool,
        /// Waived findings too, as suppressed ones, where the form leaves them out (sarif)
        #[arg(long)]
        show_waived: bool,
        /// Rule packs of your own, besides the built-in ones: files or folders
        #[arg(long, value_name = "PATH")]
        rules: Vec<PathBuf>,
        /// A code, law or guide that designs are judged by besides those they name themselves; may be given again
        #[arg(long = "code", value_name = "NAME")]
        codes: Vec<String>,
        /// Only what must be settled before this step
        #[arg(long, value_enum, value_name = "STEP")]
        before: Option<Step>,
        /// The day it is, for waivers and dates (year-month-day); today where not said
        #[arg(long, value_name = "DATE")]
        today: Option<Date>,
        /// What makes exit code 1: a finding of this level or a graver one
        #[arg(long, value_enum, value_name = "LEVEL", default_value_t = FailOn::Error)]
        fail_on: FailOn,
        /// Show findings of this level and graver ones; the others are counted. What makes exit code 1 is always shown
        #[arg(long, value_enum, value_name = "LEVEL", default_value_t = LevelOf::Note)]
        level: LevelOf,
        /// List every margin of what is held in the text report, and not the ten narrowest only
        #[arg(long)]
        margins: bool,
    },
    /// Mend designs: make the remedies that can be proved on paper, or show them
    ///
    /// A hole, a slot, a place or a count is set without asking; what a person must look at, choose or test first is
    /// only listed. Each remedy is tried on a copy, and made when it settles its finding and breaks nothing else.
    ///
    /// Exit: that of a review of what comes of it.
    Mend {
        /// Design files or folders
        #[arg(required = true, value_name = "FILES")]
        paths: Vec<PathBuf>,
        /// Show what would change, and write nothing
        #[arg(long)]
        diff: bool,
        /// Also make the remedies that a person should look at first
        #[arg(long = "unsafe")]
        unsafe_too: bool,
        /// Also make the remedies of this rule; may be given again
        #[arg(long = "rule", value_name = "NAME")]
        chosen: Vec<String>,
        /// Rule packs of your own, besides the built-in ones: files or folders
        #[arg(long, value_name = "PATH")]
        rules: Vec<PathBuf>,
        /// A code, law or guide that designs are judged by besides those they name themselves; may be given again
        #[arg(long = "code", value_name = "NAME")]
        codes: Vec<String>,
        /// Only what must be settled before this step
        #[arg(long, value_enum, value_name = "STEP")]
        before: Option<Step>,
        /// The day it is, for waivers (year-month-day); today where not said
        #[arg(long, value_name = "DATE")]
        today: Option<Date>,
    },
    /// Print the field checklist of one design: what this rocket has, and what the codes ask of a person
    Checklist {
        /// The design file
        path: PathBuf,
        /// Rule packs of your own, besides the built-in ones: files or folders
        #[arg(long, value_name = "PATH")]
        rules: Vec<PathBuf>,
        /// A code, law or guide that counts besides those that the design names itself; may be given again
        #[arg(long = "code", value_name = "NAME")]
        codes: Vec<String>,
        /// The day it is, for steps that ask for it (year-month-day); today where not said
        #[arg(long, value_name = "DATE")]
        today: Option<Date>,
    },
    /// Write the papers of a design, or ask whether papers still belong to it
    ///
    /// Summary, drawing, weights, stability, motor, recovery, drill sheet, wiring, ground tests, waivers, field checklist and
    /// lines to sign on. They are bound to the bytes of the design and of the rules, and are not written while anything holds.
    ///
    /// Exit: 0 written, or they still stand; 1 something holds, or they do not; 2 something could not be read.
    Packet {
        /// The design file
        design: PathBuf,
        /// Compare these papers with the design instead
        #[arg(long, value_name = "PAPERS")]
        verify: Option<PathBuf>,
        /// The form of the papers
        #[arg(long, value_enum, default_value_t = PaperForm::Html)]
        format: PaperForm,
        /// Rule packs of your own, besides the built-in ones: files or folders
        #[arg(long, value_name = "PATH")]
        rules: Vec<PathBuf>,
        /// The day it is, for waivers and dates (year-month-day); today where not said
        #[arg(long, value_name = "DATE")]
        today: Option<Date>,
    },
    /// Compare two designs, or a design with an earlier revision of itself
    ///
    /// Tells what is written otherwise, which findings are new, gone or still there, and which margins grew or shrank.
    /// Both are judged by the rules and settings of the new one.
    ///
    /// Exit: that of a review of the new one.
    Compare {
        /// The old design and the new one; with --since, the design alone
        #[arg(required = true, num_args = 1..=2, value_name = "OLD NEW")]
        paths: Vec<PathBuf>,
        /// Compare with the file as it was at this revision, by git
        #[arg(long, value_name = "REVISION")]
        since: Option<String>,
        /// The form of the answer
        #[arg(long, value_enum, default_value_t = Format::Text)]
        format: Format,
        /// Rule packs of your own, besides the built-in ones: files or folders
        #[arg(long, value_name = "PATH")]
        rules: Vec<PathBuf>,
        /// Only what must be settled before this step
        #[arg(long, value_enum, value_name = "STEP")]
        before: Option<Step>,
        /// The day it is, for waivers and dates (year-month-day); today where not said
        #[arg(long, value_name = "DATE")]
        today: Option<Date>,
    },
    /// Pass a hold point: keep who, when and every value that its rules read, beside the design
    ///
    /// Refused while the hold point or one before it holds. A value that changes later is a finding that names the old one and
    /// the new one.
    ///
    /// Exit: 0 passed, 1 something holds, 2 something could not be read or written.
    Pass {
        /// The hold point
        #[arg(value_enum, value_name = "HOLD_POINT")]
        point: Step,
        /// The design file
        design: PathBuf,
        /// Who passes it
        #[arg(long, value_name = "NAME")]
        by: String,
        /// Rule packs of your own, besides the built-in ones: files or folders
        #[arg(long, value_name = "PATH")]
        rules: Vec<PathBuf>,
        /// The day it is (year-month-day); today where not said
        #[arg(long, value_name = "DATE")]
        today: Option<Date>,
    },
    /// Explain a rule, or how a quantity of a design came about
    Explain {
        /// A rule's name, or a design file
        what: String,
        /// The quantity: `av_bay.air_volume`
        quantity: Option<String>,
        /// The day it is, for quantities that ask for it (year-month-day); today where not said
        #[arg(long, value_name = "DATE")]
        today: Option<Date>,
        /// The form of the answer
        #[arg(long, value_enum, default_value_t = Format::Text)]
        format: Format,
        /// Rule packs of your own, besides the built-in ones
        #[arg(long, value_name = "PATH")]
        rules: Vec<PathBuf>,
    },
    /// Run the trials of rule files
    Trial {
        /// Rule files or folders; the built-in packs where none is given
        paths: Vec<PathBuf>,
        /// Tell which conditions no trial has seen come out true, and which ones false
        #[arg(long)]
        coverage: bool,
    },
    /// List the rules in force by the step that waits for them
    Rules {
        /// List the quantities and functions that rules may use instead
        #[arg(long)]
        quantities: bool,
        /// Print the rules as a page in Markdown, with why each matters
        #[arg(long, conflicts_with_all = ["quantities", "format"])]
        markdown: bool,
        /// The form of the list
        #[arg(long, value_enum, default_value_t = Format::Text)]
        format: Format,
        /// Rule packs of your own, besides the built-in ones
        #[arg(long, value_name = "PATH")]
        rules: Vec<PathBuf>,
    },
    /// Write a starter design: the structure is there, and the numbers wait for you
    ///
    /// On a terminal it asks for what no flag says.
    New {
        /// The file to write, `….rocket.yaml`, which must not be there yet; `-` prints it
        file: PathBuf,
        /// What the rocket is called
        #[arg(long)]
        name: Option<String>,
        /// How it comes apart
        #[arg(long, value_enum)]
        deployment: Option<DeploymentOf>,
        /// Outside diameter of the body, with its unit
        #[arg(long, value_name = "LENGTH")]
        diameter: Option<String>,
        /// Diameter of the motor, with its unit
        #[arg(long, value_name = "LENGTH")]
        motor_diameter: Option<String>,
        /// The class of the motor, a letter
        #[arg(long, value_name = "LETTER")]
        motor_class: Option<String>,
    },
    /// Print what a shell needs to complete this program's arguments
    Completions {
        /// The shell
        #[arg(value_enum)]
        shell: clap_complete::Shell,
    },
    /// Print the manual page of this program, or of one of its commands
    Man {
        /// The command
        command: Option<String>,
    },
    /// Print the JSON Schema of design files, rule packs, settings, or of a JSON report
    Schema {
        /// What the schema is of
        #[arg(value_enum)]
        of: SchemaOf,
        /// Folders with tables of your own, whose rows designs may name; those of your settings count without
        #[arg(long, value_name = "PATH")]
        rules: Vec<PathBuf>,
    },
}

impl From<Format> for commands::Format {
    fn from(format: Format) -> Self {
        match format {
            Format::Text => Self::Text,
            Format::Concise => Self::Concise,
            Format::Json => Self::Json,
        }
    }
}

impl From<ReportFormat> for commands::Format {
    fn from(format: ReportFormat) -> Self {
        match format {
            ReportFormat::Text => Self::Text,
            ReportFormat::Concise => Self::Concise,
            ReportFormat::Json => Self::Json,
            ReportFormat::Sarif => Self::Sarif,
            ReportFormat::Junit => Self::Junit,
            ReportFormat::Github => Self::Github,
            ReportFormat::Html => Self::Html,
        }
    }
}

impl From<Step> for HoldPoint {
    fn from(step: Step) -> Self {
        match step {
            Step::Parts => Self::Parts,
            Step::Bonding => Self::Bonding,
            Step::Drilling => Self::Drilling,
            Step::Wiring => Self::Wiring,
            Step::Loading => Self::Loading,
            Step::Flight => Self::Flight,
        }
    }
}

impl From<LevelOf> for Level {
    fn from(level: LevelOf) -> Self {
        match level {
            LevelOf::Error => Self::Error,
            LevelOf::Warning => Self::Warning,
            LevelOf::Note => Self::Note,
        }
    }
}

impl From<FailOn> for review::FailOn {
    fn from(on: FailOn) -> Self {
        match on {
            FailOn::Error => Self::Level(Level::Error),
            FailOn::Warning => Self::Level(Level::Warning),
            FailOn::Note => Self::Level(Level::Note),
            FailOn::Never => Self::Never,
        }
    }
}
