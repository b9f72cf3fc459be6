//! A figure as a Markdown image for renderers other than `html`.
//!
//! The drawing stands in the image's address itself. A preprocessor may not count on a folder of its own: what it writes
//! below the book's source is published and sets off `mdbook serve` again, and a renderer empties its own folder first.

use super::markdown::markdown_text;
use crate::figure::Figure;

/// The figure as an image, with its title and description in place of it for who does not see it.
pub(super) fn image(figure: &Figure) -> String {
    let told = format!("{}. {}", figure.title(), figure.description());
    format!("![{}](data:image/svg+xml;base64,{})", markdown_text(&told), base64(figure.file().as_bytes()))
}

/// RFC 4648, section 4.
fn base64(bytes: &[u8]) -> String {
    const DIGITS: &[u8; 64] = b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
    let mut text = String::with_capacity(bytes.len().div_ceil(3) * 4);
    for three in bytes.chunks(3) {
        let bits = (0..3).fold(0_usize, |bits, at| bits << 8 | usize::from(three.get(at).copied().unwrap_or(0)));
        for at in 0..4 {
            let is_digit = at <= three.len();
            text.push(if is_digit { char::from(DIGITS[bits >> (18 - 6 * at) & 63]) } else { '=' });
        }
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The test vectors of RFC 4648, section 10.
    #[test]
    fn bytes_as_digits() {
        let vectors = [
            ("", ""),
            ("f", "Zg=="),
            ("fo", "Zm8="),
            ("foo", "Zm9v"),
            ("foob", "Zm9vYg=="),
            ("fooba", "Zm9vYmE="),
            ("foobar", "Zm9vYmFy"),
        ];
        for (text, expected) in vectors {
            assert_eq!(base64(text.as_bytes()), expected);
        }
    }
}
