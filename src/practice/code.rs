//! The short code on a sheet, from which the checker makes the problem anew: an answer file needs no givens then, and
//! can't change them.
//!
//! Fifteen symbols in three groups, `0YG6H-31KD7-8WTQN`, each of five bits: digits and letters without I, L, O and U,
//! which are read as 1, 1, 0 and not at all, so that a code survives being copied by hand. The last fifteen bits are a
//! check (CRC-15/CAN of the catalogue) that finds every single wrong symbol and every pair of neighbours exchanged.

use crate::length::{Length, Ruler, Unit};
use std::fmt;

/// What a student is to do with a problem.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Task {
    /// Draft it.
    Draft,
    /// Find so many slips in a finished draft, one or two.
    FindSlips(u8),
}

/// What a sheet's code says.
///
/// ```
/// use foldmark::{length::Ruler, practice::{Code, Task}};
/// let code = Code::new("flap-roll", 1, 2, Task::Draft, Ruler::EIGHTH, 77);
/// let read = Code::read(&code.to_string().to_lowercase()).unwrap();
/// assert_eq!(read, code);
/// assert!(read.is_for("flap-roll", 1) && !read.is_for("flap-roll", 2));
/// ```
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Code {
    exercise: u16,
    /// The level, from 1; 0 for a problem of no level.
    pub level: u8,
    /// What is to be done.
    pub task: Task,
    /// The sheet's ruler.
    pub ruler: Ruler,
    /// What the problem is drawn from.
    pub seed: u32,
}

/// Why a text is no code.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum CodeFault {
    /// A symbol that no code has.
    Symbol(char),
    /// So many symbols, in place of fifteen.
    Count(usize),
    /// The check does not agree: a symbol was misread or two were exchanged.
    Damaged,
    /// It is whole, but a later version of the program made it.
    Unknown,
}

impl fmt::Display for CodeFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            CodeFault::Symbol(symbol) => {
                write!(f, "\"{}\" stands in no code; copy it from the head of the sheet", symbol.escape_default())
            }
            CodeFault::Count(count) => {
                write!(
                    f,
                    "a code has {SYMBOLS} letters and digits, and this has {count}; copy it from the head of the sheet"
                )
            }
            CodeFault::Damaged => f.write_str(
                "this code is damaged: a letter or digit of it is wrong; copy it from the head of the sheet",
            ),
            CodeFault::Unknown => f.write_str("this code is of a later version of Foldmark"),
        }
    }
}

impl std::error::Error for CodeFault {}

const ALPHABET: &[u8; 32] = b"0123456789ABCDEFGHJKMNPQRSTVWXYZ";
const SYMBOLS: usize = 15;
const CHECK: crc::Crc<u16> = crc::Crc::<u16>::new(&crc::CRC_15_CAN);
/// The way the bits are laid out; counted up if it ever changes.
const SCHEME: u64 = 0;
/// How many bits each part has, from the left: scheme, task, level, metric, ticks, exercise, seed.
const BITS: [u32; 7] = [3, 2, 3, 1, 7, 12, 32];

impl Code {
    /// The code of a problem.
    pub fn new(exercise: &str, version: u32, level: u8, task: Task, ruler: Ruler, seed: u32) -> Code {
        Code { exercise: mark_of(exercise, version), level: level.min(7), task, ruler, seed }
    }

    /// Whether it is for this version of this exercise.
    pub fn is_for(&self, exercise: &str, version: u32) -> bool {
        self.exercise == mark_of(exercise, version)
    }

    fn payload(&self) -> u64 {
        let task = match self.task {
            Task::Draft => 0,
            Task::FindSlips(slips) => u64::from(slips.clamp(1, 2)),
        };
        let unit = self.ruler.unit();
        let ticks = unit.length().nm() / self.ruler.tick().nm();
        let parts = [
            SCHEME,
            task,
            u64::from(self.level),
            u64::from(unit.is_metric()),
            ticks as u64,
            u64::from(self.exercise),
            u64::from(self.seed),
        ];
        parts.into_iter().zip(BITS).fold(0, |all, (part, bits)| all << bits | part)
    }

    /// Reads a code; case, spaces and hyphens don't matter.
    ///
    /// # Errors
    /// What is wrong with it, as a sentence without a full stop.
    pub fn read(text: &str) -> Result<Code, CodeFault> {
        let mut all: u128 = 0;
        let mut count = 0;
        for symbol in text.chars().filter(|symbol| !symbol.is_whitespace() && !matches!(symbol, '-' | '–' | '—')) {
            let value = match symbol.to_ascii_uppercase() {
                'I' | 'L' => Some(1),
                'O' => Some(0),
                plain => ALPHABET.iter().position(|known| char::from(*known) == plain),
            };
            all = all << 5 & (u128::MAX >> 53) | value.ok_or(CodeFault::Symbol(symbol))? as u128;
            count += 1;
        }
        if count != SYMBOLS {
            return Err(CodeFault::Count(count));
        }
        let (payload, check) = ((all >> 15) as u64, (all & 0x7fff) as u16);
        if check != check_of(payload) {
            return Err(CodeFault::Damaged);
        }
        let mut parts = [0; BITS.len()];
        let mut rest = payload;
        for (part, bits) in parts.iter_mut().zip(BITS).rev() {
            *part = rest & ((1 << bits) - 1);
            rest >>= bits;
        }
        let [scheme, task, level, metric, ticks, exercise, seed] = parts;
        let unit = if metric == 1 { Unit::Centimetre } else { Unit::Inch };
        let tick = Length::from_nm(unit.length().nm() / (ticks.max(1) as i64));
        let ruler = Ruler::new(tick, unit).ok().filter(|_| ticks > 0).ok_or(CodeFault::Unknown)?;
        let task = match task {
            0 => Task::Draft,
            slips @ 1..=2 => Task::FindSlips(slips as u8),
            _ => return Err(CodeFault::Unknown),
        };
        if scheme != SCHEME {
            return Err(CodeFault::Unknown);
        }
        Ok(Code { exercise: exercise as u16, level: level as u8, task, ruler, seed: seed as u32 })
    }
}

