//! What a page has besides when it is served while its design is watched: a line that says so, and a script that loads it anew.

use maud::{Markup, PreEscaped, html};

/// A page that is served, and loaded anew when another version is there.
#[derive(Clone, Debug)]
pub struct Follow {
    /// The version of this page; no other has it.
    pub version: u64,
    /// The word by which the page lets this one script run: letters and digits, new for each page.
    pub nonce: String,
}

impl Follow {
    /// What such a page may do: what `page` allows, run the one script, and ask where it came from for a newer version.
    pub(super) fn policy(&self, page: &str) -> String {
        format!("{page}; script-src 'nonce-{}'; connect-src 'self'", self.nonce)
    }

    pub(super) fn line(&self) -> Markup {
        html! {
            p id="follows" class="follows" role="status" { "This page follows the file: it is loaded anew each time the design is saved." }
        }
    }

    pub(super) fn script(&self) -> Markup {
        html! {
            script nonce=(self.nonce) data-version=(self.version) { (PreEscaped(include_str!("follow.js"))) }
        }
    }
}
