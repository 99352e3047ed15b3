//! Sheets of templates as a browser prints them, measured.

use std::f64::consts::PI;
use std::path::Path;

use roxmltree::{Document, Node};

use super::browser::{browser, run};
use super::printed;
use super::skips::skipped;
use super::templates::{PAPER, drawn, files, named, number, with_model};

/// A grey picture of a printed page.
struct Picture {
    wide: usize,
    pixels: Vec<u8>,
}

/// Pixels a millimetre of the pictures: 254 an inch.
const FINE: f64 = 10.0;

impl Picture {
    /// A page of a PDF, printed at 254 dots an inch.
    fn of(pdf: &Path, page: usize) -> Self {
        let to = pdf.with_extension(format!("page{page}"));
        let number = page.to_string();
        let arguments = ["-r", "254", "-gray", "-singlefile", "-f", &number, "-l", &number];
        let output =
            std::process::Command::new("pdftoppm").args(arguments).arg(pdf).arg(&to).output().unwrap();
        assert!(output.status.success(), "{output:?}");
        let bytes = std::fs::read(to.with_extension(format!("page{page}.pgm"))).unwrap();
        let mut fields = Vec::new();
        let mut at = 0;
        while fields.len() < 4 {
            let end = at + bytes[at..].iter().position(u8::is_ascii_whitespace).unwrap();
            fields.push(String::from_utf8(bytes[at..end].to_vec()).unwrap());
            at = end + 1;
        }
        assert_eq!((fields[0].as_str(), fields[3].as_str()), ("P5", "255"));
        Self { wide: fields[1].parse().unwrap(), pixels: bytes[at..].to_vec() }
    }

    /// How dark the pixel is in which a place lies.
    fn darkness(&self, x: f64, y: f64) -> f64 {
        let pixel = |mm: f64| (mm * FINE).floor() as usize;
        f64::from(255 - self.pixels[pixel(y) * self.wide + pixel(x)])
    }

    /// The middle of the stroke that crosses a level line near a place, mm.
    fn upright_stroke(&self, x: f64, y: f64) -> f64 {
        Self::middle(x, |x| self.darkness(x, y))
    }

    /// The middle of the stroke that crosses an upright line near a place, mm.
    fn level_stroke(&self, x: f64, y: f64) -> f64 {
        Self::middle(y, |y| self.darkness(x, y))
    }

    fn middle(near: f64, darkness: impl Fn(f64) -> f64) -> f64 {
        // The middles of the pixels around.
        let first = (near * FINE).floor() + 0.5;
        let places = (-8..=8_i32).map(|step| (first + f64::from(step)) / FINE);
        let weighed: Vec<(f64, f64)> = places.map(|place| (place, darkness(place))).collect();
        let all: f64 = weighed.iter().map(|(_, dark)| dark).sum();
        assert!(all > 100.0, "no stroke near {near} mm");
        weighed.iter().map(|(place, dark)| place * dark).sum::<f64>() / all
    }
}

