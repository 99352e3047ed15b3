//! The files of templates: what is missing, what is written over, what the paper does, and hostile designs.

use std::f64::consts::PI;
use std::path::Path;

use roxmltree::Document;

use super::file;
use super::templates::{drawn, files, strips};

#[test]
fn what_is_missing_is_named_and_the_rest_is_drawn() {
    let folder = tempfile::TempDir::new().unwrap();
    let (told, code) = drawn("examples/first-draft.rocket.yaml", folder.path(), &[]);
    assert_eq!(code, 1, "{told}");
    for due in [
        "`joints.apogee_joint.shear_pins.clock`",
        "`sections.av_bay.vents.statics.clock`",
        "`sections.booster.fins.tab.depth`",
        "something holds before drilling",
    ] {
        assert!(told.contains(due), "{due} in {told}");
    }
    let sheets = files(folder.path(), ".sheet-");
    assert!(sheets.len() > 3);
    for (name, text) in &sheets {
        assert!(
            text.contains("HOLD before parts, bonding, drilling. Do not drill or cut by this sheet."),
            "{name}"
        );
        assert!(
            text.contains("Disarm before") && text.contains("read from aft, clockwise from the first fin"),
            "{name}"
        );
    }
    // A wall without its diameter is left out with the key, and the others are there.
    let text = file("examples/sand-martin.rocket.yaml")
        .replace("length: 860 mm, outer_diameter: 66.4 mm, ", "length: 860 mm, ");
    let design = folder.path().join("b.rocket.yaml");
    std::fs::write(&design, text).unwrap();
    let (told, code) = drawn(design.to_str().unwrap(), folder.path(), &[]);
    assert!(
        code == 1 && told.contains("`sections.booster.tube.outer_diameter` is not written down"),
        "{told}"
    );
    assert!(files(folder.path(), "b.cut-booster-fins").len() == 1);
    // What cannot be read is no design to draw.
    assert_eq!(drawn("no-such.rocket.yaml", folder.path(), &[]), (String::new(), 2));
    std::fs::write(&design, "holdpoint: 1\nsections: [").unwrap();
    assert_eq!(drawn(design.to_str().unwrap(), &folder.path().join("none"), &[]), (String::new(), 2));
    assert!(!folder.path().join("none").exists(), "nothing is made for it");
}

#[test]
fn only_templates_are_written_over_and_old_ones_are_told() {
    let folder = tempfile::TempDir::new().unwrap();
    let design = folder.path().join("a.rocket.yaml");
    let text = file("examples/sand-martin.rocket.yaml");
    std::fs::write(&design, &text).unwrap();
    let (design, out) = (design.to_str().unwrap(), folder.path().join("out/templates"));
    let (told, code) = drawn(design, &out, &[]);
    assert!(code == 0 && !told.contains("not drawn"), "{told}");
    let first = files(&out, "a.");
    assert_eq!(drawn(design, &out, &[]).1, 0);
    assert!(files(&out, "a.") == first, "the same bytes for the same design and day");
    // A file that somebody else wrote stays, and is told.
    std::fs::write(out.join("a.cut-booster-fins.svg"), "<svg>mine</svg>").unwrap();
    assert_eq!(drawn(design, &out, &[]).1, 2);
    assert_eq!(std::fs::read_to_string(out.join("a.cut-booster-fins.svg")).unwrap(), "<svg>mine</svg>");
    std::fs::remove_file(out.join("a.cut-booster-fins.svg")).unwrap();
    // A part that is gone leaves its old drawing behind, which is named.
    let gone = text.lines().filter(|line| !line.trim_start().starts_with("mid: {at: 142 mm"));
    std::fs::write(design, gone.collect::<Vec<_>>().join("\n")).unwrap();
    let (told, _) = drawn(design, &out, &[]);
    let (_, older) =
        told.split_once("of an earlier state of this design").unwrap_or_else(|| panic!("{told}"));
    assert!(
        older.contains("a.cut-booster-motor-mount-rings-mid.svg") && !older.contains("rings-fore"),
        "{told}"
    );
    assert!(files(&out, ".part").is_empty());
    // A file stands where the folder would be.
    assert_eq!(drawn(design, Path::new(design), &[]).1, 2);
}

