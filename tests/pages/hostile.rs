//! Text from a design never becomes markup, and nothing of it reaches a page raw.

use holdpoint::report::PaperForm;

use super::{page_of, printed, select, sound};

const EVIL: &str = "<script>alert(1)</script><img src=x onerror=alert(2)>\\\"'&amp;</style></title>]]>\\e[2J\\u202Eevil\\u2066\\u2028x";

fn harmless(text: &str) {
    let raw: Vec<char> = text
        .chars()
        .filter(|c| {
            (c.is_control() && *c != '\n')
                || matches!(c, '\u{200e}' | '\u{200f}' | '\u{61c}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}' | '\u{2028}' | '\u{2029}')
        })
        .collect();
    assert!(raw.is_empty(), "{raw:?}");
    for word in ["<script", "<img", "alert(1)</script>"] {
        assert!(!text.contains(word), "{word} is there raw");
    }
}

#[test]
fn in_names_notes_reasons_and_file_names() {
    let design = super::file("examples/marsh-harrier.rocket.yaml");
    let folder = tempfile::TempDir::new().unwrap();
    let long = "n".repeat(10_240);
    let waivers = format!(
        "\nwaivers:\n  - {{rule: \"{EVIL}\", subject: \"{EVIL}\", reason: \"{EVIL}\", by: \"{EVIL}\", until: 2030-01-01}}\n"
    );
    for (place, name) in [format!("\"{EVIL}\""), long].into_iter().enumerate() {
        let text = design
            .replace("name: Marsh Harrier", &format!("name: {name}\nnotes: \"{EVIL}\""))
            .replace("designation: K540", &format!("designation: \"K540 {EVIL}\""))
            .replace("motor: K540", &format!("motor: \"K540 {EVIL}\""))
            + &waivers;
        let path = folder.path().join(format!("<b>'{place}\".rocket.yaml"));
        std::fs::write(&path, &text).unwrap();
        let page = page_of(path.to_str().unwrap());
        harmless(&page);
        let parsed = sound(&page);
        assert!(parsed.select(&select("b, img, script")).next().is_none());
        assert!(page.contains("&lt;script&gt;"), "the text is there, escaped");
        for form in PaperForm::WORDS {
            let (papers, code) =
                printed(&["packet", "--today", "2026-06-01", "--format", form, path.to_str().unwrap()]);
            assert_eq!(code, 0, "{papers}");
            harmless(&papers);
            assert!(papers.contains("&lt;script&gt;"), "{form}");
            if *form == PaperForm::Html.name() {
                sound(&papers);
            }
        }
    }
}
