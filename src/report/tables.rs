//! Tables of a rocket, for pages and papers: what is written down and what is worked out, by the names that rules use.

use super::reading::{Cell, Reading};
use crate::design::{
    ATTACHMENT, BULKHEAD, CHARGE, CIRCUIT, FASTENING, FINS, GROUND_TEST, HARNESS, JOINT, LINK, PARACHUTE,
    RODS, SECTION, SHEAR_PINS, VENT, rocket, section,
};
use crate::vocabulary::{EntityId, EntityType};

/// A table of words.
#[derive(Clone, Debug, Default)]
pub(super) struct Table {
    pub(super) title: String,
    /// What a reader must know of it.
    pub(super) about: String,
    pub(super) head: Vec<String>,
    pub(super) rows: Vec<Row>,
}

/// The cells of a row, the first naming what it is about.
pub(super) type Row = Vec<Cell>;

/// A table of every entity of a type: its columns by the names that rules use.
pub(super) struct Spec {
    pub(super) entity_type: &'static EntityType,
    pub(super) title: &'static str,
    pub(super) about: &'static str,
    /// The heading and the name of the quantity.
    pub(super) columns: &'static [(&'static str, &'static str)],
}

pub(super) const SECTIONS: Spec = Spec {
    entity_type: &SECTION,
    title: "Sections",
    about: "Masses are without motor and parachutes.",
    columns: &[
        ("from", "fore_station"),
        ("to", "aft_station"),
        ("outside", "body_diameter"),
        ("mass", "mass"),
        ("lands with", "landing_mass"),
        ("landing energy of its piece", "landing_energy"),
    ],
};

pub(super) const CHARGES: Spec = Spec {
    entity_type: &CHARGE,
    title: "Ejection charges",
    about: "Worked out on paper: where tests on the ground begin, and never a proof.",
    columns: &[
        ("joint", "joint"),
        ("powder", "powder"),
        ("free volume", "free_volume"),
        ("backs up", "backs_up"),
        ("rise of pressure", "pressure"),
        ("force on the joint", "force"),
    ],
};

pub(super) const PINS: Spec = Spec {
    entity_type: &SHEAR_PINS,
    title: "Shear pins",
    about: "The weakest likely pins must hold the coast; the strongest likely ones must let go.",
    columns: &[
        ("pins", "count"),
        ("thread", "thread"),
        ("material", "material"),
        ("at", "at"),
        ("station", "fore_station"),
        ("weakest let go at", "low_strength"),
        ("strongest let go at", "high_strength"),
    ],
};

pub(super) const JOINTS: Spec = Spec {
    entity_type: &JOINT,
    title: "Joints",
    about: "",
    columns: &[
        ("fore", "fore"),
        ("aft", "aft"),
        ("parts at", "parts_at"),
        ("inside one another", "insertion"),
        ("play", "play"),
        ("pull in the coast", "coast_pull"),
        ("pull of trapped air, were it sealed", "trapped_air_pull"),
    ],
};

pub(super) const SCREWS: Spec = Spec {
    entity_type: &FASTENING,
    title: "Screws, rivets and fits",
    about: "",
    columns: &[
        ("kind", "kind"),
        ("how many", "count"),
        ("thread", "thread"),
        ("material", "material"),
        ("at", "at"),
    ],
};

pub(super) const VENTS: Spec = Spec {
    entity_type: &VENT,
    title: "Vents",
    about: "",
    columns: &[
        ("holes", "count"),
        ("drill", "diameter"),
        ("at", "at"),
        ("station", "fore_station"),
        ("spaced", "spaced"),
        ("clock angles", "clock"),
    ],
};

pub(super) const BAYS: Spec = Spec {
    entity_type: &SECTION,
    title: "Air in the sections",
    about: "Lags are how much too low an altimeter in the section reads.",
    columns: &[
        ("air", "air_volume"),
        ("open area of its holes", "vent_area"),
        ("area by the rule of thumb", "vent_area_by_rule"),
        ("greatest lag on the way up", "climb_lag"),
        ("lag at apogee", "apogee_lag"),
    ],
};

pub(super) const PARACHUTES: Spec = Spec {
    entity_type: &PARACHUTE,
    title: "Parachutes",
    about: "",
    columns: &[
        ("packed in", "packed_in"),
        ("opens at", "opens_at"),
        ("diameter", "diameter"),
        ("drag coefficient", "drag_coefficient"),
        ("comes down at", "descent_rate"),
        ("fastest when it opens", "opening_speed"),
        ("protected by", "protected_by"),
        ("hangs on", "hangs_on"),
    ],
};

