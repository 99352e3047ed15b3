//! A pocket calculator for printed expressions: it knows nothing but what is printed.

use holdpoint::quantity::Quantity;

/// A function of one number.
type Unary = fn(f64) -> f64;

/// Exponents of the base units; an angle is a plain number to a calculator.
type Exponents = [f64; 5];

/// What a printed number may be: it was rounded when it was printed.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Interval {
    pub(crate) low: f64,
    pub(crate) high: f64,
    pub(crate) exponents: Exponents,
}

impl Interval {
    fn number(value: f64) -> Self {
        Self { low: value, high: value, exponents: [0.0; 5] }
    }

    fn with(self, low: f64, high: f64) -> Self {
        Self { low: low.min(high), high: low.max(high), ..self }
    }

    pub(crate) fn middle(&self) -> f64 {
        f64::midpoint(self.low, self.high)
    }

    pub(crate) fn half(&self) -> f64 {
        (self.high - self.low) / 2.0
    }

    /// Whether both may be the same value.
    pub(crate) fn meets(&self, other: &Self) -> bool {
        // Sums of the machine itself are good to this.
        let hair = 1e-9 * self.high.abs().max(self.low.abs()) + 1e-15;
        self.low - hair <= other.high && other.low <= self.high + hair
    }

    fn plain(&self, what: &str) -> Result<(), String> {
        if self.exponents == [0.0; 5] { Ok(()) } else { Err(format!("{what} of no plain number: {self:?}")) }
    }

    fn same_unit(&self, other: &Self) -> Result<(), String> {
        if self.exponents == other.exponents {
            Ok(())
        } else {
            Err(format!("{:?} beside {:?}: the units do not go together", self.exponents, other.exponents))
        }
    }

    fn times(&self, other: &Self) -> Self {
        let all =
            [self.low * other.low, self.low * other.high, self.high * other.low, self.high * other.high];
        let low = all.iter().copied().fold(f64::INFINITY, f64::min);
        let high = all.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        let mut exponents = self.exponents;
        for (mine, theirs) in exponents.iter_mut().zip(other.exponents) {
            *mine += theirs;
        }
        Self { low, high, exponents }
    }

    fn over_one(&self) -> Result<Self, String> {
        if self.low <= 0.0 && self.high >= 0.0 {
            return Err("a division by what may be zero".to_owned());
        }
        Ok(Self { exponents: self.exponents.map(|e| -e), ..*self }.with(1.0 / self.low, 1.0 / self.high))
    }

    fn power(&self, exponent: f64) -> Result<Self, String> {
        let whole = exponent.fract() == 0.0;
        if self.low < 0.0 && !whole {
            return Err("a root of less than nothing".to_owned());
        }
        let (mut low, mut high) = (self.low.powf(exponent), self.high.powf(exponent));
        if whole && self.low < 0.0 && self.high > 0.0 && exponent % 2.0 == 0.0 {
            (low, high) = (0.0, low.max(high));
        }
        Ok(Self { exponents: self.exponents.map(|e| e * exponent), ..*self }.with(low, high))
    }
}

/// Half of the last of the four digits that are printed of a value.
fn half_of_last(value: f64, unit: &str) -> f64 {
    let digits = if matches!(unit.trim(), "m" | "ft") { 4.0 } else { 3.0 };
    let places = match unit.trim() {
        // Sizes of parts are printed to the thousandth of an inch and to the hundredth of a millimetre.
        "in" | "cm" => 0.0005,
        "mm" => 0.005,
        _ => f64::INFINITY,
    };
    if value == 0.0 {
        return if places.is_finite() { places } else { 0.0 };
    }
    places.min(0.5 * 10_f64.powf(value.abs().log10().floor() - digits))
}

