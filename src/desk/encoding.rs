//! Bytes as text, whatever a spreadsheet, a mail program or an editor left behind: UTF-8 and UTF-16 with a byte order mark
//! or without, and Windows-1252, in which every byte means something.

use encoding_rs::{Encoding, UTF_8, UTF_16BE, UTF_16LE, WINDOWS_1252};

/// A text, and what it was read as if it was not UTF-8.
pub(crate) struct Decoded {
    pub text: String,
    pub read_as: Option<&'static str>,
}

/// Reads bytes as a text; nothing, if they are none. A carriage return alone is a line end, as old programs have it.
pub(crate) fn decoded(bytes: Vec<u8>) -> Option<Decoded> {
    let (encoding, is_marked) = match Encoding::for_bom(&bytes) {
        Some((encoding, _)) => (encoding, true),
        None => (guessed(&bytes)?, false),
    };
    if encoding == UTF_8 && !is_marked {
        return Some(Decoded { text: with_line_ends(String::from_utf8(bytes).ok()?), read_as: None });
    }
    let (text, is_broken) = encoding.decode_with_bom_removal(&bytes);
    let read_as = (encoding != UTF_8).then(|| if encoding == WINDOWS_1252 { "Windows-1252" } else { "UTF-16" });
    (!is_broken).then(|| Decoded { text: with_line_ends(text.into_owned()), read_as })
}

/// The text with line feeds for carriage returns that stand alone.
fn with_line_ends(text: String) -> String {
    let is_alone = |(at, _): (usize, &str)| text.as_bytes().get(at + 1) != Some(&b'\n');
    if text.match_indices('\r').any(is_alone) { text.replace("\r\n", "\n").replace('\r', "\n") } else { text }
}

/// The encoding of bytes without a byte order mark.
fn guessed(bytes: &[u8]) -> Option<&'static Encoding> {
    if !bytes.contains(&0) && std::str::from_utf8(bytes).is_ok() {
        return Some(UTF_8);
    }
    // Most of what people write is ASCII, of which UTF-16 has every second byte zero.
    let zeros = |parity: usize| bytes.iter().skip(parity).step_by(2).filter(|byte| **byte == 0).count();
    let (even, odd) = (zeros(0), zeros(1));
    match bytes.len() / 4 {
        most if odd > most && even == 0 => return Some(UTF_16LE),
        most if even > most && odd == 0 => return Some(UTF_16BE),
        _ => {}
    }
    let is_control = |byte: &u8| *byte < b' ' && !matches!(*byte, b'\t' | b'\n' | b'\r' | 0x0c | 0x1b);
    (!bytes.iter().any(is_control)).then_some(WINDOWS_1252)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The code units of UTF-16 are those of the standard library; the bytes of Windows-1252 those of its table at
    /// unicode.org (CP1252.TXT): 0xBD is one half, 0x94 a closing quotation mark, 0xE4 an a with two dots.
    #[test]
    fn what_programs_leave_behind() {
        let text = "Müllein = “12 ½ in”";
        let units = || text.encode_utf16();
        let little: Vec<u8> = units().flat_map(u16::to_le_bytes).collect();
        let big: Vec<u8> = units().flat_map(u16::to_be_bytes).collect();
        for (bytes, read_as) in [
            (text.as_bytes().to_vec(), None),
            ([b"\xef\xbb\xbf", text.as_bytes()].concat(), None),
            ([b"\xff\xfe", &little[..]].concat(), Some("UTF-16")),
            ([b"\xfe\xff", &big[..]].concat(), Some("UTF-16")),
            (b"M\xfcllein = \x9312 \xbd in\x94".to_vec(), Some("Windows-1252")),
        ] {
            let read = decoded(bytes).unwrap();
            assert_eq!((read.text.as_str(), read.read_as), (text, read_as));
        }
        let plain = "student;unit\nTansy;in\n";
        let little: Vec<u8> = plain.encode_utf16().flat_map(u16::to_le_bytes).collect();
        assert_eq!(decoded(little).unwrap().text, plain, "without a mark");
        assert_eq!(decoded(b"a\rb\r\n".to_vec()).unwrap().text, "a\nb\n");
        for nothing in [&b"\xff\xd8\xff\xe0\0\x10JFIF"[..], b"PK\x03\x04\x14\0\x08\xff", b"\xff\xfe\x00\xd8"] {
            assert!(decoded(nothing.to_vec()).is_none(), "{nothing:?}");
        }
    }
}
