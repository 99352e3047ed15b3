//! One design, read under the settings that govern it, for the commands that answer from its model.

use std::path::Path;

use super::files::open;
use super::invocation::Output;
use super::settings::{ActiveSettings, RuleSources, SettingsCache};
use crate::design::Design;
use crate::model::Model;
use crate::report::{Style, problem_text};
use crate::vocabulary::Date;

/// A design and what governs its reading.
pub(super) struct OneDesign<'o> {
    pub(super) path: &'o Path,
    /// Where rules and tables come from.
    pub(super) sources: &'o RuleSources,
    /// Codes that count besides those of the design and its settings.
    pub(super) codes: &'o [String],
    pub(super) today: Date,
    pub(super) style: Style,
}

impl OneDesign<'_> {
    /// Lets `answer` fill the output from the model, where the design can be read. What is wrong with files is complained of in any
    /// case.
    pub(super) fn answer(&self, answer: impl FnOnce(&Model<'_>, &ActiveSettings, &mut Output)) -> Output {
        let mut problems = Vec::new();
        let mut settings_cache = SettingsCache::new(self.sources);
        let number = settings_cache.number(self.path, &mut problems);
        if let Some(complaint) = settings_cache.unknown_codes(self.codes) {
            return Output::failed(complaint);
        }
        let Some(force) = settings_cache.get(number) else { return Output::default() };
        let source = match open(self.path) {
            Ok(source) => source,
            Err((source, problem)) => return Output::failed(problem_text(&source, &problem, self.style)),
        };
        let design = Design::read(source, &force.library.tables);
        let mut output = Output { complaints: settings_cache.ignored(), ..Output::default() };
        output.complain(&problems, self.style);
        output.complain_of(&design, self.style);
        if design.is_readable() {
            let model = Model::new(&design, force.library.environment(self.today));
            answer(&model, force, &mut output);
        }
        output
    }
}
