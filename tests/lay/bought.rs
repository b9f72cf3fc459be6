//! Lengths to buy against published lists, the source beside each, in inches; and the sources' own errors, which must not
//! come out.

use foldmark::lay::{Block, Cloth, USUAL_WORK, Washed, pack, rounded_up};
use foldmark::length::{Length, Unit};

fn inches(count: f64) -> Length {
    Length::from_nm((count * 8_000.0).round() as i64 * 3_175)
}

fn shown(length: Length) -> f64 {
    length.nm() as f64 / 25_400_000.0
}

/// A cloth that is bought by so many inches, with nothing cut off its ends.
fn cloth(width: f64, step: f64) -> Cloth {
    Cloth { width: inches(width), step: inches(step), ends: Length::ZERO, ..Cloth::usual(false) }
}

/// What is bought for pieces: count, across, along.
fn buys(cloth: &Cloth, pieces: &[(usize, f64, f64)]) -> Option<f64> {
    let block = |&(count, across, along): &(usize, f64, f64)| {
        let along = rounded_up(inches(along), cloth.repeat);
        vec![Block { across: inches(across), along, turns: cloth.turns, on_fold: false }; count]
    };
    let blocks: Vec<Block> = pieces.iter().flat_map(block).collect();
    Some(shown(cloth.to_buy(pack(cloth.room(), &blocks, USUAL_WORK)?.length)))
}

/// An eighth of a yard.
const EIGHTH: f64 = 4.5;

/// A list: source, width, whether pieces are turned, pieces, and what the source buys, in eighths of a yard.
type Bought = (&'static str, f64, bool, &'static [(usize, f64, f64)], f64);

/// Lists whose length comes out exactly as the source has it.
const SAME: &[Bought] = &[
    (
        "joann.com, backpack, casings turned",
        45.0,
        true,
        &[(2, 14.0, 17.0), (1, 14.0, 6.0), (2, 3.5, 14.0), (2, 3.0, 3.5)],
        4.0,
    ),
    ("joann.com, its lining", 45.0, false, &[(2, 14.0, 17.0), (1, 14.0, 6.0), (1, 14.0, 11.0)], 4.0),
    ("eharrisgallery.com, book bag", 42.0, false, &[(2, 12.5, 16.0), (2, 5.0, 15.0)], 4.0),
    ("eharrisgallery.com, trims, \"the exact amount\"", 44.0, false, &[(3, 44.0, 4.0), (1, 44.0, 1.5)], 3.0),
    ("housefulofhandmade, straps", 44.0, false, &[(2, 44.0, 4.5)], 2.0),
    ("housefulofhandmade, pocket and sides, turned", 44.0, true, &[(1, 8.0, 10.0), (2, 6.0, 14.0)], 2.0),
    ("instructables.com, lunch bag", 45.0, false, &[(2, 12.0, 14.0), (1, 8.0, 6.0)], 4.0),
    ("allcraftsblogs.com, lunch sack", 45.0, false, &[(2, 12.0, 15.5)], 4.0),
    ("pioneerthinking.com, no-pattern apron", 44.0, false, &[(2, 44.0, 2.0), (1, 44.0, 11.0), (1, 44.0, 21.0)], 8.0),
    ("Sunset 1990, shopping sack", 44.0, false, &[(1, 44.0, 12.0), (1, 44.0, 24.0)], 8.0),
    ("andrewbwatt.com, four squares of 18", 44.0, false, &[(4, 18.0, 18.0)], 8.0),
    ("instructables.com, two of 18 and 9 in for the straps", 44.0, false, &[(2, 18.0, 18.0), (1, 44.0, 9.0)], 6.0),
    ("homesteady.com, box cushion, 1.83", 54.0, false, &[(8, 25.5, 16.5)], 15.0),
    ("threadbeargarments.com, two pillows of 13", 60.0, false, &[(4, 14.0, 14.0)], 4.0),
    ("dummies.com, pillow of 14 on 54", 54.0, false, &[(2, 15.0, 15.0)], 4.0),
    ("dummies.com, pillow of 16 on 54", 54.0, false, &[(2, 17.0, 17.0)], 4.0),
    ("dummies.com, pillow of 18 on 54", 54.0, false, &[(2, 19.0, 19.0)], 5.0),
    ("dummies.com, pillow of 20 × 26 on 54", 54.0, false, &[(2, 27.0, 21.0)], 5.0),
    ("cherryblossomlove.com, envelope of 16", 44.0, false, &[(1, 38.0, 17.0)], 4.0),
    ("sylviasquiltdepot.com, binding of 46 × 46: 5 strips of 2 1/2", 40.0, false, &[(5, 40.0, 2.5)], 3.0),
    ("cottonpatchfabrics.com, binding: 5 strips of 3 1/2", 42.0, false, &[(5, 42.0, 3.5)], 4.0),
    ("quiltsbyjen.ca, binding: 6 strips of 2 1/4", 40.0, false, &[(6, 40.0, 2.25)], 3.0),
    ("anniescatalog.com 804, four strips of 2 1/2", 42.0, false, &[(4, 42.0, 2.5)], 3.0),
    ("homesteady.com how-7849834, 3 widths of 96", 54.0, false, &[(3, 54.0, 96.0)], 64.0),
];

