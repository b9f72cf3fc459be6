//! Words put together into sentences.

/// With an article, unless it begins with one or with a number.
pub(super) fn definite(rule: &str) -> String {
    let has_its_own = ["the ", "half", "π", "√"].iter().any(|begins| rule.starts_with(begins))
        || rule.starts_with(|c: char| c.is_ascii_digit() || c == '(' || c == '−');
    if has_its_own { rule.to_owned() } else { format!("the {rule}") }
}

/// As a sentence begins; the letter of the circle's ratio is no word, and stays as it is.
pub(super) fn capital(text: &str) -> String {
    let mut letters = text.chars();
    match letters.next() {
        Some('π') | None => text.to_owned(),
        Some(first) => first.to_uppercase().chain(letters).collect(),
    }
}

pub(super) fn first_clause(says: &str) -> String {
    let first = says.split_inclusive(['.', ':']).next().unwrap_or(says);
    format!("{}.", first.trim_end_matches(['.', ':']))
}

pub(super) fn often(times: u16) -> String {
    match times {
        0 => "not at all".to_owned(),
        1 => "once".to_owned(),
        2 => "twice".to_owned(),
        times => format!("{times} times"),
    }
}
