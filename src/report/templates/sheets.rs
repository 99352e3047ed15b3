//! Sheets of paper: figures laid out at true size, split where a sheet is too small, with a scale to check the print by.

use maud::{Markup, html};

use super::figure::{Figure, Form, Layer, Look, Point, Window, document, groups, n};
use crate::report::caution::caution;

crate::words! {
    /// The paper of a printer.
    #[derive(Default)]
    pub enum Paper {
        /// 210 mm by 297 mm.
        #[default]
        A4 = "a4",
        /// 8 1/2 in by 11 in.
        Letter = "letter",
    }
}

impl Paper {
    /// Width and height, mm.
    #[must_use]
    pub const fn size(self) -> (f64, f64) {
        match self {
            Self::A4 => (210.0, 297.0),
            Self::Letter => (215.9, 279.4),
        }
    }
}

/// What a printer leaves white on each side, mm.
const MARGIN: f64 = 10.0;
/// Where the figures begin: right of the upright scale, below the head, mm.
const LEFT: f64 = 20.0;
const TOP: f64 = 34.0;
/// What the scale and the words below the figures take, mm.
const FOOT: f64 = 34.0;
/// What two parts of a figure share, mm.
const OVERLAP: f64 = 12.0;
/// Between two figures on a sheet, mm.
const BETWEEN: f64 = 5.0;
/// The least width of the words above a figure, mm.
const LEAST: f64 = 78.0;
const LETTERS: f64 = 2.4;
const LINE: f64 = 3.3;

/// A part of a figure on a sheet.
struct Tile<'f> {
    figure: &'f Figure,
    /// What the parts of the figure are counted by, and where this one stands among them.
    part: Option<(usize, usize)>,
    window: Window,
    /// Where joins with other parts cross the figure: upright ones and level ones, mm.
    joins: (&'f [f64], &'f [f64]),
    caption: Vec<String>,
    /// Width and height with the words above, mm.
    size: Point,
}

/// How a sheet is held to be read.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Way {
    Upright,
    /// With the long side level.
    Level,
}

impl Way {
    fn size(self, paper: Paper) -> Point {
        let (wide, tall) = paper.size();
        match self {
            Self::Upright => (wide, tall),
            Self::Level => (tall, wide),
        }
    }

    /// What figures have of a sheet.
    fn room(self, paper: Paper) -> Point {
        let (wide, tall) = self.size(paper);
        (wide - MARGIN - LEFT, tall - TOP - FOOT)
    }
}

/// The way of a sheet in which a figure has the fewest parts.
fn best_way(figure: &Figure, paper: Paper) -> (Way, Split<'_>) {
    let [upright, level] = [Way::Upright, Way::Level].map(|way| (way, split(figure, way.room(paper))));
    let parts = |split: &Split<'_>| split.columns.len() * split.rows.len();
    if parts(&level.1) < parts(&upright.1) { level } else { upright }
}

/// A sheet that is being filled, shelf by shelf.
struct Page<'f> {
    way: Way,
    tiles: Vec<(Point, Tile<'f>)>,
    /// Where each shelf begins, how high it is, and how far it is filled, mm.
    shelves: Vec<(f64, f64, f64)>,
}

impl Page<'_> {
    /// Takes a place for something of a size, where there is one.
    fn place(&mut self, size: Point, room: Point) -> Option<Point> {
        for (top, high, filled) in &mut self.shelves {
            if *filled + size.0 <= room.0 + 1e-6 && size.1 <= *high + 1e-6 {
                let at = (*filled, *top);
                *filled += size.0 + BETWEEN;
                return Some(at);
            }
        }
        let top = self.shelves.last().map_or(0.0, |(top, high, _)| top + high + BETWEEN);
        if !self.shelves.is_empty() && top + size.1 > room.1 + 1e-6 {
            return None;
        }
        self.shelves.push((top, size.1, size.0 + BETWEEN));
        Some((0.0, top))
    }
}

