//! The ways in which a rocket of a starter design comes apart.

crate::words! {
    /// How the rocket comes apart.
    pub enum Deployment {
        /// A drogue at apogee and a main low down, by two altimeters.
        Dual = "dual",
        /// A drogue at apogee and a main low down, by one altimeter.
        OneAltimeter = "one-altimeter",
        /// A drogue at apogee and a main low down, by one altimeter, with the motor's own charge as the drogue's backup.
        DualMotorBackup = "dual-motor-backup",
        /// One parachute at apogee, by two altimeters.
        Single = "single",
        /// One parachute at apogee, by one altimeter, with the motor's own charge as the backup.
        MotorBackup = "motor-backup",
        /// One bay that one altimeter opens at apogee; a release holds the main shut until it is low.
        Release = "release",
        /// One parachute, by the motor's own charge.
        MotorEjection = "motor-ejection",
    }
}
