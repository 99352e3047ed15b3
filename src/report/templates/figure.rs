//! Shapes in millimetres, x to the right and y down, and how they become SVG of plain elements.

use maud::{Markup, html};

/// A point, mm.
pub(super) type Point = (f64, f64);

/// A form, mm.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Form {
    Line(Point, Point),
    Circle(Point, f64),
    Area(Vec<Point>),
    Text(Text),
}

/// Words.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Text {
    pub(super) at: Point,
    /// The height of the letters' body, mm.
    pub(super) size: f64,
    pub(super) anchor: &'static str,
    /// Whether it runs upwards.
    pub(super) upwards: bool,
    pub(super) words: String,
}

/// How a form is drawn.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Look {
    /// A line to cut or to drill by.
    Full,
    /// A line to draw on the part.
    Mark,
    /// A line that helps to lay the sheet.
    Fine,
    /// The same, dashed.
    Dashed,
}

impl Look {
    /// Width, colour and dashes.
    fn stroke(self) -> (&'static str, &'static str, Option<&'static str>) {
        match self {
            Self::Full => ("0.2", "#000", None),
            Self::Mark => ("0.2", "#00f", None),
            Self::Fine => ("0.12", "#555", None),
            Self::Dashed => ("0.15", "#555", Some("3 1.5")),
        }
    }
}

/// What a form stands for, so that a program can find it again.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Tag {
    /// The sort of mark.
    pub(super) kind: &'static str,
    /// The path of what it is for.
    pub(super) path: String,
    /// Which of several.
    pub(super) number: usize,
}

/// A form and how it is drawn.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Stroke {
    pub(super) form: Form,
    pub(super) look: Look,
    pub(super) tag: Option<Tag>,
}

/// What is cut, drawn or read in one go.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Layer {
    /// Its name, of small letters and dashes.
    pub(super) id: String,
    /// What it is, in words.
    pub(super) title: String,
    pub(super) strokes: Vec<Stroke>,
}

impl Layer {
    pub(super) fn new(id: impl Into<String>, title: impl Into<String>) -> Self {
        Self { id: id.into(), title: title.into(), strokes: Vec::new() }
    }

    pub(super) fn line(&mut self, look: Look, from: Point, to: Point) {
        self.strokes.push(Stroke { form: Form::Line(from, to), look, tag: None });
    }

    pub(super) fn put(&mut self, look: Look, form: Form, tag: Option<Tag>) {
        self.strokes.push(Stroke { form, look, tag });
    }

    pub(super) fn text(&mut self, at: Point, size: f64, anchor: &'static str, words: impl Into<String>) {
        let text = Text { at, size, anchor, upwards: false, words: words.into() };
        self.put(Look::Fine, Form::Text(text), None);
    }

    pub(super) fn upward_text(
        &mut self,
        at: Point,
        size: f64,
        anchor: &'static str,
        words: impl Into<String>,
    ) {
        let text = Text { at, size, anchor, upwards: true, words: words.into() };
        self.put(Look::Fine, Form::Text(text), None);
    }

    /// A cross at a centre, reaching so far from it.
    pub(super) fn cross(&mut self, look: Look, (x, y): Point, reach: f64) {
        self.line(look, (x - reach, y), (x + reach, y));
        self.line(look, (x, y - reach), (x, y + reach));
    }
}

/// A drawing at true size.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Figure {
    /// What a file of it is called after.
    pub(super) slug: String,
    pub(super) title: String,
    /// What has to be known to use it.
    pub(super) about: Vec<String>,
    /// Width and height, mm.
    pub(super) size: Point,
    pub(super) layers: Vec<Layer>,
    /// What is better not split between two sheets, the boxes of marks and those of words: upper left and lower right corners.
    pub(super) whole: [Vec<(Point, Point)>; 2],
    /// Whether it is cut out of a sheet of material, and so has a file of its own.
    pub(super) is_cut: bool,
}

/// A part of a plane, mm: from the upper left corner to the lower right one.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Window {
    pub(super) from: Point,
    pub(super) to: Point,
}

impl Window {
    fn meets(&self, (from, to): (Point, Point)) -> bool {
        from.0 <= self.to.0 && to.0 >= self.from.0 && from.1 <= self.to.1 && to.1 >= self.from.1
    }
}

/// A number of millimetres, to a thousandth.
pub(super) fn n(value: f64) -> String {
    let rounded = (value * 1000.0).round() / 1000.0;
    // Minus nothing is nothing.
    format!("{}", rounded + 0.0)
}

/// How wide words are, at most about, mm.
pub(super) fn wide(words: &str, size: f64) -> f64 {
    #[allow(clippy::cast_precision_loss, reason = "words are short")]
    let letters = words.chars().count() as f64;
    letters * size * 0.61
}

