//! Every line, fill and text can be seen in every theme of a book, on paper and in a file: contrast is computed from the
//! style sheet that pages load.

use super::style;

/// The style sheet.
const SHEET: &str = include_str!("../book/pages/lesson.css");

/// A theme of mdBook: the selector that the style sheet has for it, and its page, text and head of a table, from
/// `css/variables.css` of mdBook 0.5.
struct Theme {
    name: &'static str,
    selector: &'static str,
    page: &'static str,
    text: &'static str,
    head: &'static str,
    links: &'static str,
}

const DARK: &str = "html:is(.coal, .navy, .ayu)";

#[rustfmt::skip]
const THEMES: [Theme; 5] = [
    Theme { name: "light", selector: ":root", page: "#ffffff", text: "#000000", head: "#cccccc", links: "#20609f" },
    Theme { name: "rust", selector: "html.rust", page: "#e1e1db", text: "#262625", head: "#b3a497", links: "" },
    Theme { name: "coal", selector: DARK, page: "#131516", text: "#98a3ad", head: "#42494c", links: "" },
    Theme { name: "navy", selector: DARK, page: "#161923", text: "#bcbdd0", head: "#3d4461", links: "" },
    Theme { name: "ayu", selector: DARK, page: "#0f1419", text: "#c5c5c5", head: "#364759", links: "" },
];

type Colour = [f64; 3];

fn colour(hex: &str) -> Colour {
    [1, 3, 5].map(|at| f64::from(u8::from_str_radix(&hex[at..at + 2], 16).unwrap()))
}

fn mix(one: Colour, part: f64, other: Colour) -> Colour {
    [0, 1, 2].map(|at| one[at] * part + other[at] * (1.0 - part))
}

/// The contrast of two colours as WCAG 2.2 defines it (relative luminance, success criteria 1.4.3 and 1.4.11).
fn contrast(one: Colour, other: Colour) -> f64 {
    let linear = |part: f64| {
        let part = part / 255.0;
        if part <= 0.04045 { part / 12.92 } else { ((part + 0.055) / 1.055).powf(2.4) }
    };
    let light = |[r, g, b]: Colour| 0.2126 * linear(r) + 0.7152 * linear(g) + 0.0722 * linear(b);
    let (a, b) = (light(one), light(other));
    (a.max(b) + 0.05) / (a.min(b) + 0.05)
}

/// The declarations of the first rule with this selector.
fn rule(selector: &str) -> &'static str {
    let start = SHEET.find(&format!("{selector} {{")).unwrap_or_else(|| panic!("no rule for {selector}"));
    let body = &SHEET[start..];
    &body[body.find('{').unwrap() + 1..body.find('}').unwrap()]
}

/// What a rule sets a property to, if it does.
fn set(selector: &str, property: &str) -> Option<&'static str> {
    rule(selector).lines().find_map(|line| line.trim().strip_prefix(property)?.strip_prefix(": ")?.strip_suffix(';'))
}

/// What is drawn with, on what: ink, accent, and the tints.
fn look(name: &str, page: Colour, of: &dyn Fn(&str) -> Colour) {
    let (ink, accent) = (of("ink"), of("accent"));
    let least = |what: &str, one: Colour, other: Colour, least: f64| {
        let found = contrast(one, other);
        assert!(found >= least, "{name}: {what} {found:.2} where {least} is the least");
    };
    let grounds = style::TINTS.map(|tint| (tint.name, of(tint.name))).into_iter().chain([("page", page)]);
    for (ground, behind) in grounds {
        least(&format!("letters on {ground}"), ink, behind, 4.5);
        least(&format!("what is new on {ground}"), accent, behind, 3.0);
        least(&format!("what recedes on {ground}"), mix(ink, style::RECEDING, behind), behind, 3.0);
    }
    for tint in style::TINTS.iter().filter(|tint| !tint.hatch.is_empty()) {
        let behind = of(tint.name);
        least(&format!("the hatch of {}", tint.name), mix(ink, style::HATCH_INK, behind), behind, 3.0);
    }
}

#[test]
fn everything_can_be_seen_in_every_theme_and_on_paper() {
    let of = |selector: &'static str| {
        move |name: &str| {
            let property = format!("--foldmark-{name}");
            colour(set(selector, &property).unwrap_or_else(|| panic!("{selector} sets no {property}")))
        }
    };
    for theme in &THEMES {
        look(theme.name, colour(theme.page), &of(theme.selector));
    }
    look("print", colour("#ffffff"), &of(":root"));
    let file = |name: &str| {
        let tint = style::TINTS.iter().find(|tint| tint.name == name).map(|tint| tint.file);
        colour(tint.unwrap_or(if name == "ink" { style::FILE_INK } else { style::FILE_ACCENT }))
    };
    look("file", colour(style::FILE_PAPER), &file);
}

#[test]
fn links_and_heads_of_tables_can_be_read_in_every_theme() {
    // The parts that the style sheet mixes.
    for mixed in ["var(--table-header-bg) 60%, var(--bg)", "var(--fg) 60%, var(--bg)"] {
        assert!(SHEET.contains(mixed), "{mixed}");
    }
    for theme in &THEMES {
        let (page, text) = (colour(theme.page), colour(theme.text));
        let head = mix(colour(theme.head), 0.6, page);
        let links = colour(set(theme.selector, "--links").unwrap_or(theme.links));
        let border = mix(text, 0.6, page);
        let found = [
            ("a head's letters", contrast(text, head), 4.5),
            ("links", contrast(links, page), 4.5),
            ("a table's lines", contrast(border, page), 3.0),
        ];
        for (what, found, least) in found {
            assert!(found >= least, "{}: {what} {found:.2}", theme.name);
        }
    }
}

/// Whoever has no script has the page of mdBook's coal theme where they like it dark, and its colours here.
#[test]
fn dark_without_script_is_dark_with_it() {
    assert_eq!(
        rule(DARK).split_whitespace().collect::<Vec<_>>(),
        rule("html:not(.js)").split_whitespace().collect::<Vec<_>>()
    );
}

#[test]
fn no_two_surfaces_differ_by_colour_alone() {
    let hatches = [style::RIGHT, style::WRONG, style::LINING, style::PADDING].map(|tint| tint.hatch);
    for (at, hatch) in hatches.iter().enumerate() {
        assert!(!hatches[..at].contains(hatch), "{hatch:?} twice");
    }
}

#[test]
fn contrast_is_that_of_the_standard() {
    // Black on white is 21 : 1 by definition; #777777 on white is the well-known 4.48, just too little.
    assert!((contrast(colour("#000000"), colour("#ffffff")) - 21.0).abs() < 1e-9);
    assert!((contrast(colour("#777777"), colour("#ffffff")) - 4.48).abs() < 0.005);
}
