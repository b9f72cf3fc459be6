//! The nearest known word to one that was not known: for suggestions in error sentences.

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
