//! What every report says at its end.

/// What every report says at its end.
#[must_use]
pub fn caution() -> &'static str {
    "This is a second pair of eyes, not permission. Safety codes, local law, the field's range safety officer and the\n\
     certifying body decide. Black powder, igniters and motors are handled only by those who are licensed and trained\n\
     for it. Disarm before you work on the rocket.\n"
}
