//! An ascent kept with its steps, so that any moment of it can be watched without flying again.

use super::super::{Unworkable, above_zero, integrate};
use super::flight::{Accuracy, Ascent, Moment, Rail, Rocket, Site};
use super::motion::{self, Setting};
use super::segment::{Path, Segment};
use crate::quantity::{Length, Speed, Time};

/// An ascent with all its moments.
#[derive(Clone, Debug)]
pub struct Trajectory {
    ascent: Ascent,
    segments: Vec<Segment>,
    /// Cosine of the rail's angle from the vertical.
    cosine: f64,
}

impl Trajectory {
    /// Flies a rocket to its apogee and keeps every step.
    ///
    /// Accuracy: as [`super::fly`].
    ///
    /// # Errors
    /// As [`super::fly`].
    pub fn fly(
        rocket: &Rocket<'_>,
        rail: &Rail,
        site: &Site,
        accuracy: Accuracy,
    ) -> Result<Self, Unworkable> {
        let mut segments = Vec::with_capacity(64);
        let ascent = motion::run(rocket, rail, site, accuracy, &mut |segment| segments.push(segment))?;
        Ok(Self { ascent, segments, cosine: libm::cos(rail.angle.si()) })
    }

    /// What it came to.
    #[must_use]
    pub fn ascent(&self) -> &Ascent {
        &self.ascent
    }

    /// The moments from lift-off to apogee, both of them included, a steady time apart, of the rocket, rail and site that it
    /// was flown with.
    ///
    /// # Errors
    /// A time apart that is not above zero or below a millisecond; a rocket that cannot fly.
    pub fn moments(
        &self,
        rocket: &Rocket<'_>,
        rail: &Rail,
        site: &Site,
        apart: Time,
    ) -> Result<Vec<Moment>, Unworkable> {
        let setting = motion::setting(rocket, rail, site)?;
        let mut moments = Vec::new();
        self.each(apart, |segment, t| moments.push(moment(segment, &setting, rocket, t)))?;
        moments.push(self.ascent.apogee);
        Ok(moments)
    }

    /// Time, height above the site and climb at the same moments.
    ///
    /// # Errors
    /// A time apart that is not above zero or below a millisecond.
    pub fn climb(&self, apart: Time) -> Result<Vec<(Time, Length, Speed)>, Unworkable> {
        let mut points = Vec::new();
        self.each(apart, |segment, t| {
            let (height, climb) = segment.climb(self.cosine, t);
            points.push((Time::from_si(t), Length::from_si(height), Speed::from_si(climb)));
        })?;
        let Moment { time, height, climb, .. } = self.ascent.apogee;
        points.push((time, height, climb));
        Ok(points)
    }

    /// The moment at which something is least, from leaving the rail to apogee, both of them included, of the rocket, rail and site that it
    /// was flown with. It is looked for at both ends and in the middle of every step, and then within the steps around the least of these.
    ///
    /// # Errors
    /// A rocket that cannot fly.
    pub fn least(
        &self,
        rocket: &Rocket<'_>,
        rail: &Rail,
        site: &Site,
        of: impl Fn(&Moment) -> f64,
    ) -> Result<Moment, Unworkable> {
        let setting = motion::setting(rocket, rail, site)?;
        let exit = self.ascent.rail_exit.time.si();
        let aloft = || self.segments.iter().filter(|segment| segment.until > exit);
        let mut least = (of(&self.ascent.apogee), self.ascent.apogee);
        let mut offer = |segment: &Segment, t: f64| {
            let moment = moment(segment, &setting, rocket, t);
            let value = of(&moment);
            if value < least.0 {
                least = (value, moment);
            }
            least.1.time.si()
        };
        let mut place = self.ascent.apogee.time.si();
        for segment in aloft() {
            let from = segment.start().max(exit);
            for t in [from, f64::midpoint(from, segment.until), segment.until] {
                place = offer(segment, t);
            }
        }
        for segment in aloft() {
            let from = segment.start().max(exit);
            if (from..=segment.until).contains(&place) {
                let (t, _) =
                    integrate::peak(|t| -of(&moment(segment, &setting, rocket, t)), from, segment.until);
                offer(segment, t);
            }
        }
        Ok(least.1)
    }

    /// Every multiple of `apart` after lift-off with the step it falls into, apogee not included.
    fn each(&self, apart: Time, mut visit: impl FnMut(&Segment, f64)) -> Result<(), Unworkable> {
        let apart = above_zero("the time between moments", apart.si())?;
        if apart < 1e-3 {
            return Err(Unworkable::because("the moments must be a millisecond apart or more"));
        }
        let mut watched = 0.0;
        for segment in &self.segments {
            loop {
                let next = self.ascent.liftoff.si() + watched * apart;
                if next >= segment.until {
                    break;
                }
                visit(segment, next.max(segment.start()));
                watched += 1.0;
            }
        }
        Ok(())
    }
}

/// The rocket at a time within a step.
fn moment(segment: &Segment, setting: &Setting<'_>, rocket: &Rocket<'_>, t: f64) -> Moment {
    let line = rocket.thrust.lines().get(segment.line);
    match &segment.path {
        Path::Rail(step) => setting.moment_on_rail(line, t, &step.at(t)),
        Path::Air(step) => setting.moment_in_air(line, t, &step.at(t)),
    }
}