#[test]
fn the_print_is_at_true_size() {
    let Some(browser) = browser() else { return };
    if std::process::Command::new("pdftoppm").arg("-v").output().is_err() {
        return skipped("pdftoppm (poppler-utils) is not installed, so no printed sheet was measured");
    }
    let folder = tempfile::TempDir::new().unwrap();
    for (design, paper, points) in [
        ("examples/marsh-harrier.rocket.yaml", "a4", [594.96, 841.92]),
        ("examples/sand-martin.rocket.yaml", "letter", [612.0, 792.0]),
    ] {
        let out = folder.path().join(paper);
        drawn(design, &out, &["--paper", paper]);
        let pages = files(&out, "templates.html");
        let html = out.join(&pages[0].0);
        let pdf = folder.path().join(format!("{paper}.pdf"));
        let to = format!("--print-to-pdf={}", pdf.display());
        run(browser, folder.path(), &["--no-pdf-header-footer", &to, &format!("file://{}", html.display())]);
        let bytes = std::fs::read(&pdf).unwrap();
        let plain = String::from_utf8_lossy(&bytes);
        let boxes: Vec<&str> =
            plain.split("/MediaBox [").skip(1).filter_map(|t| t.split(']').next()).collect();
        let sheets = files(&out, ".sheet-");
        assert_eq!(boxes.len(), sheets.len(), "a page for each sheet");
        for one in boxes {
            let sides: Vec<f64> = one.split_whitespace().map(|n| n.parse().unwrap()).collect();
            assert!(
                (sides[2] - points[0]).abs() < 1.5 && (sides[3] - points[1]).abs() < 1.5,
                "{paper}: {one}"
            );
        }
        let (mut measured, mut pictures) = (0, 0);
        for (place, (name, text)) in sheets.iter().enumerate() {
            if pictures == 3 {
                break;
            }
            let sheet = Document::parse(text).unwrap();
            // Sheets that are read with the long side level are turned on the paper.
            if sheet.descendants().any(|node| node.has_tag_name("g") && node.has_attribute("transform")) {
                continue;
            }
            let picture = Picture::of(&pdf, place + 1);
            pictures += 1;
            let strokes = |kind: &str, of: &str| {
                let all = sheet.descendants().filter(|node| {
                    node.attribute("data-mark") == Some(kind) && node.attribute("data-for") == Some(of)
                });
                all.collect::<Vec<Node<'_, '_>>>()
            };
            let along: Vec<f64> = strokes("scale-mm", "along")
                .iter()
                .map(|node| picture.upright_stroke(number(*node, "x1"), number(*node, "y1") + 1.2))
                .collect();
            let upright: Vec<f64> = strokes("scale-mm", "upright")
                .iter()
                .map(|node| picture.level_stroke(number(*node, "x1") - 1.2, number(*node, "y1")))
                .collect();
            for scale in [along, upright] {
                assert_eq!(scale.len(), 21);
                let long = (scale[20] - scale[0]).abs();
                assert!((long - 100.0).abs() < 0.1, "{name}: the scale is {long} mm long");
                assert!(((scale[10] - scale[0]).abs() - 50.0).abs() < 0.1, "{name}");
            }
            // Holes against the strokes that count angles, as a rule would measure them on the paper.
            for tile in sheet.descendants().filter(|node| node.has_attribute("data-figure")) {
                let clip =
                    tile.attribute("clip-path").unwrap().trim_start_matches("url(#").trim_end_matches(')');
                let window = sheet.descendants().find(|node| node.attribute("id") == Some(clip)).unwrap();
                let window = window.first_element_child().unwrap();
                let (left, right) = (number(window, "x"), number(window, "x") + number(window, "width"));
                // Clear of the edges, and of the line along which parts are joined.
                let inside = |x: f64| x > left + 8.0 && x < right - 8.0;
                let marks: Vec<Node<'_, '_>> =
                    tile.descendants().filter(|node| node.has_attribute("data-mark")).collect();
                let angle = marks.iter().find(|node| {
                    node.attribute("data-mark") == Some("angle") && inside(number(**node, "x1"))
                });
                let Some(angle) = angle else { continue };
                let stroke = picture.upright_stroke(
                    number(*angle, "x1"),
                    f64::midpoint(number(*angle, "y1"), number(*angle, "y2")),
                );
                let count: f64 = number(*angle, "data-number");
                for hole in marks.iter().filter(|node| {
                    node.attribute("data-mark") == Some("hole") && inside(number(**node, "cx"))
                }) {
                    let (x, y, r) = (number(*hole, "cx"), number(*hole, "cy"), number(*hole, "r"));
                    let found = picture.upright_stroke(x, y - r - 1.8);
                    let wall = hole.attribute("data-for").unwrap();
                    let (wall, owner) = wall.split_once('#').unwrap();
                    let which: usize = hole.attribute("data-number").unwrap().parse().unwrap();
                    let (clock, once) = with_model(design, |model| {
                        let line = model.drilled().unwrap().into_iter().find(|line| {
                            model.design().store.path(line.part) == wall
                                && model.design().store.path(line.owner) == owner
                        });
                        let line = line.unwrap();
                        let once = PI * (named(model, line.part, "outer_diameter").unwrap() + PAPER);
                        (line.clock.unwrap()[which].si().to_degrees(), once)
                    });
                    let off = ((found - stroke) - (clock - count) / 360.0 * once).rem_euclid(once);
                    assert!(
                        off.min(once - off) < 0.1,
                        "{name}: {owner} {which} is {} mm off",
                        off.min(once - off)
                    );
                    measured += 1;
                }
            }
        }
        assert!(measured >= 1, "{paper}: {measured} holes measured");
    }
}

/// Papers are carried to the field: those of a usual rocket take eight sheets, at the size of writing that they ask for.
#[test]
fn papers_of_a_usual_rocket_take_at_most_eight_pages() {
    let Some(browser) = browser() else { return };
    if std::process::Command::new("pdftotext").arg("-v").output().is_err() {
        return skipped("pdftotext (poppler-utils) is not installed, so no printed papers were measured");
    }
    let folder = tempfile::TempDir::new().unwrap();
    for design in ["marsh-harrier", "sand-martin", "jack-snipe"] {
        let path = format!("examples/{design}.rocket.yaml");
        let (text, code) = printed(&["packet", "--today", "2026-06-01", &path]);
        assert_eq!(code, 0);
        for paper in ["A4", "Letter"] {
            let sized =
                text.replace("@page papers { margin", &format!("@page papers {{ size: {paper}; margin"));
            assert_ne!(sized, text);
            let html = folder.path().join(format!("{design}-{paper}.html"));
            std::fs::write(&html, sized).unwrap();
            let pdf = html.with_extension("pdf");
            let to = format!("--print-to-pdf={}", pdf.display());
            run(
                browser,
                folder.path(),
                &["--no-pdf-header-footer", &to, &format!("file://{}", html.display())],
            );
            let bytes = std::fs::read(&pdf).unwrap();
            let pages = String::from_utf8_lossy(&bytes).matches("/MediaBox [").count();
            assert!((3..=8).contains(&pages), "{design} on {paper}: {pages} pages");
            // A browser shrinks a page that is too wide, and everything on it.
            let output =
                std::process::Command::new("pdftotext").arg("-bbox").arg(&pdf).arg("-").output().unwrap();
            let words = String::from_utf8(output.stdout).unwrap();
            let line = words.lines().find(|line| line.contains(">Verdict<")).unwrap();
            let at = |name: &str| -> f64 {
                line.split(&format!("{name}=\"")).nth(1).unwrap().split('"').next().unwrap().parse().unwrap()
            };
            let high = at("yMax") - at("yMin");
            assert!(high > 8.8, "{design} on {paper}: letters are {high} pt high");
        }
    }
}
