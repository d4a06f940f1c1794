//! What the page may do: run its one script, use its one style sheet, show the faces it carries. Nothing else, and
//! nothing from anywhere else.

use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use sha2::{Digest, Sha256};

/// The content security policy of a page.
///
/// # Arguments
/// * `script`, `style`: the text of the script and of the style element, to the last blank.
///
/// # Source
/// W3C Content Security Policy Level 3, sections 2.3.1 and 6.7.2: hashes of inline content, base64 of SHA-256.
pub(super) fn policy(script: &str, style: &str) -> String {
    format!(
        "default-src 'none'; script-src 'sha256-{}'; style-src 'sha256-{}'; font-src data:; base-uri 'none'; \
         form-action 'none'",
        hash(script),
        hash(style)
    )
}

/// Bytes as a `data:` address (RFC 2397).
pub(super) fn data_address(media_type: &str, bytes: &[u8]) -> String {
    format!("data:{media_type};base64,{}", STANDARD.encode(bytes))
}

fn hash(text: &str) -> String {
    STANDARD.encode(Sha256::digest(text.as_bytes()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_hash_is_the_one_of_the_recommendation() {
        // Content Security Policy Level 3, section 8.3, example: the script `doSomething();` ends in this hash as
        // `'sha256-RFWPLDbv2BY+rCkDzsE+0fr8ylGr2R2faWMhq4lfEQc='`; recomputed with `openssl dgst -sha256 -binary`.
        assert_eq!(hash("doSomething();"), "RFWPLDbv2BY+rCkDzsE+0fr8ylGr2R2faWMhq4lfEQc=");
    }

    #[test]
    fn bytes_become_an_address() {
        // RFC 4648, section 10.
        assert_eq!(data_address("font/woff2", b"foobar"), "data:font/woff2;base64,Zm9vYmFy");
    }
}
