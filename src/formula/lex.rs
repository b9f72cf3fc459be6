//! Formula text to tokens. A number followed by a unit is one token, so that `1/2 in` is half an inch
//! and not one divided by two inches.

use super::fault::FormulaFault;
use crate::length::{Length, Unit};

#[derive(Debug, Clone, PartialEq)]
pub(super) enum Token {
    Number(f64),
    Length(f64),
    Name(String),
    Word(String),
    Sign(&'static str),
}

#[derive(Debug, Clone, PartialEq)]
pub(super) struct Placed {
    pub token: Token,
    pub span: (usize, usize),
}

const SIGNS: [&str; 13] = ["<=", ">=", "!=", "+", "-", "*", "/", "(", ")", ",", "<", ">", "="];

pub(super) fn lex(text: &str) -> Result<Vec<Placed>, FormulaFault> {
    let mut tokens = Vec::new();
    let mut at = 0;
    while let Some(next) = text[at..].chars().next() {
        if next.is_whitespace() {
            at += next.len_utf8();
            continue;
        }
        let (token, end) = if next.is_ascii_digit() {
            number_or_length(text, at)?
        } else if next.is_ascii_alphabetic() {
            let end = at + run(&text[at..], |c| c.is_ascii_alphanumeric() || c == '_' || c == '.');
            (Token::Name(text[at..end].to_owned()), end)
        } else if next == '\'' || next == '"' {
            let Some(length) = text[at + 1..].find(next) else {
                return Err(FormulaFault::new((at, text.len()), format!("this {next} is never closed")));
            };
            (Token::Word(text[at + 1..at + 1 + length].to_owned()), at + length + 2)
        } else if let Some(sign) = SIGNS.iter().find(|sign| text[at..].starts_with(**sign)) {
            (Token::Sign(sign), at + sign.len())
        } else {
            let end = at + next.len_utf8();
            let shown = next.escape_debug();
            return Err(FormulaFault::new((at, end), format!("'{shown}' has no meaning in a formula")));
        };
        tokens.push(Placed { token, span: (at, end) });
        at = end;
    }
    Ok(tokens)
}

fn run(text: &str, belongs: impl Fn(char) -> bool) -> usize {
    text.find(|c| !belongs(c)).unwrap_or(text.len())
}

fn digits(text: &str) -> usize {
    run(text, |c| c.is_ascii_digit())
}

fn spaces(text: &str) -> usize {
    run(text, |c| c == ' ')
}

/// The bytes of `3/4` at the start of the text, or 0.
fn fraction(text: &str) -> usize {
    let top = digits(text);
    if top == 0 || !text[top..].starts_with('/') {
        return 0;
    }
    let below = digits(&text[top + 1..]);
    if below == 0 { 0 } else { top + 1 + below }
}

fn number_or_length(text: &str, at: usize) -> Result<(Token, usize), FormulaFault> {
    let rest = &text[at..];
    let mut plain = digits(rest);
    if rest[plain..].starts_with('.') {
        let decimals = digits(&rest[plain + 1..]);
        if decimals > 0 {
            plain += 1 + decimals;
        }
    }
    // The longest reading that ends in a unit wins: "3 1/2 in", "1/2 in", "3 in".
    let gap = plain + spaces(&rest[plain..]);
    let mixed = match fraction(&rest[gap..]) {
        0 => 0,
        length if gap > plain => gap + length,
        _ => 0,
    };
    for end in [mixed, fraction(rest), plain] {
        if end == 0 {
            continue;
        }
        let unit = end + spaces(&rest[end..]);
        let word = run(&rest[unit..], |c| c.is_ascii_alphanumeric() || c == '_' || c == '.');
        if word > 0 && Unit::read(&rest[unit..unit + word]).is_some() {
            let span = (at, at + unit + word);
            let length = Length::read(&text[span.0..span.1], None)
                .map_err(|error| FormulaFault::new(span, error.to_string()))?;
            return Ok((Token::Length(length.as_nm_f64()), span.1));
        }
    }
    let span = (at, at + plain);
    match text[span.0..span.1].parse::<f64>() {
        Ok(number) if number.is_finite() => Ok((Token::Number(number), span.1)),
        _ => Err(FormulaFault::new(span, "this number is too large")),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn tokens(text: &str) -> Vec<Token> {
        lex(text).unwrap().into_iter().map(|placed| placed.token).collect()
    }

    #[test]
    fn a_number_with_a_unit_is_one_token() {
        let inch = 25_400_000.0;
        assert_eq!(tokens("1/2 in"), [Token::Length(inch / 2.0)]);
        assert_eq!(tokens("3 1/2 in"), [Token::Length(inch * 3.5)]);
        assert_eq!(tokens("2 * 3in"), [Token::Number(2.0), Token::Sign("*"), Token::Length(inch * 3.0)]);
        assert_eq!(tokens("12.5 mm"), [Token::Length(12_500_000.0)]);
        assert_eq!(tokens("2/3"), [Token::Number(2.0), Token::Sign("/"), Token::Number(3.0)]);
        assert_eq!(tokens("2 inner"), [Token::Number(2.0), Token::Name("inner".into())]);
    }

    #[test]
    fn what_has_no_meaning_is_named_with_its_place() {
        let fault = lex("flap % 2").unwrap_err();
        assert_eq!((fault.start, fault.message.as_str()), (5, "'%' has no meaning in a formula"));
        assert_eq!(lex("sizing = 'lay").unwrap_err().message, "this ' is never closed");
    }
}
