//! Dimensions as a small array of exponents.

/// Exponents of length, mass, time, temperature, current and angle, and whether a temperature is absolute.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Dimension {
    exponents: [i8; 6],
    absolute: bool,
}

const fn of(length: i8, mass: i8, time: i8, temperature: i8, current: i8, angle: i8) -> Dimension {
    Dimension { exponents: [length, mass, time, temperature, current, angle], absolute: false }
}

/// The dimensions that have a name in the trade, with the words used in messages.
const NAMED: &[(Dimension, &str)] = &[
    (Dimension::NUMBER, "a plain number"),
    (Dimension::LENGTH, "a length"),
    (Dimension::AREA, "an area"),
    (Dimension::VOLUME, "a volume"),
    (Dimension::MASS, "a mass"),
    (Dimension::TIME, "a time"),
    (Dimension::SPEED, "a speed"),
    (Dimension::ACCELERATION, "an acceleration"),
    (Dimension::FORCE, "a force"),
    (Dimension::PRESSURE, "a pressure"),
    (Dimension::ENERGY, "an energy"),
    (Dimension::IMPULSE, "an impulse"),
    (Dimension::DENSITY, "a density"),
    (Dimension::AREAL_DENSITY, "a mass for each area"),
    (Dimension::LINEAR_DENSITY, "a mass for each length"),
    (Dimension::POWER, "a power"),
    (Dimension::FREQUENCY, "a frequency"),
    (Dimension::INERTIA, "a moment of inertia"),
    (Dimension::ANGLE, "an angle"),
    (Dimension::ANGULAR_SPEED, "a rate of turn"),
    (Dimension::TEMPERATURE_DIFFERENCE, "a difference of temperature"),
    (Dimension::TEMPERATURE, "a temperature"),
    (Dimension::CURRENT, "a current"),
    (Dimension::CHARGE, "a capacity (current times time)"),
    (Dimension::VOLTAGE, "a voltage"),
    (Dimension::RESISTANCE, "a resistance"),
];

impl Dimension {
    /// A plain number: counts, ratios, percentages.
    pub const NUMBER: Self = of(0, 0, 0, 0, 0, 0);
    /// Length.
    pub const LENGTH: Self = of(1, 0, 0, 0, 0, 0);
    /// Area.
    pub const AREA: Self = of(2, 0, 0, 0, 0, 0);
    /// Volume.
    pub const VOLUME: Self = of(3, 0, 0, 0, 0, 0);
    /// Mass.
    pub const MASS: Self = of(0, 1, 0, 0, 0, 0);
    /// Time.
    pub const TIME: Self = of(0, 0, 1, 0, 0, 0);
    /// Speed.
    pub const SPEED: Self = of(1, 0, -1, 0, 0, 0);
    /// Acceleration.
    pub const ACCELERATION: Self = of(1, 0, -2, 0, 0, 0);
    /// Force.
    pub const FORCE: Self = of(1, 1, -2, 0, 0, 0);
    /// Pressure or stress.
    pub const PRESSURE: Self = of(-1, 1, -2, 0, 0, 0);
    /// Energy or torque.
    pub const ENERGY: Self = of(2, 1, -2, 0, 0, 0);
    /// Impulse (force times time).
    pub const IMPULSE: Self = of(1, 1, -1, 0, 0, 0);
    /// Mass for each volume.
    pub const DENSITY: Self = of(-3, 1, 0, 0, 0, 0);
    /// Mass for each area, as cloth is sold.
    pub const AREAL_DENSITY: Self = of(-2, 1, 0, 0, 0, 0);
    /// Mass for each length, as cord is sold.
    pub const LINEAR_DENSITY: Self = of(-1, 1, 0, 0, 0, 0);
    /// Power.
    pub const POWER: Self = of(2, 1, -3, 0, 0, 0);
    /// Frequency.
    pub const FREQUENCY: Self = of(0, 0, -1, 0, 0, 0);
    /// Moment of inertia.
    pub const INERTIA: Self = of(2, 1, 0, 0, 0, 0);
    /// Angle (a dimension of its own here).
    pub const ANGLE: Self = of(0, 0, 0, 0, 0, 1);
    /// Angle for each time.
    pub const ANGULAR_SPEED: Self = of(0, 0, -1, 0, 0, 1);
    /// A difference between two temperatures.
    pub const TEMPERATURE_DIFFERENCE: Self = of(0, 0, 0, 1, 0, 0);
    /// A point on the temperature scale.
    pub const TEMPERATURE: Self = Dimension { exponents: [0, 0, 0, 1, 0, 0], absolute: true };
    /// Electric current.
    pub const CURRENT: Self = of(0, 0, 0, 0, 1, 0);
    /// Electric charge, as batteries are rated (mAh).
    pub const CHARGE: Self = of(0, 0, 1, 0, 1, 0);
    /// Electric potential.
    pub const VOLTAGE: Self = of(2, 1, -3, 0, -1, 0);
    /// Electric resistance.
    pub const RESISTANCE: Self = of(2, 1, -3, 0, -2, 0);

