//! Fractions that a spreadsheet took for a date: whoever typed 5/8 finds `5-Aug`, `08.Mai` or `2026-08-05` in the cell.

/// The fraction that a date was, if it is one: `5-Aug` was 5/8. Nothing, if the text is no date; no fraction, if none that is
/// on a ruler makes this date.
pub(super) fn date(text: &str) -> Option<Option<String>> {
    let is_gap = |c: char| matches!(c, '-' | '.' | '/' | ' ' | ',');
    let parts: Vec<&str> = text.split(is_gap).filter(|part| !part.is_empty()).collect();
    let number = |text: &str| text.parse::<u32>().ok().filter(|_| text.len() <= 4);
    let (first, second, third) = match parts[..] {
        [first, second] => (first, second, None),
        [first, second, third] => (first, second, Some(number(third)?)),
        _ => return None,
    };
    // What stands for day, month and year; of two numbers that may be either, either.
    let candidates = match (number(first), number(second), month(first), month(second)) {
        // 5-Aug and 5-Aug-2026.
        (Some(day), None, _, Some(month)) if day > 0 => vec![(day, month)],
        // Aug-05, and Mar-32 for March of a year.
        (None, Some(day), Some(month), _) if day > 0 => vec![(month, day)],
        // 2026-08-05, of which July 2016 was 7/16.
        (Some(year), Some(month), ..) if first.len() == 4 && (1..=12).contains(&month) => {
            let day = third.filter(|day| (1..=31).contains(day))?;
            let of_year = (month, year % 100);
            if day == 1 { vec![(day, month), of_year] } else { vec![(day, month)] }
        }
        // 05.08.2026 and 8/5/2026.
        (Some(one), Some(other), ..) if third.is_some_and(|year| year > 31) => {
            let is_date = (1..=31).contains(&one) && (1..=31).contains(&other) && one.min(other) <= 12;
            is_date.then_some(vec![(one, other)])?
        }
        _ => return None,
    };
    let on_a_ruler = |(one, other): &(u32, u32)| {
        let (top, bottom) = (*one.min(other), *one.max(other));
        (top < bottom && matches!(bottom, 2 | 4 | 8 | 16 | 32 | 64)).then(|| format!("{top}/{bottom}"))
    };
    Some(candidates.iter().find_map(on_a_ruler))
}

/// The number of a month by its name or what is short for it, in English and in German.
fn month(word: &str) -> Option<u32> {
    const NAMES: [&[&str]; 12] = [
        &["jan", "januar", "january", "jän"],
        &["feb", "februar", "february"],
        &["mar", "march", "mär", "mrz", "märz"],
        &["apr", "april"],
        &["may", "mai"],
        &["jun", "june", "juni"],
        &["jul", "july", "juli"],
        &["aug", "august"],
        &["sep", "sept", "september"],
        &["oct", "october", "okt", "oktober"],
        &["nov", "november"],
        &["dec", "december", "dez", "dezember"],
    ];
    let word = word.to_lowercase();
    NAMES.iter().zip(1..).find(|(names, _)| names.contains(&word.as_str())).map(|(_, number)| number)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// What spreadsheets make of fractions in English and German settings: common practice, no source.
    #[test]
    fn fractions_that_became_dates() {
        for (text, fraction) in [
            ("5-Aug", "5/8"),
            ("05-Aug", "5/8"),
            ("8-May", "5/8"),
            ("08.Mai", "5/8"),
            ("05. Aug", "5/8"),
            ("5-Aug-2026", "5/8"),
            ("2026-08-05", "5/8"),
            ("2026-05-08", "5/8"),
            ("05.08.2026", "5/8"),
            ("8/5/2026", "5/8"),
            ("Jul-16", "7/16"),
            ("16-Jul", "7/16"),
            ("2016-07-01", "7/16"),
            ("Mar-32", "3/32"),
            ("01.Feb", "1/2"),
            ("3-Apr", "3/4"),
            ("7-Oct", ""),
        ] {
            assert_eq!(date(text), Some(Some(fraction.to_owned()).filter(|it| !it.is_empty())), "{text}");
        }
        for text in ["5/8", "12 1/2", "12-1/2", "1 ft 3", "5-3", "12.5", "31,8", "1-2-3", "mar", "", "2026", "12 5/8"] {
            assert_eq!(date(text), None, "{text}");
        }
    }
}