/// A figure with the places where it is split.
struct Split<'f> {
    figure: &'f Figure,
    columns: Vec<(f64, f64)>,
    rows: Vec<(f64, f64)>,
    upright: Vec<f64>,
    level: Vec<f64>,
}

/// A length in stretches of at most so much, each sharing a strip with the next: even ones, moved a little where a join would go
/// through a mark, or else through words.
fn stretches(long: f64, most: f64, whole: &[Vec<(f64, f64)>; 2]) -> Vec<(f64, f64)> {
    if long <= most {
        return vec![(0.0, long)];
    }
    #[allow(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a figure is a few metres at most"
    )]
    let count = ((long - OVERLAP) / (most - OVERLAP)).ceil() as u32;
    let each = (long + f64::from(count - 1) * OVERLAP) / f64::from(count);
    let mut found = Vec::new();
    let mut from = 0.0;
    for left in (1..count).rev() {
        // Where the next stretch may begin: as far as this one reaches, and so that the others reach the end.
        let latest = from + most - OVERLAP;
        let earliest = long - f64::from(left) * most + f64::from(left - 1) * OVERLAP;
        let even = f64::from(count - left) * (each - OVERLAP);
        let cost = |start: f64| {
            let met =
                |all: &[(f64, f64)]| all.iter().filter(|(a, b)| *a < start + OVERLAP && *b > start).count();
            let [marks, words] = whole;
            (met(marks), met(words))
        };
        let tried = (0..=60_i32).flat_map(|step| [step, -step]).map(|step| even + f64::from(step));
        let allowed = tried.filter(|start| *start <= latest + 1e-9 && *start >= earliest - 1e-9);
        let next = allowed.min_by_key(|start| cost(*start)).unwrap_or(even);
        found.push((from, next + OVERLAP));
        from = next;
    }
    found.push((from, long));
    found
}

fn joins(stretches: &[(f64, f64)]) -> Vec<f64> {
    stretches.iter().skip(1).map(|(from, _)| from + OVERLAP / 2.0).collect()
}

fn caption(figure: &Figure, part: Option<(usize, usize)>, width: f64) -> Vec<String> {
    let title = match part {
        None => figure.title.clone(),
        Some((place, many)) => format!("{}, part {place} of {many}", figure.title),
    };
    // What is cut has its words inside the figure.
    let about: &[String] = if figure.is_cut { &[] } else { &figure.about };
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a sheet is narrow")]
    let letters = (width / (LETTERS * 0.54)) as usize;
    let mut lines: Vec<String> =
        textwrap::wrap(&title, letters * 9 / 10).into_iter().map(Into::into).collect();
    // Of a figure in parts the first one says it.
    if part.is_none_or(|(place, _)| place == 1) {
        for words in about {
            lines.extend(textwrap::wrap(words, letters).into_iter().map(String::from));
        }
    }
    lines
}

#[allow(clippy::cast_precision_loss, reason = "a few lines of words")]
fn high(caption: &[String]) -> f64 {
    caption.len() as f64 * LINE + 2.0
}

/// What every sheet says.
pub(super) struct Head<'h> {
    pub(super) paper: Paper,
    pub(super) rocket: &'h str,
    pub(super) belongs: &'h str,
    pub(super) verdict: &'h str,
    pub(super) bound: &'h str,
}