    /// True for a point on the temperature scale, which cannot be multiplied or added to another.
    #[must_use]
    pub const fn is_absolute(self) -> bool {
        self.absolute
    }

    /// The exponents of length, mass, time, temperature, current and angle.
    #[must_use]
    pub const fn exponents(self) -> [i8; 6] {
        self.exponents
    }

    /// The dimension of a product, or `None` for an absolute temperature or an exponent out of range.
    #[must_use]
    pub fn times(self, other: Self) -> Option<Self> {
        self.combine(other, i8::checked_add)
    }

    /// The dimension of a quotient, or `None` for an absolute temperature or an exponent out of range.
    #[must_use]
    pub fn over(self, other: Self) -> Option<Self> {
        self.combine(other, i8::checked_sub)
    }

    fn combine(self, other: Self, with: fn(i8, i8) -> Option<i8>) -> Option<Self> {
        if self.absolute || other.absolute {
            return None;
        }
        let mut exponents = self.exponents;
        for (mine, theirs) in exponents.iter_mut().zip(other.exponents) {
            *mine = with(*mine, theirs)?;
        }
        Some(Self { exponents, absolute: false })
    }

    /// The dimension of a power, or `None` for an absolute temperature or an exponent out of range.
    #[must_use]
    pub fn power(self, exponent: i8) -> Option<Self> {
        if self.absolute {
            return (exponent == 1).then_some(self);
        }
        let mut exponents = self.exponents;
        for mine in &mut exponents {
            *mine = mine.checked_mul(exponent)?;
        }
        Some(Self { exponents, absolute: false })
    }

    /// The dimension of a square root, or `None` where an exponent is odd.
    #[must_use]
    pub fn root(self) -> Option<Self> {
        if self.absolute || self.exponents.iter().any(|e| e % 2 != 0) {
            return None;
        }
        let mut exponents = self.exponents;
        for mine in &mut exponents {
            *mine /= 2;
        }
        Some(Self { exponents, absolute: false })
    }

    /// The dimension of a cube root, or `None` where an exponent is no multiple of three.
    #[must_use]
    pub fn cube_root(self) -> Option<Self> {
        if self.absolute || self.exponents.iter().any(|e| e % 3 != 0) {
            return None;
        }
        Some(Self { exponents: self.exponents.map(|e| e / 3), absolute: false })
    }

    /// The dimension in words, with its article: `a length`, `a force`, or its base units where it has no name.
    #[must_use]
    pub fn in_words(self) -> String {
        if let Some((_, words)) = NAMED.iter().find(|(d, _)| *d == self) {
            return (*words).to_owned();
        }
        let mut over = Vec::new();
        let mut under = Vec::new();
        for (name, e) in ["m", "kg", "s", "K", "A", "rad"].iter().zip(self.exponents) {
            let power = e.unsigned_abs();
            let text = if power > 1 { format!("{name}^{power}") } else { (*name).to_owned() };
            match e {
                0 => {}
                1.. => over.push(text),
                _ => under.push(text),
            }
        }
        let over = if over.is_empty() { "1".to_owned() } else { over.join(" ") };
        if under.is_empty() {
            format!("a quantity in {over}")
        } else {
            format!("a quantity in {over}/({})", under.join(" "))
        }
    }

    /// The dimension of a short name, as `length`; none where no dimension has it.
    #[must_use]
    pub fn named(name: &str) -> Option<Self> {
        NAMED.iter().map(|(dimension, _)| *dimension).find(|dimension| dimension.name() == name)
    }

    /// The short names of the dimensions that have one.
    #[must_use]
    pub fn names() -> Vec<String> {
        NAMED.iter().filter(|(d, _)| *d != Self::NUMBER).map(|(dimension, _)| dimension.name()).collect()
    }

    /// The short name used in listings and schemas: `length`, `force`; base units where it has none.
    #[must_use]
    pub fn name(self) -> String {
        let words = self.in_words();
        words.strip_prefix("an ").or_else(|| words.strip_prefix("a ")).unwrap_or(&words).to_owned()
    }
}