pub(super) const HARNESSES: Spec = Spec {
    entity_type: &HARNESS,
    title: "Load path: harnesses",
    about: "What each bears, its ends counted.",
    columns: &[
        ("between", "between"),
        ("length", "length"),
        ("material", "material"),
        ("strength", "strength"),
        ("ends", "ends"),
        ("bears", "bears"),
    ],
};

pub(super) const LINKS: Spec = Spec {
    entity_type: &LINK,
    title: "Load path: links",
    about: "",
    columns: &[
        ("kind", "kind"),
        ("breaks at", "breaks_at"),
        ("working load", "working_load"),
        ("bears", "bears"),
    ],
};

pub(super) const ATTACHMENTS: Spec = Spec {
    entity_type: &ATTACHMENT,
    title: "Load path: what the harnesses are fastened to",
    about: "",
    columns: &[
        ("kind", "kind"),
        ("thread", "thread"),
        ("locked by", "locked"),
        ("backing", "backing"),
        ("bears", "bears"),
    ],
};

pub(super) const RODS_TABLE: Spec = Spec {
    entity_type: &RODS,
    title: "Load path: rods",
    about: "",
    columns: &[
        ("how many", "count"),
        ("thread", "thread"),
        ("length", "length"),
        ("length needed", "length_needed"),
        ("bears", "bears"),
    ],
};

pub(super) const BULKHEADS: Spec = Spec {
    entity_type: &BULKHEAD,
    title: "Load path: bulkheads",
    about: "",
    columns: &[
        ("at", "at"),
        ("thickness", "thickness"),
        ("glued", "glued"),
        ("its glue bears", "bond_bears"),
    ],
};

pub(super) const FIN_TABLE: Spec = Spec {
    entity_type: &FINS,
    title: "Fins",
    about: "",
    columns: &[
        ("how many", "count"),
        ("material", "material"),
        ("thickness", "thickness"),
        ("root", "root_chord"),
        ("tip", "tip_chord"),
        ("span", "span"),
        ("sweep", "sweep"),
        ("flutter at", "flutter_speed"),
        ("flutter speed / airspeed, at the least", "flutter_ratio"),
    ],
};

pub(super) const CIRCUITS: Spec = Spec {
    entity_type: &CIRCUIT,
    title: "Wiring",
    about: "",
    columns: &[
        ("altimeter", "altimeter"),
        ("channel", "channel"),
        ("fires", "fires"),
        ("through lid", "lid"),
        ("by", "pass_through"),
        ("terminal", "terminal"),
        ("wire", "wire"),
        ("current", "current"),
    ],
};

pub(super) const GROUND_TESTS: Spec = Spec {
    entity_type: &GROUND_TEST,
    title: "Ground tests",
    about: "",
    columns: &[
        ("date", "date"),
        ("joint", "joint"),
        ("charge", "charge"),
        ("powder", "powder"),
        ("pins", "pins"),
        ("packed as flown", "packed_as_flown"),
        ("result", "result"),
        ("counts as proof", "proves"),
    ],
};

/// Every table of a type.
#[cfg(test)]
pub(super) const ALL: &[&Spec] = &[
    &SECTIONS,
    &CHARGES,
    &PINS,
    &JOINTS,
    &SCREWS,
    &VENTS,
    &BAYS,
    &PARACHUTES,
    &HARNESSES,
    &LINKS,
    &ATTACHMENTS,
    &RODS_TABLE,
    &BULKHEADS,
    &FIN_TABLE,
    &CIRCUITS,
    &GROUND_TESTS,
];

impl Spec {
    /// The table for a rocket. Columns that say nothing of any entity are left out.
    pub(super) fn table(&self, reading: Reading<'_>) -> Table {
        let ids: Vec<EntityId> = reading.model.design().store.of_type(self.entity_type).collect();
        self.table_of(reading, &ids)
    }

    /// The table for some entities of the kind.
    pub(super) fn table_of(&self, reading: Reading<'_>, ids: &[EntityId]) -> Table {
        let rows_of_cells: Vec<Vec<Cell>> = ids
            .iter()
            .map(|id| self.columns.iter().map(|(_, name)| reading.cell(*id, name)).collect())
            .collect();
        let says = |place: usize| {
            rows_of_cells.iter().any(|row: &Vec<Cell>| row.get(place).is_some_and(|t| *t != Cell::None))
        };
        let kept: Vec<usize> = (0..self.columns.len()).filter(|place| says(*place)).collect();
        let heading = |place: &usize| self.columns.get(*place).map(|(heading, _)| (*heading).to_owned());
        let mut head = vec![String::new()];
        head.extend(kept.iter().filter_map(heading));
        let rows = ids
            .iter()
            .zip(rows_of_cells)
            .map(|(id, row)| {
                let mut cells = vec![Cell::Known(reading.short_path(*id))];
                cells.extend(kept.iter().filter_map(|place| row.get(*place).cloned()));
                cells
            })
            .collect();
        Table { title: self.title.to_owned(), about: self.about.to_owned(), head, rows }
    }
}

