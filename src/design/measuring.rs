//! Parts in hand: what calliper, tape and scales say of them.

crate::entity_types! {
    /// What was measured of a part: under `measured`, the same keys as beside it. The measured values are the ones that
    /// count; what a catalogue or a drawing says is kept beside them.
    IN_HAND: InHand as in_hand = "in_hand" {
    }
}
