//! Sheets that a teacher understands at a glance: one boxed tote on a 1/8 in ruler, right but for one thing that goes through
//! the sheet. The sheets and what a teacher says of them were drawn up by hand, outside the program.

use crate::shared::whole_shelf;
use foldmark::check::{MarkedSheet, Verdict, mark, read_answers, sentences};
use foldmark::class::{Points, Show};
use foldmark::exercise::Shelf;

/// Given: width 14 in, height 12 in, depth 4 in, seam 1/2 in, box seam 3/8 in, hem 1 1/2 in, reach 6 in, square measured from
/// the raw edge, strap 1 in wide with a tail of 1 1/2 in.
const RIGHT: [(&str, &str); 16] = [
    ("flat_width", "18"),
    ("flat_height", "14"),
    ("tip", "2"),
    ("across", "4"),
    ("square", "2 1/8"),
    ("cut_width", "19"),
    ("cut_height", "16"),
    ("base_left", "14 3/4"),
    ("side_left", "13 7/8"),
    ("strap_apart", "4 3/4"),
    ("strap_place", "6 5/8"),
    ("strap_drop", "7 1/2"),
    ("strap_length", "19 3/4"),
    ("strap_cut", "22 3/4"),
    ("strap_strip", "4"),
    ("lining_height", "14 1/2"),
];

/// The sheet with some answers changed.
fn sheet(changes: &[(&str, &str)]) -> MarkedSheet<'static> {
    let mut file = "exercise = \"boxed-tote\"\nstudent = \"Tansy\"\nunit = \"in\"\nruler = \"1/8 in\"\n[given]\nwidth = \"14\"\n\
                    height = \"12\"\ndepth = \"4\"\nmeasured = \"raw_edge\"\nseam = \"1/2\"\nbox_seam = \"3/8\"\nhem = \"1 1/2\"\n\
                    reach = \"6\"\nstrap_width = \"1\"\nstrap_tail = \"1 1/2\"\n[answer]\n"
        .to_owned();
    for (step, right) in RIGHT {
        let text = changes.iter().find(|(changed, _)| *changed == step).map_or(right, |(_, text)| text);
        file += &format!("{step} = \"{text}\"\n");
    }
    let shelf: &'static Shelf = Box::leak(Box::new(whole_shelf()));
    mark(shelf.get("boxed-tote").unwrap(), &read_answers(&file).unwrap()).unwrap()
}

/// What the sheet with some answers changed earns, the causes that are named, and how many answers are wrong.
fn marked(changes: &[(&str, &str)]) -> (Points, Vec<&'static str>, usize) {
    let sheet = sheet(changes);
    let exercise = sheet.truth.exercise;
    let causes = sheet.cells.iter().flat_map(|cell| cell.cause_names(exercise)).flatten().collect();
    let wrong = sheet.cells.iter().filter(|cell| cell.verdict.is_wrong()).count();
    (sheet.points, causes, wrong)
}

#[test]
fn a_right_sheet_is_right() {
    assert_eq!(marked(&[]), (Points::of(16), Vec::new(), 0));
}

/// Each of them has one mistake, and loses one point of sixteen.
#[test]
fn one_mistake_is_told_once_and_charged_once() {
    let centimetres = RIGHT.map(|(step, text)| {
        let inches: f64 = text
            .split(' ')
            .map(|part| match part.split_once('/') {
                Some((top, bottom)) => top.parse::<f64>().unwrap() / bottom.parse::<f64>().unwrap(),
                None => part.parse().unwrap(),
            })
            .sum();
        (step, format!("{:.1}", inches * 2.54))
    });
    let centimetres: Vec<(&str, &str)> = centimetres.iter().map(|(step, text)| (*step, text.as_str())).collect();
    let depth_of_5 = [
        ("flat_width", "19"),
        ("flat_height", "14 1/2"),
        ("tip", "2 1/2"),
        ("across", "5"),
        ("square", "2 5/8"),
        ("cut_width", "20"),
        ("cut_height", "16 1/2"),
        ("strap_place", "7 1/8"),
        ("lining_height", "15"),
    ];
    let height_of_12_and_a_half =
        [("flat_height", "14 1/2"), ("cut_height", "16 1/2"), ("side_left", "14 3/8"), ("lining_height", "15")];
    let seam_of_3_8 = [("square", "2"), ("cut_width", "18 3/4"), ("cut_height", "15 7/8"), ("lining_height", "14 3/8")];
    let seam_of_5_8 =
        [("square", "2 1/4"), ("cut_width", "19 1/4"), ("cut_height", "16 1/8"), ("lining_height", "14 5/8")];
    let sheets: [(&[(&str, &str)], &str); 10] = [
        (&depth_of_5, "given-misread"),
        (&height_of_12_and_a_half, "given-misread"),
        (&seam_of_3_8, "given-misread"),
        (&seam_of_5_8, "given-misread"),
        (&centimetres, "wrong-unit"),
        (&[("cut_width", "19 cm")], "wrong-unit"),
        (&[("cut_width", "91")], "slip-of-the-pen"),
        (&[("base_left", "143/4")], "slip-of-the-pen"),
        (&[("strap_length", "19 1/4")], "next-fraction"),
        (&[("strap_drop", "19 3/4"), ("strap_length", "7 1/2")], "exchanged"),
    ];
    for (changes, cause) in sheets {
        assert_eq!(marked(changes), (Points::of(15), vec![cause], 1), "{changes:?}");
    }
    // An inch, or a rule that comes to an inch more, such as twice a seam of half an inch: both are offered.
    for (step, written, rule) in [("cut_width", "20", "allowance-too-often"), ("strap_cut", "21 3/4", "rule-changed")] {
        let (points, mut causes, charged) = marked(&[(step, written)]);
        causes.sort();
        assert_eq!((points, causes, charged), (Points::of(15), vec!["a-whole-one-off", rule], 1), "{step}");
    }
}

/// From the cut width on every answer stands one line too low; the line that was left out and the answer that fell off the
/// sheet are missing, and nothing is wrong.
#[test]
fn answers_that_slipped_down_a_line_are_one_mistake() {
    let from = RIGHT.iter().position(|(step, _)| *step == "cut_width").unwrap();
    let mut slipped = vec![("cut_width", "")];
    slipped.extend((from + 1..RIGHT.len()).map(|at| (RIGHT[at].0, RIGHT[at - 1].1)));
    assert_eq!(marked(&slipped), (Points::of(14), vec!["shifted-by-a-line"], 0));
}

/// What can't be read is asked about, and what is spelled oddly is read.
#[test]
fn numbers_that_are_hard_to_read() {
    assert_eq!(marked(&[("strap_apart", "4 and 3/4")]), (Points::of(16), Vec::new(), 0));
    let said = |step: &str, text: &str| {
        let sheet = sheet(&[(step, text)]);
        let cell = sheet.cells.iter().find(|cell| cell.written == text).unwrap();
        assert_eq!((cell.verdict, sheet.points), (Verdict::Unreadable, Points::of(15)));
        sentences(&sheet, cell, Show::Full).join(" ")
    };
    assert!(said("side_left", "13 8/7").contains(" Did you mean 13 7/8 in?"));
    assert!(said("flat_width", "eighteen").contains("write it in figures"));
}
