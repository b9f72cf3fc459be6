//! The secret of a class, without which nobody can tell from the number of a week what its set will be.

use sha2::{Digest, Sha256};

/// Fewest letters and digits: of thirty-two kinds, each is worth five bits, and eighty can't be tried out.
pub(super) const FEWEST: usize = 16;

/// Letters that are not taken for one another.
const LETTERS: &[u8; 32] = b"0123456789ABCDEFGHJKMNPQRSTVWXYZ";

/// The secret of a class.
///
/// ```
/// use foldmark::class::Secret;
/// let ours = Secret::by_chance([7; 16]);
/// assert_eq!(Secret::read(ours.as_str()), Ok(ours.clone()));
/// assert_ne!(ours.seed(1), ours.seed(2));
/// assert_ne!(ours.seed(1), Secret::by_chance([8; 16]).seed(1));
/// ```
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Secret(String);

impl Secret {
    /// One from bytes left to chance, which whoever has a source of chance hands in: 125 of their bits, in groups as on
    /// sheets.
    pub fn by_chance(bytes: [u8; 16]) -> Secret {
        let all = u128::from_be_bytes(bytes);
        let letter = |at: u32| char::from(LETTERS[(all >> (5 * at) & 31) as usize]);
        let groups = (0..5).map(|group| (0..5).map(|at| letter(5 * group + at)).collect::<String>());
        Secret(groups.collect::<Vec<_>>().join("-"))
    }

    /// One as it is written, to the letter.
    ///
    /// # Errors
    /// That it is too short to be one.
    pub fn read(text: &str) -> Result<Secret, String> {
        match text.chars().filter(|letter| letter.is_alphanumeric()).count() {
            count if count < FEWEST => Err(format!(
                "a secret has at least {FEWEST} letters and digits, which nobody can guess, and this has {count}"
            )),
            _ => Ok(Secret(text.to_owned())),
        }
    }

    /// As it is written.
    pub fn as_str(&self) -> &str {
        &self.0
    }

    /// The text of a `class.toml` with this secret at its head.
    pub fn at_head_of(&self, class: &str) -> String {
        format!(
            "# Sets are made from this and the number of the week, so that no student can make them first. Keep it to yourself.\n\
             secret = \"{}\"\n\n{class}",
            self.0
        )
    }

    /// What a set of this number is made from: the first eight bytes of SHA-256 (FIPS 180-4) over the secret, a zero byte and
    /// the number. From sets that are known neither the secret nor another set can be worked out.
    pub fn seed(&self, number: u64) -> u64 {
        let hash = Sha256::new().chain_update(&self.0).chain_update([0]).chain_update(number.to_be_bytes()).finalize();
        hash.iter().take(8).fold(0, |seed, byte| seed << 8 | u64::from(*byte))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By GNU coreutils: `printf 'AAAAA-AAAAA-AAAAA-AAAAA-AAAAA\0\0\0\0\0\0\0\0\3' | sha256sum`.
    #[test]
    fn seeds_are_those_of_the_hash() {
        let secret = Secret::read("AAAAA-AAAAA-AAAAA-AAAAA-AAAAA").unwrap();
        assert_eq!(secret.seed(3), 0x5581_b92e_1299_de21);
    }

    #[test]
    fn every_letter_comes_of_chance() {
        let plain = Secret::by_chance([0; 16]);
        assert_eq!(plain.as_str(), "00000-00000-00000-00000-00000");
        let others = (0..125).map(|bit| Secret::by_chance((1_u128 << bit).to_be_bytes()).as_str().to_owned());
        assert_eq!(others.collect::<std::collections::BTreeSet<_>>().len(), 125);
    }

    #[test]
    fn what_is_short_is_no_secret() {
        assert!(
            Secret::read("").is_err() && Secret::read("password").is_err() && Secret::read(&"-".repeat(40)).is_err()
        );
    }
}
