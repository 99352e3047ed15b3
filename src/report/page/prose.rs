//! Sentences of findings on a page: what stands between back quotes is code.

use maud::{Markup, html};

use crate::yaml::clean_line;

/// A sentence with what is quoted by back quotes set as code; as it is where the quotes do not pair.
pub(super) fn prose(text: &str) -> Markup {
    let text = clean_line(text);
    let parts: Vec<&str> = text.split('`').collect();
    if parts.len().is_multiple_of(2) {
        return html! { (text) };
    }
    html! {
        @for (number, part) in parts.iter().enumerate() {
            @if !number.is_multiple_of(2) { code { (part) } } @else { (part) }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::prose;

    #[test]
    fn quoted_words_are_code_and_nothing_becomes_markup() {
        let shown = |text: &str| prose(text).into_string();
        assert_eq!(shown("write `by` and `<b>`"), "write <code>by</code> and <code>&lt;b&gt;</code>");
        assert_eq!(shown("one ` alone"), "one ` alone");
        assert_eq!(shown(""), "");
    }
}
