//! The hold points of a build, in their order, and the moments of the field checklist.

crate::words! {
    /// A step of the build that may not be taken until its rules are kept, in build order.
    pub enum HoldPoint {
        /// Taking stock of the parts.
        Parts = "parts",
        /// Gluing.
        Bonding = "bonding",
        /// Drilling and cutting.
        Drilling = "drilling",
        /// Wiring.
        Wiring = "wiring",
        /// Loading charges and packing.
        Loading = "loading",
        /// Flying.
        Flight = "flight",
    }

    /// When a step of the field checklist is taken.
    pub enum Moment {
        /// At home.
        BeforeLeaving = "before leaving home",
        /// At the field's table, away from the pad.
        AtTheTable = "at the table",
        /// On the pad.
        AtThePad = "at the pad",
        /// When it has flown.
        AfterFlight = "after the flight",
        /// When it does not fly: the way back.
        IfItDoesNotFly = "if it does not fly",
    }
}
