//! The head of every page: nothing to load, and no script but one whose hash it names.

use base64::prelude::{BASE64_STANDARD, Engine as _};
use maud::{Markup, PreEscaped, html};
use sha2::{Digest, Sha256};

/// What stands in the head of a page.
#[derive(Debug, Clone, Copy, Default)]
pub(crate) struct Head<'a> {
    /// The title.
    pub(crate) title: &'a str,
    /// What a list of pages shows below the title; none where empty.
    pub(crate) description: &'a str,
    /// The style sheet.
    pub(crate) style: &'a str,
    /// The script at the page's end; none where empty.
    pub(crate) script: &'a str,
}

/// The element `head`.
pub(crate) fn head(head: Head<'_>) -> Markup {
    html! {
        head {
            meta charset="utf-8";
            meta http-equiv="Content-Security-Policy" content=(policy(head.script));
            meta name="viewport" content="width=device-width, initial-scale=1";
            meta name="color-scheme" content="light dark";
            meta name="generator" content="thereback";
            @if !head.description.is_empty() {
                meta name="description" content=(head.description);
            }
            title { (head.title) }
            style { (PreEscaped(head.style)) }
        }
    }
}

/// No network: only the page's own styles, its own drawings and its own script.
///
/// The script is named by its SHA-256, reckoned rather than written down, so that it cannot fall behind.
fn policy(script: &str) -> String {
    let script = if script.is_empty() {
        String::new()
    } else {
        let hash = BASE64_STANDARD.encode(Sha256::digest(script));
        format!("script-src 'sha256-{hash}'; ")
    };
    format!(
        "default-src 'none'; style-src 'unsafe-inline'; {script}img-src data:; base-uri 'none'; form-action 'none'"
    )
}
