//! The nearest known word to one that was not known: for suggestions in error sentences.

use super::harmless::quoted;

/// The candidate that takes the fewest single-letter changes to reach (insert, drop, replace, swap
/// neighbours), if it takes at most a third of the word's letters; the first of equals.
pub(crate) fn nearest<'c>(word: &str, candidates: impl IntoIterator<Item = &'c str>) -> Option<&'c str> {
    let word: String = word.chars().take(64).collect();
    let most = (word.chars().count() / 3).max(1);
    candidates
        .into_iter()
        .map(|candidate| (strsim::osa_distance(&word, candidate), candidate))
        .filter(|(distance, _)| *distance <= most)
        .min_by_key(|(distance, _)| *distance)
        .map(|(_, candidate)| candidate)
}

/// How a sentence shows a word.
#[derive(Debug, Clone, Copy)]
pub(crate) enum Shown {
    /// As a key or a measure: `flap`.
    Key,
    /// As a name: "flap".
    Name,
    /// As it is.
    Bare,
}

/// A question that asks for the nearest known word, if one is near.
pub(crate) fn did_you_mean<'c>(word: &str, known: impl IntoIterator<Item = &'c str>, shown: Shown) -> Option<String> {
    nearest(word, known).map(|near| match shown {
        Shown::Key => format!("did you mean `{near}`?"),
        Shown::Name => format!("did you mean {}?", quoted(near)),
        Shown::Bare => format!("did you mean {near}?"),
    })
}

/// The same as the end of a sentence that has begun; nothing, if no known word is near.
pub(crate) fn or_did_you_mean<'c>(word: &str, known: impl IntoIterator<Item = &'c str>, shown: Shown) -> String {
    did_you_mean(word, known, shown).map_or_else(String::new, |question| format!("; {question}"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn near_words_are_found_and_far_ones_are_not() {
        let known = ["fold_height", "full_height", "flap"];
        assert_eq!(nearest("fold_hieght", known), Some("fold_height"));
        assert_eq!(nearest("flp", known), Some("flap"));
        assert_eq!(nearest("girth", known), None);
    }
}
