//! Altimeters, batteries, switches and firing circuits.

use super::{CHARGE, LID, PASS_THROUGH, SWITCH_ACCESS, TERMINAL, VENT};
use crate::quantity::Dimension as D;
use crate::tables::{CONNECTOR_FAMILY, WIRE};
use crate::vocabulary::{Shape, Sign};

crate::kinds! {
    /// An altimeter that fires charges.
    ALTIMETER as altimeter = "altimeter" {
        /// The battery that feeds it.
        expected battery: Shape::Refers(&BATTERY);
        /// The switch that arms it.
        expected switch: Shape::Refers(&SWITCH);
        /// How high above the ground it fires its main channel.
        optional main_height: Shape::Measure(D::LENGTH, Sign::Positive);
        /// How long after apogee it fires its apogee channel.
        optional apogee_delay: Shape::Measure(D::TIME, Sign::NotNegative);
        /// Current that it draws while it waits, armed, on the pad.
        expected standby_current: Shape::Measure(D::CURRENT, Sign::Positive);
        /// The current that it sends through an igniter to test the circuit.
        optional test_current: Shape::Measure(D::CURRENT, Sign::Positive);
        /// The lowest battery voltage its maker allows.
        expected least_voltage: Shape::Measure(D::VOLTAGE, Sign::Positive);
        /// The highest battery voltage its maker allows.
        expected most_voltage: Shape::Measure(D::VOLTAGE, Sign::Positive);
        /// Whether it holds its charges back while the rocket is near the speed of sound, by a lock-out or a delay that is set.
        optional mach_lockout: Shape::Truth;
        /// Whether a battery joined the wrong way round leaves it unhurt.
        optional bears_reversed_battery: Shape::Truth;
    }

    /// A device that fires nothing: an altimeter that only records, a tracker, a camera.
    RECORDER as recorder = "recorder" {
        /// What it is.
        expected kind: Shape::Word(&["altimeter", "tracker", "camera", "other"]);
        /// The battery that feeds it.
        expected battery: Shape::Refers(&BATTERY);
        /// Current that it draws, sending included.
        expected current: Shape::Measure(D::CURRENT, Sign::Positive);
        /// The lowest battery voltage its maker allows.
        expected least_voltage: Shape::Measure(D::VOLTAGE, Sign::Positive);
        /// Whether it sends by radio.
        expected transmits: Shape::Truth;
        /// What keeps its radio from the altimeters that fire charges.
        optional kept_from_altimeters: Shape::Word(&["shield", "distance", "nothing"]);
    }

    /// Batteries, switches and firing circuits.
    WIRING as wiring = "wiring" {
        /// The batteries.
        expected batteries: Shape::Many(&BATTERY);
        /// The arming switches.
        expected switches: Shape::Many(&SWITCH);
        /// The firing circuits, each from an altimeter's channel to a charge.
        expected circuits: Shape::Many(&CIRCUIT);
    }

    /// A battery.
    BATTERY as battery = "battery" {
        /// Nominal voltage.
        expected voltage: Shape::Measure(D::VOLTAGE, Sign::Positive);
        /// Its own resistance.
        optional internal_resistance: Shape::Measure(D::RESISTANCE, Sign::NotNegative);
        /// Capacity.
        expected capacity: Shape::Measure(D::CHARGE, Sign::Positive);
        /// What its cells are.
        optional cells: Shape::Word(&["alkaline", "lithium polymer", "lithium-ion", "nickel-metal hydride"]);
        /// Whether a case keeps it from sharp edges, and its outside says that it is a fire hazard.
        optional guarded: Shape::Truth;
        /// The connector on its leads.
        expected connector: Shape::Row(&CONNECTOR_FAMILY);
        /// Whether the halves of that connector are tied together.
        optional connector_tied: Shape::Truth;
        /// How it is held in place.
        expected held: Shape::Word(&["zip tie", "strap", "printed holder", "bolted holder", "tape", "snap connector only", "nothing"]);
    }

    /// An arming switch.
    SWITCH as switch = "switch" {
        /// What kind it is.
        optional kind: Shape::Word(&["screw", "key", "rotary", "pull pin", "magnetic", "slide", "twist wires"]);
        /// Whether it can be worked from outside with the rocket upright on the rail.
        expected reachable_from_outside: Shape::Truth;
        /// The hole through which it is worked; `none` where it needs none of its own.
        expected access: Shape::One(&SWITCH_ACCESS);
        /// The vent through which it is worked, where it has no hole of its own.
        optional reached_through: Shape::Refers(&VENT);
        /// Whether it stays as it is set under acceleration and knocks.
        expected locks: Shape::Truth;
        /// What tells from outside that it is on.
        expected shown_by: Shape::Word(&["beeps", "light", "position", "nothing"]);
        /// Its turn when the rocket is armed: 1 is first.
        optional turn: Shape::Count(1);
    }

    /// A firing circuit: from one channel of an altimeter to the igniter of one charge.
    CIRCUIT as circuit = "circuit" {
        /// The altimeter.
        expected altimeter: Shape::Refers(&ALTIMETER);
        /// Its channel.
        expected channel: Shape::Word(&["apogee", "main"]);
        /// The charge whose igniter it fires.
        expected fires: Shape::Refers(&CHARGE);
        /// The lid its wires pass through.
        expected lid: Shape::Refers(&LID);
        /// The connector between altimeter and lid, where the bay comes apart; `none` where the wires run through.
        expected connector: Shape::One(&CONNECTOR);
        /// The hole in the lid that its wires go through.
        expected pass_through: Shape::Refers(&PASS_THROUGH);
        /// The terminal that the igniter is joined to; `none` where the wires run to the charge in one piece.
        expected terminal: Shape::Refers(&TERMINAL);
        /// The size of its wires.
        expected wire: Shape::Row(&WIRE);
        /// How long they are, one way from the altimeter to the igniter.
        optional wire_length: Shape::Measure(D::LENGTH, Sign::Positive);
        /// Whether its wires are tied down beside each contact, so that a jerk pulls at the tie.
        expected strain_relief: Shape::Truth;
        /// The igniter.
        expected igniter: Shape::One(&IGNITER);
    }

    /// A connector in a firing circuit.
    CONNECTOR as connector = "connector" {
        /// Its family.
        expected family: Shape::Row(&CONNECTOR_FAMILY);
        /// How many contacts.
        expected contacts: Shape::Count(1);
        /// Which half is on the altimeter's side.
        expected altimeter_half: Shape::Word(&["plug", "socket"]);
        /// What else keeps it from its neighbours: a key position, a blocked contact.
        optional keying: Shape::Text;
    }

    /// An electric igniter.
    IGNITER as igniter = "igniter" {
        /// Resistance of its bridge.
        optional resistance: Shape::Measure(D::RESISTANCE, Sign::Positive);
        /// Current that surely fires it.
        optional all_fire: Shape::Measure(D::CURRENT, Sign::Positive);
        /// Current that surely does not fire it.
        optional no_fire: Shape::Measure(D::CURRENT, Sign::Positive);
        /// How many are wired in the charge.
        expected count: Shape::Count(1);
        /// How they are joined, where there are several.
        optional joined: Shape::Word(&["in series", "in parallel"]);
    }
}
