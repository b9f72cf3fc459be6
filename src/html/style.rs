//! How the pages of marking look: every colour, and the rules that they share.

/// A colour of the pages: its name in the style sheet, by day and by night.
#[derive(Debug, Clone, Copy)]
struct Colour {
    name: &'static str,
    light: &'static str,
    dark: &'static str,
}

const fn colour(name: &'static str, light: &'static str, dark: &'static str) -> Colour {
    Colour { name, light, dark }
}

/// What text and lines stand on.
const GROUNDS: [Colour; 2] = [colour("page", "#ffffff", "#17181a"), colour("panel", "#f5f1e9", "#24262a")];

/// Colours of texts and symbols.
const TEXTS: [Colour; 8] = [
    colour("ink", "#1d1b18", "#e9e6e0"),
    colour("muted", "#595550", "#b6b1a8"),
    colour("accent", "#7b1e3a", "#f0a3b8"),
    colour("right", "#1a6633", "#83d69a"),
    colour("own", "#1c5a88", "#92c8f2"),
    colour("outside", "#834700", "#f1ba6c"),
    colour("wrong", "#a1171b", "#ff9f98"),
    colour("open", "#584784", "#c6b6f2"),
];

/// Colours of lines that divide, frame and fill.
const LINES: [Colour; 1] = [colour("line", "#857f75", "#857f76")];

/// What figures fill with: what is carried. All else there is drawn in lines.
const FILLS: [Colour; 1] = [colour("foldmark-object", "#cdd2d6", "#414b54")];

/// The style sheet that these pages begin with.
pub(crate) fn style_sheet() -> String {
    let all = || GROUNDS.iter().chain(&TEXTS).chain(&LINES).chain(&FILLS);
    let set = |value: fn(&Colour) -> &'static str| -> String {
        all().map(|colour| format!("--{}:{};", colour.name, value(colour))).collect()
    };
    let (light, dark) = (set(|colour| colour.light), set(|colour| colour.dark));
    let signs: String = ["right", "own", "outside", "wrong", "open"]
        .iter()
        .map(|class| format!(".{class}{{color:var(--{class})}}"))
        .collect();
    // Paper is light, whatever the screen is.
    format!(
        ":root{{color-scheme:light dark;{light}--links:var(--accent)}}\n\
         @media screen and (prefers-color-scheme:dark){{:root{{{dark}}}}}\n\
         @media print{{:root{{color-scheme:light}}}}\n{COMMON}{signs}\n"
    )
}

const COMMON: &str = "\
*{box-sizing:border-box}
body{margin:0;background:var(--page);color:var(--ink);font:1rem/1.45 system-ui,sans-serif;overflow-wrap:anywhere}
main{max-width:76rem;margin:0 auto;padding:1rem}
h1,h2,h3{line-height:1.2;margin:0}h1{font-size:1.8rem}h2{font-size:1.2rem;margin:1.6rem 0 .5rem}
p{margin:.4rem 0}a{color:var(--accent)}
.hidden{position:absolute;width:1px;height:1px;overflow:hidden;clip-path:inset(50%);white-space:nowrap}
.muted{color:var(--muted)}
.symbol{display:inline-block;min-width:1.9em;font-weight:bold}
.sign{white-space:nowrap}
figure{margin:0;break-inside:avoid}
@page{margin:12mm}
";

#[cfg(test)]
mod tests {
    use super::*;

    /// The contrast of two colours as WCAG 2.2 defines it (relative luminance, success criteria 1.4.3 and 1.4.11).
    fn contrast(one: &str, other: &str) -> f64 {
        let light = |hex: &str| {
            let part = |at: usize| {
                let part = f64::from(u8::from_str_radix(&hex[at..at + 2], 16).unwrap()) / 255.0;
                if part <= 0.04045 { part / 12.92 } else { ((part + 0.055) / 1.055).powf(2.4) }
            };
            0.2126 * part(1) + 0.7152 * part(3) + 0.0722 * part(5)
        };
        let (a, b) = (light(one), light(other));
        (a.max(b) + 0.05) / (a.min(b) + 0.05)
    }

    #[test]
    fn contrast_is_that_of_the_standard() {
        // Black on white is 21 : 1 by definition; #777777 on white is the well-known 4.48, just too little.
        assert!((contrast("#000000", "#ffffff") - 21.0).abs() < 1e-9);
        assert!((contrast("#777777", "#ffffff") - 4.48).abs() < 0.005);
    }

    #[test]
    fn every_text_and_line_can_be_seen_by_day_and_by_night() {
        for (colours, least) in [(&TEXTS[..], 4.5), (&LINES[..], 3.0)] {
            for colour in colours {
                for ground in &GROUNDS {
                    let (light, dark) = (contrast(colour.light, ground.light), contrast(colour.dark, ground.dark));
                    assert!(light >= least, "{} on {}: {light:.2} by day", colour.name, ground.name);
                    assert!(dark >= least, "{} on {}: {dark:.2} by night", colour.name, ground.name);
                }
            }
        }
    }

    #[test]
    fn ink_can_be_seen_on_what_figures_fill() {
        for (ink, fill) in FILLS.iter().map(|fill| (&TEXTS[0], fill)) {
            let (light, dark) = (contrast(ink.light, fill.light), contrast(ink.dark, fill.dark));
            assert!(light >= 4.5 && dark >= 4.5, "{} on {}: {light:.2}, {dark:.2}", ink.name, fill.name);
        }
    }

    #[test]
    fn no_colour_but_these_is_used() {
        let sheet = style_sheet();
        let known =
            GROUNDS.iter().chain(&TEXTS).chain(&LINES).chain(&FILLS).flat_map(|colour| [colour.light, colour.dark]);
        let rest = known.fold(sheet, |sheet, colour| sheet.replace(colour, ""));
        assert!(!rest.contains('#'), "{rest}");
    }
}
