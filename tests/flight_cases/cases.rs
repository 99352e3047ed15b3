//! The cases, each with what it was before, what must be told of it, and what its quantities come to.

/// A flight by its figures.
pub(crate) struct Case {
    pub(crate) what: &'static str,
    /// The rocket that is changed.
    pub(crate) rocket: &'static str,
    /// Texts to replace; each stands once in the file.
    pub(crate) edits: &'static [(&'static str, &'static str)],
    /// What it came to before.
    pub(crate) before: &'static str,
    /// Rules that speak, with level and outcome.
    pub(crate) told: &'static [(&'static str, &'static str)],
    /// Rules that must not speak.
    pub(crate) untold: &'static [&'static str],
    /// Whether nothing may hold it.
    pub(crate) clear: bool,
    /// Quantities in SI, and how near they are, as a share.
    pub(crate) numbers: &'static [(&'static str, f64, f64)],
}

const FOOT: f64 = 0.3048;

const NONE: Case =
    Case { what: "", rocket: "", edits: &[], before: "", told: &[], untold: &[], clear: false, numbers: &[] };

pub(crate) const CASES: &[Case] = &[
    // What was clear, and should not be.
    Case {
        what: "a rail that leans 19° in 2 mph, within 2600 ft",
        rocket: "marsh-harrier",
        edits: &[("  wind: 8 mph", "  wind: 2 mph\n  rail_angle: 19°")],
        before: "clear: highest point 4145 ft out, drift back 286 ft, and only the drift compared",
        told: &[("landing-within-field", "error broken")],
        untold: &["drift-within-field"],
        numbers: &[("rocket.apogee_upwind", 4135.0 * FOOT, 0.005), ("rocket.drift", 281.7 * FOOT, 0.005)],
        ..NONE
    },
    Case {
        what: "a rail and a wind beyond any field's limit",
        rocket: "marsh-harrier",
        edits: &[("  wind: 8 mph", "  wind: 21 mph\n  rail_angle: 21°")],
        before: "no common rule bounded the lean or the wind",
        told: &[("rail-near-upright", "error broken"), ("wind-within-limit", "error broken")],
        ..NONE
    },
    Case {
        what: "a drogue from 5850 ft in 20 mph",
        rocket: "marsh-harrier",
        edits: &[("  wind: 8 mph", "  wind: 20 mph")],
        before: "1911 ft from 5000 ft, where the measured rate of descent gives about 2750 ft",
        told: &[("drift-within-field", "error broken")],
        numbers: &[("rocket.drift", 3098.0 * FOOT, 0.005), ("rocket.longest_drift", 7410.0 * FOOT, 0.005)],
        ..NONE
    },
    Case {
        what: "the same where an earlier flight fell at 82 ft/s",
        rocket: "marsh-harrier",
        edits: &[
            ("  wind: 8 mph", "  wind: 20 mph"),
            (
                "recovery:\n  parachutes:",
                "recovery:\n  descends_at: {rate: 82 ft/s, date: 2025-09-01}\n  parachutes:",
            ),
        ],
        before: "no measured rate could be written, and the computed one was twice too fast: 1911 ft for 2750 ft",
        told: &[("drift-within-field", "error broken")],
        // Integrated apart from this program: 82 ft/s in the air of the field, both canopies from 650 ft.
        numbers: &[("rocket.drift", 955.8, 0.001)],
        ..NONE
    },
    Case {
        what: "a relief hole of 3.2 mm and three small pins in a fast 157 mm rocket",
        rocket: "bittern",
        edits: &[
            (
                "    parts_at: main\n    shear_pins: {count: 3, thread: 4-40",
                "    parts_at: main\n    shear_pins: {count: 3, thread: 2-56",
            ),
            (
                "relief: {count: 1, diameter: 6 mm, at: 400 mm",
                "relief: {count: 1, diameter: 3.2 mm, at: 400 mm",
            ),
            ("  total_impulse: 6730 N*s", "  total_impulse: 11000 N*s"),
            (
                "    0.06, 1700\n    0.6, 1950\n    1.6, 1850\n    2.8, 1600\n    3.8, 1150\n",
                "    0.06, 2780\n    0.6, 3190\n    1.6, 3020\n    2.8, 2610\n    3.8, 1880\n",
            ),
        ],
        before: "silent: 190 N of air and 117 N of drag on pins that hold 260 N; any hole excused the joint",
        told: &[("pins-hold-coast-and-air", "error broken")],
        numbers: &[
            ("main_joint.shear_pins.low_strength", 260.3, 0.001),
            ("main_joint.coast_pull", 88.5, 0.01),
            ("main_joint.flight_pull", 185.0, 0.01),
        ],
        ..NONE
    },
    Case {
        what: "level 3 on one altimeter",
        rocket: "coot",
        edits: &[("seeks: level 2", "seeks: level 3")],
        before: "clear: one altimeter, one battery, one charge",
        told: &[("redundant-above-2560", "error broken")],
        ..NONE
    },
    Case {
        what: "a ceiling one foot above the computed height",
        rocket: "marsh-harrier",
        edits: &[("  ceiling: 10000 ft", "  ceiling: 5852 ft")],
        before: "clear, though the height is known to a twentieth",
        told: &[("apogee-well-under-ceiling", "warning broken")],
        untold: &["apogee-under-ceiling"],
        ..NONE
    },
    Case {
        what: "a charge 2 s and its tolerance before the highest point",
        rocket: "sand-martin",
        edits: &[("  delay: 10 s", "  delay: 8.7 s")],
        before: "the earlier the charge, the weaker the opening: 257, 266, 298 N for 8.7, 9, 10 s",
        told: &[("delay-not-early", "error broken")],
        ..NONE
    },
    Case {
        what: "eight pins in front of the motor's charge that is the backup",
        rocket: "shoveler",
        edits: &[(
            "    parts_at: apogee\n    shear_pins: {count: 3,",
            "    parts_at: apogee\n    shear_pins: {count: 8,",
        )],
        before: "a motor's charge as the backup was not asked whether it breaks the pins",
        told: &[("motor-backup-breaks-pins", "warning broken")],
        ..NONE
    },
    Case {
        what: "a backup delay of 28 s on a climb of 14.5 s after burnout",
        rocket: "shoveler",
        edits: &[
            ("  delay: 16 s", "  delay: 28 s"),
            (
                "nylon, strength: 12 kN, protected_by: sleeve, ends: sewn loops, mass: 220 g",
                "nylon, strength: 3 kN, protected_by: sleeve, ends: sewn loops, mass: 220 g",
            ),
        ],
        before: "its late opening did not count in the loads",
        told: &[("cord-bears-late-backup", "warning broken")],
        untold: &["cord-bears-opening"],
        ..NONE
    },
    Case {
        what: "a small main on a hot day",
        rocket: "marsh-harrier",
        edits: &[
            ("diameter: 84 in", "diameter: 42.7 in"),
            ("  temperature: 75 degF", "  temperature: 104 degF"),
        ],
        before: "silent at 100.4 J, the energy of the standard day, where 110.0 J break the limit of 101.7 J",
        told: &[("landing-energy-of-piece", "note broken")],
        numbers: &[("booster.landing_energy", 109.05, 0.001)],
        ..NONE
    },
    Case {
        what: "the same on a day of 59 °F",
        rocket: "marsh-harrier",
        edits: &[
            ("diameter: 84 in", "diameter: 42.7 in"),
            ("  temperature: 75 degF", "  temperature: 59 degF"),
        ],
        before: "the same energy on every day",
        untold: &["landing-energy-of-piece"],
        clear: true,
        // By the absolute temperatures, 109.05 J × 288.15 K / 313.15 K.
        numbers: &[("booster.landing_energy", 100.34, 0.001)],
        ..NONE
    },
    // What was held, and is sound.
    Case {
        what: "a main in a release, beside a drogue, in one compartment",
        rocket: "lapwing",
        before: "seven errors: 138.5 s for 53.4, drift 623 m for 240, opening force 3399 N for 419 to 666",
        clear: true,
        numbers: &[
            ("rocket.descent_time", 81.5, 0.01),
            ("rocket.drift", 326.1, 0.01),
            ("main.opening_force", 393.6, 0.01),
        ],
        ..NONE
    },
    Case {
        what: "two parachutes in a release each, beside a drogue, in one compartment",
        rocket: "lapwing",
        edits: &[(
            "    main: {packed_in: booster, opens_at: apogee, diameter: 1150 mm, drag_coefficient: 1.5, protected_by: blanket, mass: 175 g,\n           packed_volume: 440 cm^3, strength: 3.5 kN, hangs_on: cord, hangs_at: 1.2 m,\n           release: {height: 150 m, tethered: true, tried: true}}",
            "    main: {packed_in: booster, opens_at: apogee, diameter: 813 mm, drag_coefficient: 1.5, protected_by: blanket, mass: 88 g,\n           packed_volume: 220 cm^3, strength: 3.5 kN, hangs_on: cord, hangs_at: 1.2 m,\n           release: {height: 150 m, tethered: true, tried: true}}\n    second: {packed_in: booster, opens_at: apogee, diameter: 813 mm, drag_coefficient: 1.5, protected_by: blanket, mass: 88 g,\n           packed_volume: 220 cm^3, strength: 3.5 kN, hangs_on: cord, hangs_at: 1.6 m,\n           release: {height: 120 m, tethered: true, tried: true}}",
        )],
        before: "no code read the height of a release: seven errors with one of them",
        clear: true,
        // Together they have the area of the one, less what a second canopy may take from it.
        numbers: &[("booster.landing_speed", 5.299, 0.001), ("second.speed_before", 7.315, 0.01)],
        ..NONE
    },
    Case {
        what: "no drogue, and a main low down",
        rocket: "godwit",
        before: "could never be clear",
        clear: true,
        numbers: &[("main.speed_before", 49.1, 0.01)],
        ..NONE
    },
    Case {
        what: "a nose on its own canopy, the main in the nose end",
        rocket: "moorhen",
        before: "five errors, and the nose's canopy judged with the weight of the whole rocket",
        clear: true,
        numbers: &[
            ("nose.landing_speed", 6.711, 0.002),
            ("nose.landing_energy", 11.6, 0.01),
            ("booster.landing_speed", 5.103, 0.002),
        ],
        ..NONE
    },
    Case {
        what: "two mains on one cord",
        rocket: "whimbrel",
        before: "each judged alone: 24.2 ft/s for 17.1",
        clear: true,
        // Each alone would be √2 times as fast.
        numbers: &[("booster.landing_speed", 5.341, 0.002), ("main_upper.descent_rate", 5.341, 0.002)],
        ..NONE
    },
    Case {
        what: "a streamer at motor ejection",
        rocket: "pochard",
        before: "could never be clear",
        clear: true,
        numbers: &[("main.speed_before", 16.79, 0.01)],
        ..NONE
    },
    Case {
        what: "a backup delay of 19 s on a climb of 14.5 s after burnout",
        rocket: "shoveler",
        edits: &[("  delay: 16 s", "  delay: 19 s")],
        before: "an error, though backups are set late on purpose (19 s on 16 s)",
        untold: &["delay-not-late", "backup-delay-not-late"],
        clear: true,
        ..NONE
    },
    Case {
        what: "a backup delay of 21 s on that climb",
        rocket: "shoveler",
        edits: &[("  delay: 16 s", "  delay: 21 s")],
        before: "an error, as any late backup was",
        told: &[("backup-delay-not-late", "warning broken")],
        clear: true,
        ..NONE
    },
    Case {
        what: "12 mph at 58 ft/s off the rail with 2.06 calibres",
        rocket: "marsh-harrier",
        edits: &[("  wind: 8 mph", "  wind: 12 mph")],
        before: "two errors; everyday flying",
        told: &[
            ("rail-exit-angle", "warning broken"),
            ("stable-in-wind-with-something-to-spare", "warning broken"),
        ],
        clear: true,
        numbers: &[
            ("rocket.rail_exit_speed", 58.1 * FOOT, 0.002),
            ("rocket.stability_at_rail_exit", 2.063, 0.002),
        ],
        ..NONE
    },
    // Stability along the ascent, and by length.
    Case {
        what: "4.4 diameters, which are 17 % of the length of a thin rocket",
        rocket: "gadwall",
        edits: &[("balance_point: 948 mm from fore", "balance_point: 890 mm from fore")],
        before: "called over-stable above 3.9 diameters, 15 % of its length",
        untold: &["stability-not-excessive"],
        clear: true,
        numbers: &[("rocket.stability", 4.369, 0.001), ("rocket.stability_of_length", 0.1688, 0.001)],
        ..NONE
    },
    Case {
        what: "5.1 diameters of the same rocket",
        rocket: "gadwall",
        edits: &[("balance_point: 948 mm from fore", "balance_point: 850 mm from fore")],
        before: "called over-stable, and by no share of the length",
        told: &[("stability-not-excessive", "warning broken")],
        ..NONE
    },
    Case {
        what: "past the speed of sound on fins that are far from losing their lift",
        rocket: "jack-snipe",
        before: "fins judged as at Mach 0.8: 4.519 calibres at burnout",
        clear: true,
        numbers: &[
            ("rocket.stability_at_burnout", 4.815, 0.001),
            ("rocket.lowest_stability", 2.678, 0.001),
            ("rocket.stability_error", 0.5225, 0.001),
        ],
        ..NONE
    },
];