/// The sheets of some figures, each a document of SVG.
pub(super) fn sheets(figures: &[Figure], head: &Head<'_>) -> Vec<Markup> {
    let splits: Vec<(Way, Split<'_>)> = figures.iter().map(|figure| best_way(figure, head.paper)).collect();
    let tiles = splits.iter().flat_map(|(way, split)| {
        let all = tiles(split, way.room(head.paper).0);
        all.into_iter().map(move |tile| (*way, tile))
    });
    let mut pages: Vec<Page<'_>> = Vec::new();
    for (way, tile) in tiles {
        let room = way.room(head.paper);
        // The first sheet that has room: what follows a large figure may fit beside an earlier one.
        let mut of_this_way = pages.iter_mut().filter(|page| page.way == way);
        match of_this_way.find_map(|page| page.place(tile.size, room).map(|at| (page, at))) {
            Some((page, at)) => page.tiles.push((at, tile)),
            None => {
                let mut page = Page { way, tiles: Vec::new(), shelves: Vec::new() };
                let at = page.place(tile.size, room).unwrap_or_default();
                page.tiles.push((at, tile));
                pages.push(page);
            }
        }
    }
    let many = pages.len();
    pages.iter().enumerate().map(|(place, page)| sheet(page, (place + 1, many), head)).collect()
}

fn split(figure: &Figure, room: Point) -> Split<'_> {
    let axis = |of: fn(&Point) -> f64| {
        [0, 1].map(|sort| {
            let boxes: &[(Point, Point)] = figure.whole.get(sort).map_or(&[], Vec::as_slice);
            boxes.iter().map(|(from, to)| (of(from), of(to))).collect()
        })
    };
    let columns = stretches(figure.size.0, room.0, &axis(|point| point.0));
    let words = high(&caption(figure, Some((1, 2)), room.0));
    let rows = stretches(figure.size.1, room.1 - words, &axis(|point| point.1));
    Split { figure, upright: joins(&columns), level: joins(&rows), columns, rows }
}

fn tiles<'f>(split: &'f Split<'f>, most: f64) -> Vec<Tile<'f>> {
    let many = split.columns.len() * split.rows.len();
    let mut found = Vec::new();
    for (top, bottom) in &split.rows {
        for (left, right) in &split.columns {
            let window = Window { from: (*left, *top), to: (*right, *bottom) };
            let part = (many > 1).then_some((found.len() + 1, many));
            let width = (right - left).max(LEAST).min(most);
            let caption = caption(split.figure, part, width);
            let size = (width.max(right - left), bottom - top + high(&caption));
            let joins = (split.upright.as_slice(), split.level.as_slice());
            found.push(Tile { figure: split.figure, part, window, joins, caption, size });
        }
    }
    found
}

fn sheet(page: &Page<'_>, (place, many): (usize, usize), head: &Head<'_>) -> Markup {
    let size = page.way.size(head.paper);
    let title = format!("{}: templates at true size, sheet {place} of {many}", head.rocket);
    let about = format!(
        "Printed at 100 % one unit is one millimetre. {} {}",
        head.belongs,
        caution().replace('\n', " ").trim_end()
    );
    let mut frame = Layer::new("frame", "What the sheet is, and a scale to check the print by");
    frame.text((MARGIN, MARGIN + 5.0), 4.2, "start", title.clone());
    frame.text((MARGIN, MARGIN + 10.0), LETTERS, "start", head.belongs);
    frame.text((MARGIN, MARGIN + 13.6), LETTERS, "start", head.verdict);
    frame.text(
        (MARGIN, MARGIN + 17.2),
        LETTERS,
        "start",
        "Clock angles are read from aft, clockwise from the first fin. Strips: fore is up, the printed side outside, angles grow to the right.",
    );
    frame.text(
        (MARGIN, MARGIN + 20.8),
        LETTERS,
        "start",
        "Discs are seen from aft. Parts of a figure: cut one along the dashed line, lay it on that line of the other; circles and letters meet.",
    );
    scales(&mut frame, size);
    let foot = size.1 - FOOT;
    let beside = LEFT + 110.0;
    let heading = [
        "Print at 100 %, never fitted to the page. Lay a steel",
        "rule on both scales: where 100 mm are not 100 mm,",
        "this sheet is of no use. Let a second person read",
        "each mark before the drill turns.",
    ];
    for (line, words) in (0_u32..).zip(heading) {
        frame.text((beside, foot + 4.0 + f64::from(line) * LINE), LETTERS, "start", words);
    }
    for (line, words) in (0_u32..).zip(caution().lines()) {
        frame.text((MARGIN, foot + 18.2 + f64::from(line) * LINE), LETTERS, "start", words);
    }
    let prefix = format!("s{place}-");
    let paper = head.paper.size();
    // The paper is always upright, as a printer takes it; what is read with the long side level is turned on it.
    let turned = (page.way == Way::Level).then(|| format!("translate({} 0) rotate(90)", n(paper.0)));
    let inside = html! {
        rect x="0" y="0" width=(n(paper.0)) height=(n(paper.1)) fill="#fff" {}
        g id={ (prefix) "all" } transform=[turned] {
            (groups(&[frame], &prefix, (0.0, 0.0), None))
            @for (number, (at, tile)) in page.tiles.iter().enumerate() {
                (drawn(tile, *at, &format!("{prefix}{}-", number + 1)))
            }
        }
    };
    document(paper, &title, &about, head.bound, inside)
}

