//! What fires the charges: circuits, their connectors and igniters.

use super::{Altimeter, Battery, Charge, Lid, PassThrough, Switch, Terminal};
use crate::quantity::{Current, Length, Resistance};
use crate::tables::{ConnectorFamily, Wire};

crate::entity_types! {
    /// Batteries, switches and firing circuits.
    WIRING: Wiring as wiring = "wiring" {
        /// The batteries.
        expected batteries: Many(Battery);
        /// The arming switches.
        expected switches: Many(Switch);
        /// The firing circuits, each from an altimeter's channel to a charge.
        expected circuits: Many(Circuit);
    }

    /// A firing circuit: from one channel of an altimeter to the igniter of one charge.
    CIRCUIT: Circuit as circuit = "circuit" {
        /// The altimeter.
        expected altimeter: Refers(Altimeter);
        /// Its channel.
        expected channel: Word(&["apogee", "main"]);
        /// The charge whose igniter it fires.
        expected fires: Refers(Charge);
        /// The lid its wires pass through.
        expected lid: Refers(Lid);
        /// The connector between altimeter and lid, where the bay comes apart; `none` where the wires run through.
        expected connector: One(Connector);
        /// The hole in the lid that its wires go through.
        expected pass_through: Refers(PassThrough);
        /// The terminal that the igniter is joined to; `none` where the wires run to the charge in one piece.
        expected terminal: Refers(Terminal);
        /// The size of its wires.
        expected wire: Row(Wire);
        /// How long they are, one way from the altimeter to the igniter.
        optional wire_length: Measure(Length, Positive);
        /// Whether its wires are tied down beside each contact, so that a jerk pulls at the tie.
        expected strain_relief: Truth;
        /// The igniter.
        expected igniter: One(Igniter);
    }

    /// A connector in a firing circuit.
    CONNECTOR: Connector as connector = "connector" {
        /// Its family.
        expected family: Row(ConnectorFamily);
        /// How many contacts.
        expected contacts: Count(1);
        /// Which half is on the altimeter's side.
        expected altimeter_half: Word(&["plug", "socket"]);
        /// What else keeps it from its neighbours: a key position, a blocked contact.
        optional keying: Text;
        /// Whether both halves say which circuit they belong to, and it lies on its altimeter's own side of the sled.
        optional labelled: Truth;
    }

    /// An electric igniter.
    IGNITER: Igniter as igniter = "igniter" {
        /// Resistance of its bridge.
        expected resistance: Measure(Resistance, Positive);
        /// Current that surely fires it.
        expected all_fire: Measure(Current, Positive);
        /// Current that surely does not fire it.
        optional no_fire: Measure(Current, Positive);
        /// How many are wired in the charge.
        expected count: Count(1);
        /// How they are joined, where there are several.
        optional joined: Word(&["in series", "in parallel"]);
        /// Whether its leads stay twisted together, or under a shorting plug, until they are joined.
        optional shunted: Truth;
    }
}
