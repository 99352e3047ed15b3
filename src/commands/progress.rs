//! How far a long run has come, for a person who waits at a terminal.

use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};

/// Fewer designs than this are reviewed before a bar would be read.
const FEWEST: usize = 40;

/// A bar over the designs of a run, on standard error; the library draws nothing where that is no terminal.
pub(super) fn bar(designs: usize) -> ProgressBar {
    if designs < FEWEST {
        return ProgressBar::hidden();
    }
    let bar = ProgressBar::with_draw_target(Some(designs as u64), ProgressDrawTarget::stderr());
    // The template is ours; were it wrong, the bar would look otherwise.
    if let Ok(style) = ProgressStyle::with_template("{bar:40} {pos} of {len} designs reviewed") {
        bar.set_style(style);
    }
    bar
}