fn drawn(tile: &Tile<'_>, at: Point, prefix: &str) -> Markup {
    let at = (LEFT + at.0, TOP + at.1);
    let mut words = Layer::new("caption", "What the figure is");
    for (line, text) in (1_u32..).zip(&tile.caption) {
        let letters = if line == 1 { LETTERS * 1.1 } else { LETTERS };
        words.text((at.0, at.1 + f64::from(line) * LINE - 0.8), letters, "start", text.clone());
    }
    let top = at.1 + high(&tile.caption);
    let (from, to) = (tile.window.from, tile.window.to);
    let shift = (at.0 - from.0, top - from.1);
    let clip = format!("{prefix}clip");
    let is_whole = tile.part.is_none();
    // Words at the edge of a whole figure may stand a little over it.
    let over = if is_whole { 3.0 } else { 0.0 };
    html! {
        (groups(&[words], prefix, (0.0, 0.0), None))
        defs { clipPath id=(clip) {
            rect x=(n(at.0 - over)) y=(n(top - over)) width=(n(to.0 - from.0 + 2.0 * over)) height=(n(to.1 - from.1 + 2.0 * over)) {}
        } }
        g id={ (prefix) "figure" } data-figure=(tile.figure.slug) clip-path={ "url(#" (clip) ")" } {
            (groups(&tile.figure.layers, prefix, shift, Some(tile.window)))
            (groups(&[join_marks(tile)], prefix, shift, Some(tile.window)))
        }
    }
}

/// The lines along which parts of a figure are laid together, with circles and letters that meet.
fn join_marks(tile: &Tile<'_>) -> Layer {
    let mut layer = Layer::new("joins", "Where parts of a figure meet");
    let (from, to) = (tile.window.from, tile.window.to);
    let letter = |place: usize, first: u8| {
        let place = u8::try_from(place % 26).unwrap_or(0);
        char::from(first + place).to_string()
    };
    for (place, x) in tile.joins.0.iter().enumerate().filter(|(_, x)| **x > from.0 && **x < to.0) {
        layer.line(Look::Dashed, (*x, from.1), (*x, to.1));
        for share in [0.2, 0.5, 0.8] {
            let y = from.1 + share * (to.1 - from.1);
            layer.put(Look::Fine, Form::Circle((*x, y), 2.0), None);
            layer.line(Look::Fine, (x - 2.0, y), (x + 2.0, y));
            layer.text((x + 2.6, y - 0.6), LETTERS, "start", letter(place, b'A'));
        }
    }
    for (place, y) in tile.joins.1.iter().enumerate().filter(|(_, y)| **y > from.1 && **y < to.1) {
        layer.line(Look::Dashed, (from.0, *y), (to.0, *y));
        for share in [0.2, 0.5, 0.8] {
            let x = from.0 + share * (to.0 - from.0);
            layer.put(Look::Fine, Form::Circle((x, *y), 2.0), None);
            layer.line(Look::Fine, (x, y - 2.0), (x, y + 2.0));
            layer.text((x + 2.6, y - 0.6), LETTERS, "start", letter(place, b'a'));
        }
    }
    layer
}

