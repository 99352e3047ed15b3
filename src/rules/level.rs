//! How grave a finding is: error, warning, note.

crate::words! {
    /// How grave a finding is. Only errors hold.
    pub enum Level {
        /// The step may not be taken.
        Error = "error",
        /// Look at it again.
        Warning = "warning",
        /// Worth knowing.
        Note = "note",
    }
}