/// The sections that hold altimeters.
pub(super) fn bays(reading: Reading<'_>) -> Vec<EntityId> {
    let all = reading.model.design().store.of_type(&SECTION);
    all.filter(|id| !reading.entities(*id, section::altimeters).is_empty()).collect()
}

/// Facts of one entity, one a row: the words and the name of the quantity.
pub(super) fn facts(
    reading: Reading<'_>,
    of: Option<EntityId>,
    title: &str,
    about: &str,
    asked: &[(&str, &str)],
) -> Table {
    let mut rows = Vec::new();
    for (words, name) in asked {
        let rows_of_cells =
            of.map_or(Cell::NotKnown("it is not described".to_owned()), |of| reading.cell(of, name));
        if rows_of_cells != Cell::None {
            rows.push(vec![Cell::Known((*words).to_owned()), rows_of_cells]);
        }
    }
    Table { title: title.to_owned(), about: about.to_owned(), head: Vec::new(), rows }
}

/// What the rocket weighs and how stable it is.
pub(super) const STABILITY: &[(&str, &str)] = &[
    ("length", "length"),
    ("one calibre", "calibre"),
    ("mass ready to fly", "mass_at_ignition"),
    ("balance point, motor in, from the nose tip", "balance_station"),
    ("centre of pressure, from the nose tip", "centre_of_pressure"),
    ("calibres of stability at rest", "stability"),
    ("… leaving the rail in still air", "stability_at_rail_exit"),
    ("… leaving the rail in the stated wind", "stability_in_wind"),
    ("… at burnout", "stability_at_burnout"),
    ("… where it is least on the way up", "lowest_stability"),
    ("least at Mach", "lowest_stability_mach"),
    ("least after ignition", "lowest_stability_time"),
    ("calibres that such methods may be off by", "stability_error"),
];

/// How it flies.
pub(super) const FLIGHT_FACTS: &[(&str, &str)] = &[
    ("speed off the rail", "rail_exit_speed"),
    ("thrust to weight off the rail", "rail_exit_thrust_to_weight"),
    ("top speed", "top_speed"),
    ("top Mach number", "top_mach"),
    ("peak acceleration", "peak_acceleration"),
    ("apogee, in still air", "apogee"),
    ("time to apogee", "apogee_time"),
    ("coast from burnout to apogee", "coast_time"),
    ("time down", "descent_time"),
    ("landing speed", "landing_speed"),
    ("drift in the stated wind", "drift"),
    ("hardest opening", "hardest_opening"),
    ("weakest of the recovery train", "weakest_link"),
    ("it bears", "train_bears"),
];

/// The motor.
pub(super) const MOTOR_FACTS: &[(&str, &str)] = &[
    ("designation", "designation"),
    ("class", "impulse_class"),
    ("total impulse", "total_impulse"),
    ("average thrust", "average_thrust"),
    ("burn time", "burn_time"),
    ("diameter", "diameter"),
    ("length", "length"),
    ("mass ready to fly", "loaded_mass"),
    ("propellant", "propellant_mass"),
    ("plugged", "plugged"),
    ("delay", "delay"),
];

/// The part of the rocket that a group of facts is about.
pub(super) fn motor_of(reading: Reading<'_>) -> Option<EntityId> {
    reading.part(reading.root(), rocket::motor).map(crate::vocabulary::Id::any)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::design::{MOTOR, ROCKET};
    use crate::rules::Library;

    #[test]
    fn every_column_is_a_quantity_of_its_kind() {
        let library = Library::built_in();
        let mut asked: Vec<(&EntityType, &str)> =
            ALL.iter().flat_map(|s| s.columns.iter().map(|(_, name)| (s.entity_type, *name))).collect();
        asked.extend(STABILITY.iter().chain(FLIGHT_FACTS).map(|(_, name)| (&ROCKET, *name)));
        asked.extend(MOTOR_FACTS.iter().map(|(_, name)| (&MOTOR, *name)));
        let kinds = library.catalogue.entity_types();
        for (entity_type, name) in asked {
            let entity_type = kinds.iter().find(|k| **k == entity_type).copied();
            let known = entity_type.is_some_and(|k| library.catalogue.named(k, name).is_some());
            assert!(known, "{} has no `{name}`", entity_type.map_or("?", |k| k.name));
        }
    }
}