/// The box around a form.
fn around(form: &Form) -> (Point, Point) {
    match form {
        Form::Line(a, b) => ((a.0.min(b.0), a.1.min(b.1)), (a.0.max(b.0), a.1.max(b.1))),
        Form::Circle((x, y), r) => ((x - r, y - r), (x + r, y + r)),
        Form::Area(points) => {
            let least = points.iter().fold((f64::MAX, f64::MAX), |m, p| (m.0.min(p.0), m.1.min(p.1)));
            let most = points.iter().fold((f64::MIN, f64::MIN), |m, p| (m.0.max(p.0), m.1.max(p.1)));
            (least, most)
        }
        Form::Text(text) => {
            let long = wide(&text.words, text.size);
            let (x, y) = text.at;
            let before = match text.anchor {
                "start" => 0.0,
                "end" => long,
                _ => long / 2.0,
            };
            let (up, down) = (text.size * 0.8, text.size * 0.2);
            match text.upwards {
                true => ((x - up, y + before - long), (x + down, y + before)),
                false => ((x - before, y - up), (x - before + long, y + down)),
            }
        }
    }
}

/// How far a form is moved so that a window shows it; `None` where it lies outside. Words are never cut, for a part of a number
/// reads like another one: they are moved in, or left to the window that has their middle.
fn within(form: &Form, window: Option<Window>) -> Option<Point> {
    let Some(window) = window else { return Some((0.0, 0.0)) };
    let box_of = around(form);
    if !matches!(form, Form::Text(_)) {
        return window.meets(box_of).then_some((0.0, 0.0));
    }
    let (from, to) = box_of;
    let middle = (f64::midpoint(from.0, to.0), f64::midpoint(from.1, to.1));
    let by =
        |from: f64, to: f64, low: f64, high: f64| if from < low { low - from } else { (high - to).min(0.0) };
    window
        .meets((middle, middle))
        .then(|| (by(from.0, to.0, window.from.0, window.to.0), by(from.1, to.1, window.from.1, window.to.1)))
}

/// The layers as groups, moved, as far as they meet a window of the figure. Each group's name begins with `prefix`.
pub(super) fn groups(layers: &[Layer], prefix: &str, shift: Point, window: Option<Window>) -> Markup {
    html! {
        @for layer in layers {
            g id={ (prefix) (layer.id) } {
                title { (layer.title) }
                @for stroke in &layer.strokes {
                    @if let Some(by) = within(&stroke.form, window) { (drawn(stroke, (shift.0 + by.0, shift.1 + by.1))) }
                }
            }
        }
    }
}

fn drawn(stroke: &Stroke, shift: Point) -> Markup {
    let at = |(x, y): Point| (n(x + shift.0), n(y + shift.1));
    let (width, colour, dashes) = stroke.look.stroke();
    let tag = stroke.tag.as_ref();
    let (kind, path) = (tag.map(|tag| tag.kind), tag.map(|tag| tag.path.as_str()));
    let number = tag.map(|tag| tag.number.to_string());
    match &stroke.form {
        Form::Line(from, to) => {
            let (from, to) = (at(*from), at(*to));
            html! { line x1=(from.0) y1=(from.1) x2=(to.0) y2=(to.1) fill="none" stroke=(colour) stroke-width=(width)
            stroke-dasharray=[dashes] data-mark=[kind] data-for=[path] data-number=[number] {} }
        }
        Form::Circle(centre, radius) => {
            let centre = at(*centre);
            html! { circle cx=(centre.0) cy=(centre.1) r=(n(*radius)) fill="none" stroke=(colour) stroke-width=(width)
            stroke-dasharray=[dashes] data-mark=[kind] data-for=[path] data-number=[number] {} }
        }
        Form::Area(points) => {
            let points: Vec<String> = points
                .iter()
                .map(|point| {
                    let (x, y) = at(*point);
                    format!("{x},{y}")
                })
                .collect();
            html! { polygon points=(points.join(" ")) fill="none" stroke=(colour) stroke-width=(width)
            stroke-dasharray=[dashes] data-mark=[kind] data-for=[path] data-number=[number] {} }
        }
        Form::Text(text) => {
            let (x, y) = at(text.at);
            let turn = text.upwards.then(|| format!("rotate(-90 {x} {y})"));
            html! { text x=(x) y=(y) font-family="sans-serif" font-size=(n(text.size)) text-anchor=(text.anchor)
            fill="#000" transform=[turn] { (text.words) } }
        }
    }
}

/// A document of SVG at true size: `size` in mm, and the same as its own units.
pub(super) fn document(size: Point, title: &str, about: &str, bound: &str, inside: Markup) -> Markup {
    let (width, height) = (n(size.0), n(size.1));
    html! {
        svg xmlns="http://www.w3.org/2000/svg" width={ (width) "mm" } height={ (height) "mm" }
            viewBox={ "0 0 " (width) " " (height) } data-made=(bound) {
            title { (title) }
            desc { (about) }
            (inside)
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_plain() {
        assert_eq!((n(-0.0), n(1.0), n(2.123_49)), ("0".to_owned(), "1".to_owned(), "2.123".to_owned()));
    }

    #[test]
    fn what_lies_outside_a_window_is_left_away() {
        let mut layer = Layer::new("marks", "Marks <&>");
        layer.line(Look::Full, (0.0, 0.0), (10.0, 0.0));
        layer.put(Look::Full, Form::Circle((100.0, 100.0), 3.0), None);
        let window = Window { from: (0.0, 0.0), to: (50.0, 50.0) };
        let svg = groups(&[layer], "a-", (5.0, 5.0), Some(window)).into_string();
        assert!(
            svg.contains("x1=\"5\"") && !svg.contains("circle") && svg.contains("Marks &lt;&amp;&gt;"),
            "{svg}"
        );
    }
}
