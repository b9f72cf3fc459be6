//! Pieces that lie closer together than their boxes.

use super::drafts::check;
use foldmark::draft::{Draft, Givens, Raw};
use foldmark::exercise::read;
use foldmark::figure::{self, Role};
use foldmark::lay::{Cloth, Lay, USUAL_WORK, plan};
use foldmark::length::{Length, Ruler, Unit};

/// The two sides of a bag that is wider at its base, and its base.
const BAG: &str = r#"
title = "Bag with slanting sides"
teaches = "A taper"
rulers = ["1/8 in", "1 mm"]

[[given]]
name = "base"
title = "Base"
kind = "length"
range = ["4 in", "40 in"]
usual = "12 in"

[[given]]
name = "mouth"
title = "Mouth"
kind = "length"
range = ["2 in", "40 in"]
usual = "6 in"

[[step]]
name = "height"
title = "Height"
value = "base - 2 in"
why = "As it looks well."

[[piece]]
name = "side"
title = "Side"
cloth = "outer cloth"
count = 2
grain = "up"
start = ["0 in", "0 in"]
edges = [
  { name = "base", to = ["base", "0 in"], allowance = "0 in" },
  { name = "right", to = ["half(base + mouth)", "height"], allowance = "0 in" },
  { name = "mouth", to = ["half(base - mouth)", "height"], allowance = "0 in" },
  { name = "left", allowance = "0 in" },
]
"#;

fn laid(cloth: Cloth) -> (f64, bool, String) {
    let exercise = read("slanting", BAG).unwrap_or_else(|faults| panic!("{faults:?}"));
    let givens = Givens::read(&exercise, &Raw::example(&exercise), None, Ruler::EIGHTH).unwrap();
    let draft = Draft::new(&exercise, givens).unwrap();
    let lays = plan(&draft, &|_| cloth.clone(), USUAL_WORK).unwrap();
    let [lay] = &lays[..] else { panic!("one cloth") };
    check(&draft, lay);
    let is_down = |lay: &Lay| lay.laid.iter().any(|laid| laid.is_upside_down);
    let figure = figure::lay(&draft, lay);
    // Each piece has its grain arrow.
    let arrows = figure.drawings()[0].paths().iter().filter(|path| path.role == Role::Grain).count();
    assert_eq!(arrows, lay.laid.len());
    (lay.length.nm() as f64 / 25.4e6, is_down(lay), figure.file())
}

/// Closed form: side by side, one upside down, two sides take 12 and 6 in across and the slant of one, 3 in, and 24 in the same
/// way up. So on 22 in of cloth they take one height of 10 in or two.
#[test]
fn one_upside_down_saves_a_row() {
    let cloth = |width: i64| Cloth { width: Length::of(width, Unit::Inch), ..Cloth::usual(false) };
    let (length, is_down, drawn) = laid(cloth(22));
    assert!((length - 10.0).abs() < 1e-6 && is_down, "{length}");
    assert!(drawn.contains("Side 1") && drawn.contains("Side 2"));
    for wide in [24, 30] {
        // There is room for both as they are.
        let (length, is_down, _) = laid(cloth(wide));
        assert!((length - 10.0).abs() < 1e-6 && !is_down, "{wide}: {length}");
    }
    // On a folded cloth both are cut at once, and the dimension along the fold names it.
    let (length, _, drawn) = laid(Cloth { is_folded: true, ..cloth(30) });
    assert!((length - 10.0).abs() < 1e-6 && drawn.contains(">fold ") && !drawn.contains("fold of the cloth"));
    // Nap, and a print that has to match, forbid it.
    assert_eq!(laid(Cloth { is_one_way: true, ..cloth(22) }).0, 20.0);
    let (length, is_down, _) = laid(Cloth { repeat: Length::of(3, Unit::Inch), ..cloth(22) });
    assert!((length - 24.0).abs() < 1e-6 && !is_down, "{length}");
}