/// A printed value: a number with its unit, and words after it that are no part of it. What is written in the file is exact.
pub(crate) fn printed(text: &str, exact: bool) -> Option<Interval> {
    // A tolerance is judged, and no part of the value.
    let text = text.replacen(" ± ", " +/- ", 1);
    let plain = text.split_once(" +/- ").map(|(value, unit)| {
        let unit = unit.trim_start_matches(|c: char| c.is_ascii_digit() || c == '.');
        format!("{value}{unit}")
    });
    let text = plain.as_deref().unwrap_or(&text);
    let text = text.trim().trim_matches(['"', '\'']);
    let words: Vec<&str> = text.split_whitespace().collect();
    let (taken, quantity) = (1..=words.len()).rev().find_map(|taken| {
        let part = words[..taken].join(" ");
        Quantity::read(part.trim_end_matches(',')).ok().map(|quantity| (part, quantity))
    })?;
    let e = quantity.dimension.exponents();
    let exponents = [e[0], e[1], e[2], e[3], e[4]].map(f64::from);
    let number: String = taken.chars().take_while(|c| c.is_ascii_digit() || "+-.e".contains(*c)).collect();
    // A fraction of an inch is printed whole.
    let fraction = taken
        .split_whitespace()
        .take(2)
        .any(|w| w.contains('/') && w.starts_with(|c: char| c.is_ascii_digit()));
    let rounded = !exact && !fraction;
    let (low, high) = match number.parse::<f64>() {
        Ok(value) if rounded => {
            let unit = &taken[number.len()..];
            let at = |value: f64| Quantity::read(&format!("{value}{unit}")).map(|q| q.si);
            let half = half_of_last(value, unit);
            (at(value - half).ok()?, at(value + half).ok()?)
        }
        _ => (quantity.si, quantity.si),
    };
    Some(Interval { low: low.min(high), high: low.max(high), exponents })
}

/// Works an expression out.
pub(crate) struct Calculator<'t> {
    rest: &'t str,
    /// Every name that may stand in it, longest first, with what it stands for.
    names: &'t [(String, Vec<Interval>)],
}

impl<'t> Calculator<'t> {
    pub(crate) fn work_out(text: &'t str, names: &'t [(String, Vec<Interval>)]) -> Result<Interval, String> {
        let mut calculator = Self { rest: text, names };
        let value = calculator.sum()?;
        calculator.space();
        if calculator.rest.is_empty() { Ok(value) } else { Err(format!("cannot read `{}`", calculator.rest)) }
    }

    fn space(&mut self) {
        self.rest = self.rest.trim_start();
    }

    fn take(&mut self, sign: &str) -> bool {
        self.space();
        match self.rest.strip_prefix(sign) {
            Some(rest) => {
                self.rest = rest;
                true
            }
            None => false,
        }
    }

    fn sum(&mut self) -> Result<Interval, String> {
        let mut total = self.product()?;
        loop {
            let minus = if self.take("+") {
                false
            } else if self.take("−") {
                true
            } else {
                return Ok(total);
            };
            let next = self.product()?;
            total.same_unit(&next)?;
            total = if minus {
                total.with(total.low - next.high, total.high - next.low)
            } else {
                total.with(total.low + next.low, total.high + next.high)
            };
        }
    }

    fn product(&mut self) -> Result<Interval, String> {
        let mut total = self.raised()?;
        loop {
            if self.take("×") {
                total = total.times(&self.raised()?);
            } else if self.take("/") {
                total = total.times(&self.raised()?.over_one()?);
            } else {
                return Ok(total);
            }
        }
    }

    fn raised(&mut self) -> Result<Interval, String> {
        if self.take("−") {
            let inner = self.raised()?;
            return Ok(inner.with(-inner.low, -inner.high));
        }
        let base = self.atom()?;
        if self.take("²") {
            base.power(2.0)
        } else if self.take("³") {
            base.power(3.0)
        } else if self.take("^") {
            let exponent = self.plain_number().ok_or("no exponent")?;
            base.power(exponent)
        } else {
            Ok(base)
        }
    }

    fn plain_number(&mut self) -> Option<f64> {
        self.space();
        let end = self.rest.find(|c: char| !(c.is_ascii_digit() || c == '.')).unwrap_or(self.rest.len());
        let value = self.rest[..end].parse().ok()?;
        self.rest = &self.rest[end..];
        Some(value)
    }