/// A scale along the foot and one along the side: 100 mm, and 4 in on the other side of the line.
fn scales(frame: &mut Layer, size: Point) {
    let base = size.1 - FOOT + 8.0;
    let along = |frame: &mut Layer, at: f64, by: f64, kind: &'static str, number: usize| {
        let tag = super::figure::Tag { kind, path: "along".to_owned(), number };
        frame.put(Look::Full, Form::Line((LEFT + at, base), (LEFT + at, base + by)), Some(tag));
    };
    frame.line(Look::Full, (LEFT, base), (LEFT + 101.6, base));
    for step in 0..=20_usize {
        #[allow(clippy::cast_precision_loss, reason = "twenty steps")]
        let at = step as f64 * 5.0;
        along(frame, at, if step % 2 == 0 { 3.0 } else { 1.8 }, "scale-mm", step * 5);
    }
    for step in 0..=8_usize {
        #[allow(clippy::cast_precision_loss, reason = "eight steps")]
        let at = step as f64 * 12.7;
        along(frame, at, if step % 2 == 0 { -3.0 } else { -1.8 }, "scale-in", step);
    }
    for (at, words) in [(0.0, "0"), (50.0, "50"), (100.0, "100 mm")] {
        frame.text((LEFT + at, base + 5.6), LETTERS, "middle", words);
    }
    for (at, words) in [(25.4, "1"), (50.8, "2"), (76.2, "3"), (101.6, "4 in")] {
        frame.text((LEFT + at, base - 3.6), LETTERS, "middle", words);
    }
    let (x, foot) = (MARGIN + 4.0, size.1 - FOOT - 2.0);
    frame.line(Look::Full, (x, foot), (x, foot - 100.0));
    for step in 0..=20_usize {
        #[allow(clippy::cast_precision_loss, reason = "twenty steps")]
        let y = foot - step as f64 * 5.0;
        let tag = super::figure::Tag { kind: "scale-mm", path: "upright".to_owned(), number: step * 5 };
        let long = if step % 2 == 0 { 3.0 } else { 1.8 };
        frame.put(Look::Full, Form::Line((x, y), (x - long, y)), Some(tag));
    }
    for (at, words) in [(0.0, "0"), (50.0, "50"), (100.0, "100 mm")] {
        frame.upward_text((x + 2.6, foot - at), LETTERS, "middle", words);
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::indexing_slicing, reason = "a test may panic")]

    use super::*;

    #[test]
    fn stretches_cover_all_and_share_a_strip() {
        let none = [Vec::new(), Vec::new()];
        assert_eq!(stretches(100.0, 178.0, &none), [(0.0, 100.0)]);
        // A mark where an even join would be: the join goes beside it.
        let marks = [vec![(158.0, 166.0)], Vec::new()];
        let beside = stretches(320.0, 178.0, &marks);
        let join = joins(&beside)[0];
        assert!((join - 162.0).abs() >= 4.0 + OVERLAP / 2.0 - 1e-9, "{beside:?}");
        let all = stretches(600.0, 178.0, &none);
        assert!(all.iter().all(|(from, to)| to - from <= 178.0 + 1e-9), "{all:?}");
        for (one, next) in all.iter().zip(all.iter().skip(1)) {
            assert!((one.1 - next.0 - OVERLAP).abs() < 1e-9, "{all:?}");
        }
        assert!((all.last().map_or(0.0, |last| last.1) - 600.0).abs() < 1e-9, "{all:?}");
        assert_eq!(joins(&all).len(), all.len() - 1);
    }
}