impl fmt::Display for Code {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let payload = self.payload();
        let all = u128::from(payload) << 15 | u128::from(check_of(payload));
        for at in 0..SYMBOLS {
            if at > 0 && at % 5 == 0 {
                f.write_str("-")?;
            }
            let symbol = ALPHABET[(all >> (5 * (SYMBOLS - 1 - at)) & 31) as usize];
            write!(f, "{}", char::from(symbol))?;
        }
        Ok(())
    }
}

fn check_of(payload: u64) -> u16 {
    CHECK.checksum(&payload.to_be_bytes())
}

/// Twelve bits that tell exercises and their versions apart: FNV-1a (Fowler, Noll, Vo), 32 bit, folded.
fn mark_of(exercise: &str, version: u32) -> u16 {
    let bytes = exercise.bytes().chain([0]).chain(version.to_be_bytes());
    let hash = bytes.fold(0x811c_9dc5_u32, |hash, byte| (hash ^ u32::from(byte)).wrapping_mul(0x0100_0193));
    ((hash ^ hash >> 12 ^ hash >> 24) & 0xfff) as u16
}

#[cfg(test)]
mod tests {
    use super::*;

    fn codes() -> Vec<Code> {
        let rulers = [Ruler::EIGHTH, Ruler::SIXTEENTH, Ruler::MILLIMETRE, Ruler::FIVE_MILLIMETRES];
        let tasks = [Task::Draft, Task::FindSlips(1), Task::FindSlips(2)];
        (0..300_u32)
            .map(|at| {
                let (ruler, task) = (rulers[at as usize % 4], tasks[at as usize % 3]);
                Code::new("zip-pouch", at % 5, (at % 5) as u8, task, ruler, at.wrapping_mul(0x9e37_79b9))
            })
            .collect()
    }

    /// The catalogue's check value for CRC-15/CAN, from memory: the digits 1 to 9 give 059e.
    #[test]
    fn the_check_is_the_catalogues() {
        assert_eq!(CHECK.checksum(b"123456789"), 0x059e);
    }

    #[test]
    fn every_code_reads_back() {
        for code in codes() {
            assert_eq!(Code::read(&code.to_string()), Ok(code));
            let by_hand = code.to_string().to_lowercase().replace('-', " ").replace('0', "o").replace('1', "l");
            assert_eq!(Code::read(&by_hand), Ok(code));
        }
    }

    #[test]
    fn one_wrong_symbol_is_found() {
        for code in codes().into_iter().step_by(7) {
            let text = code.to_string().replace('-', "");
            for at in 0..SYMBOLS {
                for &other in ALPHABET.iter().filter(|other| **other != text.as_bytes()[at]) {
                    let mut wrong = text.clone().into_bytes();
                    wrong[at] = other;
                    assert_eq!(Code::read(std::str::from_utf8(&wrong).unwrap()), Err(CodeFault::Damaged), "{text}");
                }
            }
        }
    }

    #[test]
    fn exchanged_neighbours_are_found() {
        for code in codes() {
            let text = code.to_string().replace('-', "").into_bytes();
            for at in 1..SYMBOLS {
                let mut wrong = text.clone();
                wrong.swap(at - 1, at);
                if wrong != text {
                    assert_eq!(Code::read(std::str::from_utf8(&wrong).unwrap()), Err(CodeFault::Damaged));
                }
            }
        }
    }

    #[test]
    fn what_is_no_code_is_told() {
        assert_eq!(Code::read(""), Err(CodeFault::Count(0)));
        assert_eq!(Code::read("12345-12345-1234"), Err(CodeFault::Count(14)));
        assert_eq!(Code::read(&"7".repeat(1_000)), Err(CodeFault::Count(1_000)));
        assert_eq!(Code::read("12345-1234U-12345"), Err(CodeFault::Symbol('U')));
        assert_eq!(Code::read("12345\u{7}"), Err(CodeFault::Symbol('\u{7}')));
    }

    #[test]
    fn exercises_have_marks_of_their_own() {
        let marks: std::collections::BTreeSet<u16> =
            crate::exercise::shipped().map(|(name, _)| mark_of(name, 1)).collect();
        assert_eq!(marks.len(), crate::exercise::shipped().count());
    }
}
