//! `--spread`: how many flights are sampled, where any are.

use clap::Args;

use crate::report::summary_quantities;
use crate::review::SpreadRequest;

/// `--spread`, the same for each command that has it.
#[derive(Args, Clone, Copy, Debug, Default)]
pub struct SpreadOption {
    /// How sure each number is: so many flights (1000 where not said), each uncertain value anywhere within its limits
    #[arg(
        long,
        value_name = "N",
        num_args = 0..=1,
        require_equals = true,
        default_missing_value = "1000",
        value_parser = clap::value_parser!(u32).range(20..=100_000)
    )]
    pub spread: Option<u32>,
}

impl SpreadOption {
    /// What is asked for of the quantities that a report sums up.
    pub(super) fn request(self) -> Option<SpreadRequest> {
        self.samples().map(|samples| SpreadRequest { samples, quantities: summary_quantities() })
    }

    /// How many flights; none where none were asked for.
    pub(super) fn samples(self) -> Option<usize> {
        self.spread.map(|samples| samples as usize)
    }
}