#[test]
fn the_paper_counts() {
    let once = |more: &[&str]| {
        let folder = tempfile::TempDir::new().unwrap();
        drawn("examples/marsh-harrier.rocket.yaml", folder.path(), more);
        let strips = strips(folder.path(), (210.0, 297.0));
        let payload = strips.iter().find(|((wall, _), _)| wall == "sections.payload.tube");
        payload.unwrap().1.size.0
    };
    // The payload's tube was measured: 4.026 in, where its maker says 4.024.
    let measured = 4.026 * 25.4;
    assert!((once(&[]) - PI * (measured + 0.1)).abs() < 0.01);
    assert!((once(&["--paper-thickness", "0.01 in"]) - PI * (measured + 0.254)).abs() < 0.01);
    assert!((once(&["--paper-thickness", "0 mm"]) - PI * measured).abs() < 0.01);
    let folder = tempfile::TempDir::new().unwrap();
    for wrong in ["0.1", "-1 mm", "1 in", "thin", "3 g", "0.1 ± 0.01 mm"] {
        let (told, code) =
            drawn("examples/sand-martin.rocket.yaml", folder.path(), &["--paper-thickness", wrong]);
        assert_eq!((told.as_str(), code), ("", 2), "{wrong}");
    }
}

#[test]
fn hostile_names_stay_words() {
    let evil = "x\u{202e}<script>alert(1)</script>&\"..\\/etc";
    let folder = tempfile::TempDir::new().unwrap();
    let key = serde_json::Value::from("../<b>&\"'").to_string().replace("..", "");
    let text = file("examples/sand-martin.rocket.yaml")
        .replace("name: Sand Martin", &format!("name: {}", serde_json::Value::from(evil)))
        .replace("        mid: {at: 142 mm", &format!("        {key}: {{at: 142 mm"));
    let design = folder.path().join("a.rocket.yaml");
    std::fs::write(&design, text).unwrap();
    let out = folder.path().join("out");
    let (told, code) = drawn(design.to_str().unwrap(), &out, &[]);
    assert!(code < 2 && !told.contains('\u{202e}'), "{told}");
    for (name, text) in files(&out, "") {
        assert!(
            name.is_ascii()
                && !text.contains("<script>")
                && !text.contains("<b>")
                && !text.contains('\u{202e}'),
            "{name}"
        );
        if name.ends_with(".svg") {
            let document = Document::parse(&text).unwrap();
            let plain = [
                "svg", "g", "title", "desc", "line", "circle", "polygon", "text", "rect", "defs", "clipPath",
            ];
            let strange = document
                .descendants()
                .filter(|node| node.is_element() && !plain.contains(&node.tag_name().name()));
            assert_eq!(strange.count(), 0, "{name}");
        } else {
            super::sound(&text);
        }
    }
    assert!(!folder.path().join("etc").exists());
    // Sizes out of all reason are turned away, and cost nothing.
    for (old, new) in [
        ("length: 860 mm", "length: 860 km"),
        ("outer_diameter: 66.4 mm, inner", "outer_diameter: 66.4 km, inner"),
        ("count: 1, diameter: 4 mm", "count: 900000, spaced: evenly, diameter: 4 mm"),
        ("root_chord: 130 mm", "root_chord: 130 km"),
    ] {
        let text = file("examples/sand-martin.rocket.yaml");
        assert!(text.contains(old));
        std::fs::write(&design, text.replace(old, new)).unwrap();
        let (told, code) = drawn(design.to_str().unwrap(), &out, &[]);
        assert!(code == 1 && told.contains("not drawn"), "{new}: {told}");
    }
}