/// Lists that buy more than is needed, and say so or not.
const GENEROUS: &[Bought] = &[
    ("eharrisgallery.com, straps", 42.0, false, &[(2, 42.0, 6.0)], 4.0),
    ("housefulofhandmade, tote", 44.0, false, &[(2, 14.0, 16.0), (2, 6.0, 16.0)], 6.0),
    ("oldentimes, reversible bag", 44.0, false, &[(2, 21.0, 26.0)], 8.0),
    ("blog.storey.com, half apron on 36", 36.0, false, &[(1, 21.0, 8.0), (1, 26.0, 7.0), (1, 21.0, 12.0)], 8.0),
    ("dummies.com, pillow of 20 on 54", 54.0, false, &[(2, 21.0, 21.0)], 6.0),
    ("dummies.com, pillow of 20 × 36 on 54, turned", 54.0, true, &[(2, 37.0, 21.0)], 10.0),
];

/// Lists with which no one could cut what they list.
const SHORT: &[Bought] = &[
    // Two squares of 31 do not come out of 36 by 54.
    ("dummies.com, pillow of 30 on 54", 54.0, false, &[(2, 31.0, 31.0)], 8.0),
    // 38 in does not come out of a yard.
    ("thesweethearttree.com, two pillows of 18", 45.0, false, &[(4, 19.0, 19.0)], 8.0),
    // As listed, 15.1 and 15.13 need their pieces turned, which a one-way print forbids.
    (
        "joann.com, backpack as listed",
        45.0,
        false,
        &[(2, 14.0, 17.0), (1, 14.0, 6.0), (2, 3.5, 14.0), (2, 3.0, 3.5)],
        4.0,
    ),
    ("housefulofhandmade, pocket and sides as listed", 44.0, false, &[(1, 8.0, 10.0), (2, 6.0, 14.0)], 2.0),
    // "Uses 3.09 widths": widths are whole, and 4 × 12 in do not come out of 1 1/4 yd.
    ("cornicekits.com, cornice in whole widths", 54.0, false, &[(4, 54.0, 12.0)], 10.0),
    // A 54 in square is said to be 1 1/4 yards; it is 1 1/2.
    ("cherryblossomlove.com, a 54 in square", 54.0, false, &[(1, 54.0, 54.0)], 10.0),
];

#[test]
fn published_lists_buy_what_they_say() {
    for (rows, is_right) in [
        (SAME, (|mine, theirs| mine == theirs) as fn(f64, f64) -> bool),
        (GENEROUS, |mine, theirs| mine < theirs),
        (SHORT, |mine, theirs| mine > theirs),
    ] {
        for (source, width, turns, pieces, eighths) in rows {
            let cloth = Cloth { turns: *turns, ..cloth(*width, EIGHTH) };
            let mine = buys(&cloth, pieces).unwrap() / EIGHTH;
            assert!(is_right(mine, *eighths), "{source}: {mine} eighths, and they buy {eighths}");
        }
    }
    // "13.33, so 14 yards" for 20 × 30 on 45 (a how-to page): 13.33 is inches by area, and a piece 30 in long takes 30.
    assert_eq!(buys(&cloth(45.0, EIGHTH), &[(1, 20.0, 30.0)]), Some(31.5));
    // An envelope of 46 does not lie across 44 (cherryblossomlove.com has it on 54).
    assert_eq!(buys(&cloth(44.0, EIGHTH), &[(1, 46.0, 21.0)]), None);
    assert_eq!(buys(&cloth(54.0, EIGHTH), &[(1, 46.0, 21.0)]), Some(22.5));
}

/// Bench cushion, instructables.com: 46 1/4 in net; it says "probably 1 1/2 yd".
#[test]
fn before_it_is_rounded_up() {
    let net = Cloth { step: Length::ZERO, ..cloth(45.0, EIGHTH) };
    let cushion = [(1, 33.875, 4.25), (2, 33.875, 3.0), (2, 33.875, 15.875), (2, 15.875, 4.25)];
    assert_eq!(buys(&net, &cushion), Some(46.25));
    // bobbininquilts.com: 300 of 3 × 2 on 40 take 24 rows, 48 in. harriger.com: 100 squares of 3 1/2 on 44 take 9 rows.
    assert_eq!(buys(&net, &[(24, 39.0, 2.0)]), Some(48.0));
    assert_eq!(buys(&cloth(44.0, EIGHTH), &[(9, 42.0, 3.5)]), Some(31.5));
}

