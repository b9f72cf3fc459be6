//! Exercises that are within every limit, and of which there is as much to work out as can be.

use std::fmt::Write;

/// What they have in common: lengths, and a table of so many rows.
fn head(rows: usize) -> String {
    let mut text = "title = \"Heavy\"\nteaches = \"Patience\"\nrulers = [\"1/8 in\", \"1 mm\"]\n".to_owned();
    for at in 0..8 {
        let _ = write!(
            text,
            "[[given]]\nname = \"g{at}\"\ntitle = \"Given {at}\"\nkind = \"length\"\nrange = [\"1 in\", \"90 in\"]\n\
             usual = [\"{} in\", \"{} cm\"]\nvaries = {{ from = \"2 in\", to = \"80 in\" }}\n",
            3 + at,
            7 + at
        );
    }
    if rows > 0 {
        let row = "{ wide = \"3 in\" }";
        let _ = write!(
            text,
            "[[given]]\nname = \"tools\"\ntitle = \"Tools\"\neach = \"tool\"\nrows = [1, {rows}]\nexample = [{}]\n\
             columns = [{{ name = \"wide\", title = \"Width\", kind = \"length\", range = [\"1 in\", \"50 in\"], \
             varies = {{ from = \"1 in\", to = \"40 in\" }} }}]\nvaries = {{ rows = [{}, {rows}], names = [{}] }}\n",
            vec![row; rows].join(", "),
            rows / 2,
            (0..rows).map(|at| format!("\"tool {at}\"")).collect::<Vec<_>>().join(", ")
        );
    }
    text
}

fn step(text: &mut String, name: &str, rule: &str) {
    let _ =
        write!(text, "[[step]]\nname = \"{name}\"\ntitle = \"Step {name}\"\nvalue = \"{rule}\"\nwhy = \"So it is.\"\n");
}

fn slip(text: &mut String, at: usize, step: &str, used: &str) {
    let _ = write!(
        text,
        "[[slip]]\nname = \"slip-{at}\"\nstep = \"{step}\"\nused = \"{used}\"\nsays = \"So it is not.\"\n"
    );
}

/// Hundreds of steps, each worked from those before it and from long rules, with as many slips as there may be.
pub fn chain() -> String {
    let mut text = head(0);
    for at in 0..300 {
        let before: Vec<String> = (at.max(6) - 6..at).map(|before| format!("s{before}")).collect();
        let before = if before.is_empty() { "g0".to_owned() } else { format!("max({}, g0)", before.join(", ")) };
        let terms: Vec<String> = (0..20).map(|term| format!("g{} * {} / 7", term % 8, term + 1)).collect();
        step(&mut text, &format!("s{at}"), &format!("round_up({before}) + ({}) / 900", terms.join(" + ")));
    }
    for at in 0..1_000 {
        slip(&mut text, at, &format!("s{}", at % 300), &format!("g{} * {} / 3", at % 8, at + 2));
    }
    text
}

/// One choice after another, each within limits that hang on all before it.
pub fn choices() -> String {
    let mut text = head(0);
    for at in 0..300 {
        let before: Vec<String> = (at.max(20) - 20..at).map(|before| format!("s{before} / 40")).collect();
        let before = if before.is_empty() { "g0".to_owned() } else { format!("g0 + {}", before.join(" + ")) };
        let _ = write!(
            text,
            "[[step]]\nname = \"s{at}\"\ntitle = \"Choice {at}\"\nat_least = [\"{before}\", \"g1\", \"g2 / 2\"]\n\
             at_most = [\"({before}) * 2 + 5 in\", \"400 in\"]\nsuggest = \"round_up(max({before}, g1, g2))\"\nwhy = \"So it is.\"\n",
        );
    }
    text
}

/// Lists as long as they may be, one worked from another, and sums over them.
pub fn lists() -> String {
    let mut text = head(1_000);
    for at in 0..60 {
        let before = if at == 0 { "tools.wide".to_owned() } else { format!("s{}", at - 1) };
        step(&mut text, &format!("s{at}"), &format!("round_up({before} * {} / 60 + g{} / 9)", 59 + at % 3, at % 8));
    }
    for at in 60..80 {
        step(&mut text, &format!("s{at}"), &format!("round_up(sum(s{} / 4000 + g{} / 900))", at - 40, at % 8));
    }
    for at in 0..300 {
        slip(&mut text, at, "s5", &format!("s4 * {} + g{}", at % 2 + 1, at % 8));
    }
    text
}

/// Few steps with rules that take as long as one may.
pub fn deep() -> String {
    let mut text = head(1_000);
    for at in 0..14 {
        let before = if at == 0 { "g0".to_owned() } else { format!("s{}", at - 1) };
        let terms: Vec<String> =
            (0..20).map(|term| format!("sum(tools.wide * {} / 9000 + g{} / 3000)", term + 1, term % 8)).collect();
        step(&mut text, &format!("s{at}"), &format!("round_up({before} / 2 + ({}) / 20)", terms.join(" + ")));
    }
    text
}

/// The same, with nothing that practice could set: what is wanted of a problem never holds.
pub fn barren(text: &str) -> String {
    format!("{text}[practice]\nrequire = [{{ rule = \"g0 > 89 in\", says = \"more than there is\" }}]\n")
}

/// Each by name.
pub fn all() -> [(&'static str, String); 4] {
    [("chain", chain()), ("choices", choices()), ("lists", lists()), ("deep", deep())]
}
