//! `holdpoint language-server`: answers an editor over standard input and output.

use std::io::BufReader;
use std::path::PathBuf;

use clap::Args;

use super::editor_files::EditorFiles;
use super::invocation::{Invocation, Output};
use crate::language_server::serve;
use crate::review::Options;
use crate::rules::HoldPoint;
use crate::vocabulary::Date;

/// Answer an editor: findings as one types, completion, hover, remedies (Language Server Protocol, standard input and output)
///
/// An editor starts it; docs/editors.md has the lines that tell it to.
///
/// Exit: 0 after a proper end, 1 where the editor goes without one.
#[derive(Args, Clone, Debug)]
pub struct LanguageServerOptions {
    /// Over standard input and output: the only way there is; editors may say so
    #[arg(long)]
    pub stdio: bool,
    /// Rule packs of your own, besides the built-in ones: files or folders
    #[arg(long, value_name = "PATH")]
    pub rules: Vec<PathBuf>,
    /// A code, law or guide that designs are judged by besides those they name themselves; may be given again
    #[arg(long = "code", value_name = "NAME")]
    pub codes: Vec<String>,
    /// Only what must be settled before this step, where the editor's settings say no other
    #[arg(long, value_enum, value_name = "STEP")]
    pub before: Option<HoldPoint>,
    /// The day it is, for waivers and dates (year-month-day); today where not said
    #[arg(long, value_name = "DATE")]
    pub today: Option<Date>,
}

/// Answers an editor until it is gone.
pub(super) fn language_server(options: &LanguageServerOptions, invocation: &mut Invocation<'_>) -> Output {
    let mut how = Options::on(invocation.day(options.today));
    how.before = options.before;
    how.codes.clone_from(&options.codes);
    let input = BufReader::new(std::io::stdin());
    let mut output = &mut *invocation.out;
    let code = serve(input, &mut output, EditorFiles::new(&options.rules), how);
    Output { code, ..Output::default() }
}
