//! Where a session stands between its first message and its last.

/// Where a session stands.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) enum Phase {
    /// Nothing was said yet.
    #[default]
    New,
    /// It was initialized.
    Running,
    /// The end was asked for, and `exit` is due.
    ShutDown,
    /// `exit` came, after `shutdown` or without it.
    Over(u8),
}

impl Phase {
    pub(super) fn is_running(self) -> bool {
        self == Self::Running
    }

    pub(super) fn is_over(self) -> bool {
        matches!(self, Self::Over(_))
    }

    pub(super) fn exit_code(self) -> u8 {
        match self {
            Self::Over(code) => code,
            Self::ShutDown => 0,
            Self::New | Self::Running => 1,
        }
    }
}