/// Drops of a curtain on a print that repeats: each is rounded up to a multiple.
#[test]
fn repeats_are_rounded_up() {
    let with = |width: f64, repeat: f64| Cloth { repeat: inches(repeat), step: Length::ZERO, ..cloth(width, EIGHTH) };
    // drpinc.net: 4 widths cut 114, repeat 11: 4 × 121.
    assert_eq!(buys(&with(54.0, 11.0), &[(4, 54.0, 114.0)]), Some(484.0));
    // The same without a repeat; the page prints 12.6 yards for 12.67.
    assert_eq!(buys(&with(54.0, 0.0), &[(4, 54.0, 114.0)]), Some(456.0));
    // contractdecor.com: 3 widths of 79, repeat 8: 3 × 80.
    assert_eq!(buys(&with(54.0, 8.0), &[(3, 54.0, 79.0)]), Some(240.0));
    // mylltd.com: 8 widths of 106, repeat 24: 8 × 120.
    assert_eq!(buys(&with(48.0, 24.0), &[(8, 48.0, 106.0)]), Some(960.0));
    // mgrsewing.com: 2 widths of 100, repeat 26: 2 × 104, and not 252 as by adding a repeat to each.
    assert_eq!(buys(&with(54.0, 26.0), &[(2, 54.0, 100.0)]), Some(208.0));
    // galafabrics: what lies side by side costs no repeat.
    assert_eq!(buys(&with(54.0, 4.0), &[(2, 27.0, 20.0)]), Some(20.0));
    // cornicekits.com: with a repeat of 23 it buys 2 yards, and 4 × 23 = 92 in do not come out of 72.
    assert_eq!(buys(&with(54.0, 23.0), &[(4, 54.0, 12.0)]), Some(92.0));
}

/// How shops cut: by the eighth or the quarter of a yard, by the half metre, by ten centimetres.
#[test]
fn shops_round_up() {
    let yards = |count: f64| inches(36.0 * count);
    let centimetres = |count: i64| Length::of(count, Unit::Centimetre);
    // mixedupcreativeacademy.com: 148 in are 4.11, so 4 1/4 yards; barkclothhawaii.com: 15.376, so 15 1/2.
    assert_eq!(rounded_up(inches(148.0), yards(0.25)), yards(4.25));
    assert_eq!(rounded_up(inches(15.375 * 36.0), yards(0.5)), yards(15.5));
    // akindcloth.co.uk and others: 3.2 m are 3.5 m by half metres; by quarters 3.25 m, by ten centimetres 3.2 m.
    assert_eq!(rounded_up(centimetres(320), centimetres(50)), centimetres(350));
    assert_eq!(rounded_up(centimetres(320), centimetres(25)), centimetres(325));
    assert_eq!(rounded_up(centimetres(320), centimetres(10)), centimetres(320));
}

/// What shrinks is bought longer: wanted / (1 − s). Factors 3 % 1.0309, 5 % 1.0526, 8 % 1.0870, 10 % 1.1111, 15 % 1.1765.
#[test]
fn shrinkage_divides() {
    let millimetres = |count: i64| Length::of(count, Unit::Millimetre);
    for (percent, factor) in [(3, 1.0309), (5, 1.0526), (8, 1.0870), (10, 1.1111), (15, 1.1765)] {
        let left = millimetres(200 - 2 * percent);
        let washed = Washed { cut: millimetres(200), along: left, across: millimetres(200) };
        let cloth = Cloth { washed: Some(washed), step: Length::ZERO, ..cloth(45.0, EIGHTH) };
        let bought = cloth.to_buy(millimetres(1_000)).as_mm() / 1_000.0;
        assert!((bought - factor).abs() < 5e-5, "{percent} %: {bought}");
        assert!(bought > 1.0 + percent as f64 / 100.0, "not by adding the percentage");
    }
    // 10 % in the width: 60 becomes 54 (sewing.patternreview.com, tip 1810).
    let washed = Washed { cut: millimetres(200), along: millimetres(200), across: millimetres(180) };
    assert_eq!(shown(Cloth { washed: Some(washed), ..cloth(60.0, EIGHTH) }.room()), 54.0);
    // Folded, 60 and 54 are 30 and 27 (threadsmagazine.com, 2020).
    for (width, half) in [(60.0, 30.0), (54.0, 27.0), (45.0, 22.5)] {
        assert_eq!(shown(Cloth { is_folded: true, ..cloth(width, EIGHTH) }.room()), half);
    }
}
