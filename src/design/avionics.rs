//! Altimeters, batteries and switches.

use super::{SwitchAccess, Vent};
use crate::quantity::{
    Acceleration, Current, ElectricCharge, Frequency, Length, Power, Resistance, Time, Voltage,
};
use crate::tables::{Cell, ConnectorFamily};

crate::entity_types! {
    /// An altimeter that fires charges.
    ALTIMETER: Altimeter as altimeter = "altimeter" {
        /// The battery that feeds it.
        expected battery: Refers(Battery);
        /// The switch that arms it.
        expected switch: Refers(Switch);
        /// How high above the ground it fires its main channel.
        optional main_height: Measure(Length, Positive);
        /// How long after apogee it fires its apogee channel.
        optional apogee_delay: Measure(Time, NotNegative);
        /// Current that it draws while it waits, armed, on the pad.
        expected standby_current: Measure(Current, Positive);
        /// The current that it sends through an igniter to test the circuit.
        optional test_current: Measure(Current, Positive);
        /// The most current that one of its outputs gives, where its maker says that it limits it.
        optional output_current: Measure(Current, Positive);
        /// How long it goes on by its own store while its battery gives too little, by its maker.
        optional holds_up: Measure(Time, Positive);
        /// The lowest battery voltage its maker allows.
        expected least_voltage: Measure(Voltage, Positive);
        /// The highest battery voltage its maker allows.
        expected most_voltage: Measure(Voltage, Positive);
        /// How high above the pad it must be before it takes the flight as begun, where it looks at the height.
        optional launch_height: Measure(Length, Positive);
        /// How hard it must be pushed before it takes the flight as begun, where it looks at the acceleration.
        optional launch_acceleration: Measure(Acceleration, Positive);
        /// Whether it holds its charges back while the rocket is near the speed of sound, by a lock-out or a delay that is set.
        optional mach_lockout: Truth;
        /// Whether a battery joined the wrong way round leaves it unhurt.
        optional bears_reversed_battery: Truth;
    }

    /// A device that fires nothing: an altimeter that only records, a tracker, a camera.
    RECORDER: Recorder as recorder = "recorder" {
        /// What it is.
        expected kind: Word(&["altimeter", "tracker", "camera", "other"]);
        /// The battery that feeds it.
        expected battery: Refers(Battery);
        /// Current that it draws, sending included.
        expected current: Measure(Current, Positive);
        /// The lowest battery voltage its maker allows.
        expected least_voltage: Measure(Voltage, Positive);
        /// Whether it sends by radio.
        expected transmits: Truth;
        /// What keeps its radio from the altimeters that fire charges.
        optional kept_from_altimeters: Word(&["shield", "distance", "nothing"]);
        /// The power that it sends with, by its maker.
        optional power: Measure(Power, Positive);
        /// The frequency that it sends on.
        optional frequency: Measure(Frequency, Positive);
        /// The shortest way from its aerial to the leads of an igniter, with everything in its place.
        optional from_leads: Measure(Length, Positive);
    }

    /// A battery.
    BATTERY: Battery as battery = "battery" {
        /// Nominal voltage.
        expected voltage: Measure(Voltage, Positive);
        /// Its own resistance; that of its cells by their kind and capacity where not said.
        optional internal_resistance: Measure(Resistance, NotNegative);
        /// Capacity.
        expected capacity: Measure(ElectricCharge, Positive);
        /// What its cells are.
        optional cells: Row(Cell);
        /// Whether a case keeps it from sharp edges, and its outside says that it is a fire hazard.
        optional guarded: Truth;
        /// The connector on its leads.
        expected connector: Row(ConnectorFamily);
        /// Whether the halves of that connector are tied together.
        optional connector_tied: Truth;
        /// How it is held in place.
        expected held: Word(&["zip tie", "strap", "printed holder", "bolted holder", "tape", "snap connector only", "nothing"]);
    }

    /// An arming switch.
    SWITCH: Switch as switch = "switch" {
        /// What kind it is.
        optional kind: Word(&["screw", "key", "rotary", "pull pin", "magnetic", "slide", "twist wires"]);
        /// Whether it can be worked from outside with the rocket upright on the rail.
        expected reachable_from_outside: Truth;
        /// The hole through which it is worked; `none` where it needs none of its own.
        expected access: One(SwitchAccess);
        /// The vent through which it is worked, where it has no hole of its own.
        optional reached_through: Refers(Vent);
        /// Whether it stays as it is set under acceleration and knocks.
        expected locks: Truth;
        /// What tells from outside that it is on.
        expected shown_by: Word(&["beeps", "light", "position", "nothing"]);
        /// Its turn when the rocket is armed: 1 is first.
        optional turn: Count(1);
    }

}
