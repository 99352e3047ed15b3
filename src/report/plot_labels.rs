//! Where the words of a plot stand: beside their marks, off the curves and off one another.

/// A point of the drawing.
type Point = (f64, f64);

/// A word's box: left, top, right, bottom.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Area {
    pub(super) left: f64,
    pub(super) top: f64,
    pub(super) right: f64,
    pub(super) bottom: f64,
}

impl Area {
    fn meets(&self, other: &Self) -> bool {
        self.left < other.right
            && other.left < self.right
            && self.top < other.bottom
            && other.top < self.bottom
    }

    fn holds(&self, other: &Self) -> bool {
        self.left <= other.left
            && self.top <= other.top
            && self.right >= other.right
            && self.bottom >= other.bottom
    }

    /// How much of a stretch of a curve lies within: its length, by points along it.
    fn crossed(&self, from: Point, to: Point) -> f64 {
        let length = libm::hypot(to.0 - from.0, to.1 - from.1);
        let steps = (length / 2.0).ceil().clamp(1.0, 400.0);
        let mut inside = 0.0;
        let mut at = 0.5;
        while at < steps {
            let part = at / steps;
            let point = (from.0 + part * (to.0 - from.0), from.1 + part * (to.1 - from.1));
            if point.0 > self.left && point.0 < self.right && point.1 > self.top && point.1 < self.bottom {
                inside += length / steps;
            }
            at += 1.0;
        }
        inside
    }
}

/// The width of a letter and the height of a line, as they are printed on a plot, a little more than most are.
const LETTER: f64 = 6.4;
const LINE: f64 = 13.0;

/// A word that is placed: where its baseline begins, and whether a line leads to it from its mark.
#[derive(Clone, Copy, Debug)]
pub(super) struct Placed {
    /// Its box.
    pub(super) area: Area,
    /// True where it stands so far away that a line must lead to it.
    pub(super) far: bool,
}

impl Placed {
    /// Where the baseline begins.
    pub(super) fn baseline(&self) -> Point {
        (self.area.left + 1.0, self.area.bottom - 3.0)
    }

    /// The point of the box nearest to the mark.
    pub(super) fn nearest(&self, mark: Point) -> Point {
        (mark.0.clamp(self.area.left, self.area.right), mark.1.clamp(self.area.top, self.area.bottom))
    }
}

/// Places words beside their marks, in order.
///
/// `frame` is what they may not leave, `curves` and `taken` what they should not lie on. Where every place lies on something, the
/// one that lies on least is taken: a word is never left out.
pub(super) fn placed(
    words: &[(Point, usize)],
    frame: &Area,
    curves: &[Vec<Point>],
    taken: &[Area],
) -> Vec<Placed> {
    let dots =
        words.iter().map(|((x, y), _)| Area { left: x - 4.0, top: y - 4.0, right: x + 4.0, bottom: y + 4.0 });
    let mut taken: Vec<Area> = taken.iter().copied().chain(dots).collect();
    let mut all = Vec::new();
    for (mark, letters) in words {
        #[allow(clippy::cast_precision_loss, reason = "a few letters")]
        let wide = *letters as f64 * LETTER + 2.0;
        let mut best: Option<(f64, Placed)> = None;
        for (ring, away) in [6.0, 18.0, 32.0, 48.0, 66.0].into_iter().enumerate() {
            for (across, down) in [
                (1.0, 1.0),
                (1.0, -1.0),
                (-1.0, 1.0),
                (-1.0, -1.0),
                (1.0, 0.0),
                (-1.0, 0.0),
                (0.0, 1.0),
                (0.0, -1.0),
            ] {
                let left = mark.0 + across * away + 0.5 * (across - 1.0) * wide;
                let top = mark.1 + down * (away - 2.0) + 0.5 * (down - 1.0) * LINE;
                let area = Area { left, top, right: left + wide, bottom: top + LINE };
                if !frame.holds(&area) {
                    continue;
                }
                let others = taken.iter().filter(|other| other.meets(&area)).count();
                let lines: f64 = curves
                    .iter()
                    .flat_map(|curve| curve.windows(2))
                    .map(|two| match two {
                        [from, to] => area.crossed(*from, *to),
                        _ => 0.0,
                    })
                    .sum();
                #[allow(clippy::cast_precision_loss, reason = "a few boxes")]
                let cost = others as f64 * 60.0 + lines * 4.0 + ring as f64;
                if best.as_ref().is_none_or(|(least, _)| cost < *least) {
                    best = Some((cost, Placed { area, far: ring > 0 }));
                }
            }
        }
        let otherwise = Area { left: mark.0, top: mark.1, right: mark.0 + wide, bottom: mark.1 + LINE };
        let one = best.map_or(Placed { area: otherwise, far: false }, |(_, one)| one);
        taken.push(one.area);
        all.push(one);
    }
    all
}

#[cfg(test)]
mod tests {
    use super::*;

    const FRAME: Area = Area { left: 50.0, top: 10.0, right: 470.0, bottom: 210.0 };

    fn lies_on(area: &Area, curve: &[Point]) -> bool {
        curve.iter().zip(curve.iter().skip(1)).any(|(from, to)| area.crossed(*from, *to) > 0.0)
    }

    #[test]
    fn words_stand_off_curves_and_off_one_another() {
        // A steep rise with three marks near its foot, and a long way down.
        let curve = vec![(54.0, 205.0), (60.0, 180.0), (90.0, 30.0), (470.0, 205.0)];
        let words = [((54.0, 205.0), 3), ((60.0, 180.0), 14), ((90.0, 30.0), 16), ((470.0, 205.0), 7)];
        let all = placed(&words, &FRAME, std::slice::from_ref(&curve), &[]);
        for (place, one) in all.iter().enumerate() {
            assert!(FRAME.holds(&one.area), "{one:?}");
            assert!(!lies_on(&one.area, &curve), "{one:?}");
            assert!(all.iter().skip(place + 1).all(|other| !other.area.meets(&one.area)), "{all:?}");
        }
    }

    #[test]
    fn a_word_that_finds_no_free_place_is_not_left_out() {
        let full = [FRAME];
        assert_eq!(placed(&[((100.0, 100.0), 5)], &FRAME, &[], &full).len(), 1);
    }
}