    /// A number with its unit, where one follows.
    fn measure(&mut self) -> Option<Interval> {
        self.space();
        if !self.rest.starts_with(|c: char| c.is_ascii_digit()) {
            return None;
        }
        // `1/4 in`, `1.724e-8 m^3*kg`, `100 in³`: the longest that reads as a measure.
        let ends = self.rest.char_indices().map(|(at, _)| at).skip(1).chain([self.rest.len()]);
        let best = ends.filter(|end| Quantity::read(&self.rest[..*end]).is_ok()).filter(|end| {
            // A unit ends where a word does, and a number where its digits do.
            !self.rest[*end..].starts_with(|c: char| {
                c.is_alphabetic() || c.is_ascii_digit() || c == '.' || c == '_' || c == '*' || c == '^'
            }) || self.rest[..*end].ends_with(|c: char| c.is_ascii_digit())
                && self.rest[*end..].starts_with('^')
        });
        let end = best.max()?;
        let value = printed(&self.rest[..end], true)?;
        self.rest = &self.rest[end..];
        Some(value)
    }

    fn name(&mut self) -> Result<Option<Interval>, String> {
        self.space();
        let inside = |c: char| c.is_alphabetic() || c.is_ascii_digit() || c == '_' || c == '.';
        let found = self.names.iter().find(|(name, _)| {
            self.rest.strip_prefix(name.as_str()).is_some_and(|after| {
                !name.ends_with(inside) || !after.starts_with(|c: char| inside(c) && c != '.')
            })
        });
        let Some((name, values)) = found else { return Ok(None) };
        let [value] = values.as_slice() else {
            return Err(format!("`{name}` stands for {} lines above", values.len()));
        };
        self.rest = &self.rest[name.len()..];
        Ok(Some(*value))
    }

    fn in_brackets(&mut self) -> Result<Interval, String> {
        if !self.take("(") {
            return Err(format!("no bracket before `{}`", self.rest));
        }
        let value = self.sum()?;
        if self.take(")") { Ok(value) } else { Err(format!("no bracket closes before `{}`", self.rest)) }
    }

    fn atom(&mut self) -> Result<Interval, String> {
        if let Some(value) = self.measure() {
            return Ok(value);
        }
        if let Some(value) = self.name()? {
            return Ok(value);
        }
        if self.take("√") {
            self.space();
            let inner = if self.rest.starts_with('(') { self.in_brackets()? } else { self.atom()? };
            return inner.power(0.5);
        }
        if self.take("|") {
            let inner = self.sum()?;
            if !self.take("|") {
                return Err(format!("no bar closes before `{}`", self.rest));
            }
            let ends = (inner.low.abs(), inner.high.abs());
            let least = if inner.low <= 0.0 && inner.high >= 0.0 { 0.0 } else { ends.0.min(ends.1) };
            return Ok(inner.with(least, ends.0.max(ends.1)));
        }
        for (word, least) in [("least of", true), ("greatest of", false)] {
            if self.take(word) {
                return self.extreme(least);
            }
        }
        if self.take("π") {
            return Ok(Interval::number(std::f64::consts::PI));
        }
        self.space();
        if self.rest.starts_with('(') {
            return self.in_brackets();
        }
        let functions: [(&str, Unary); 9] = [
            ("ln(", f64::ln),
            ("log(", f64::log10),
            ("exp(", f64::exp),
            ("tanh(", f64::tanh),
            ("cosh(", f64::cosh),
            ("sin(", f64::sin),
            ("cos(", f64::cos),
            ("tan(", f64::tan),
            ("atan(", f64::atan),
        ];
        for (word, function) in functions {
            if self.take(word) {
                let inner = self.sum()?;
                inner.plain(word)?;
                if !self.take(")") {
                    return Err(format!("no bracket closes before `{}`", self.rest));
                }
                return Ok(inner.with(function(inner.low), function(inner.high)));
            }
        }
        if self.take("g") {
            return printed("9.80665 m/s²", true).ok_or_else(|| "no gravity".to_owned());
        }
        Err(format!("cannot read `{}`", self.rest))
    }

    fn extreme(&mut self, least: bool) -> Result<Interval, String> {
        if !self.take("(") {
            return Err(format!("no list before `{}`", self.rest));
        }
        let mut found = self.sum()?;
        while self.take(",") {
            let next = self.sum()?;
            found.same_unit(&next)?;
            found = if least {
                found.with(found.low.min(next.low), found.high.min(next.high))
            } else {
                found.with(found.low.max(next.low), found.high.max(next.high))
            };
        }
        if self.take(")") { Ok(found) } else { Err(format!("no bracket closes before `{}`", self.rest)) }
    }
}
