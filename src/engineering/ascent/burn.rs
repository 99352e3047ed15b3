//! The thrust curve of a motor while it burns.

use super::super::thrust::Line;
use super::flight::Rocket;

/// Where the motor's curve stands: the line that holds now.
pub(super) struct Burn<'a> {
    lines: &'a [Line],
    next: usize,
}

impl<'a> Burn<'a> {
    /// The curve of a rocket's motor, from its first line.
    pub(super) fn of(rocket: &Rocket<'a>) -> Self {
        Self { lines: rocket.thrust.lines(), next: 0 }
    }

    /// The number of the line that holds now.
    pub(super) fn number(&self) -> usize {
        self.next
    }

    /// Takes the next line, and says whether the thrust goes on without a jump.
    pub(super) fn advance(&mut self) -> bool {
        let joins = self.joins();
        self.next += 1;
        joins
    }

    pub(super) fn line(&self) -> Option<&'a Line> {
        self.lines.get(self.next)
    }

    /// Whether the line that holds now goes over into the next without a jump.
    fn joins(&self) -> bool {
        self.line().zip(self.lines.get(self.next + 1)).is_some_and(|(line, next)| line.joins(next))
    }

    /// Whether burnout is past.
    pub(super) fn is_out(&self) -> bool {
        self.line().is_none_or(|line| !line.burning)
    }

    /// How far an integration may go before the thrust takes another line.
    pub(super) fn limit(&self) -> f64 {
        self.line().map_or(f64::INFINITY, |line| line.end)
    }
}
