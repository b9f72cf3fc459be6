//! Rectangles on a strip, against instances whose optimum is published, and cut lists whose optimum was proved by a
//! constraint solver (CP-SAT of PyPI `ortools`, on a grid of 1/8 in).

use foldmark::lay::{Block, Fit, Packing, USUAL_WORK, bottom_left, least_length, levels, pack};
use foldmark::length::{Length, Unit};

/// A length in units of a thousandth of an inch, so that every published size is whole.
fn inches(count: f64) -> Length {
    let thousandth = Unit::Inch.length().nm() / 1_000;
    Length::from_nm((count * 1_000.0).round() as i64 * thousandth)
}

fn shown(length: Length) -> f64 {
    length.nm() as f64 / 25_400_000.0
}

/// Blocks of so many, across by along, as the published lists have them.
fn blocks(list: &[(usize, f64, f64)], turns: bool) -> Vec<Block> {
    let block = |&(count, across, along): &(usize, f64, f64)| {
        vec![Block { across: inches(across), along: inches(along), turns, on_fold: false }; count]
    };
    list.iter().flat_map(block).collect()
}

/// Nothing overlaps, nothing is outside, nothing is turned that may not be: in whole nanometres, pair by pair.
fn assert_sound(width: Length, blocks: &[Block], packing: &Packing) {
    let sides: Vec<(Length, Length, Length, Length)> = blocks
        .iter()
        .zip(&packing.places)
        .map(|(block, place)| {
            assert!(!place.is_turned || block.turns);
            let (across, along) =
                if place.is_turned { (block.along, block.across) } else { (block.across, block.along) };
            (place.across, place.across + across, place.along, place.along + along)
        })
        .collect();
    for (at, one) in sides.iter().enumerate() {
        assert!(one.0 >= Length::ZERO && one.1 <= width && one.2 >= Length::ZERO && one.3 <= packing.length);
        assert!(!blocks[at].on_fold || one.0 == Length::ZERO);
        for other in &sides[at + 1..] {
            assert!(one.1 <= other.0 || other.1 <= one.0 || one.3 <= other.2 || other.3 <= one.2, "{one:?} {other:?}");
        }
    }
    assert_eq!(packing.length, sides.iter().map(|one| one.3).max().unwrap_or(Length::ZERO));
}

/// An instance: name, width, blocks, optimum.
type Instance = (&'static str, f64, Vec<(usize, f64, f64)>, f64);

/// Perfect packings: the area fills the strip to the optimum.
fn published() -> Vec<Instance> {
    let squares = |sides: &[u8]| sides.iter().map(|side| (1, f64::from(*side), f64::from(*side))).collect();
    let list = |list: &[(usize, f64, f64)]| list.to_vec();
    vec![
        // Z. Moroń 1925, the squared rectangle of nine squares.
        ("M9", 33.0, squares(&[1, 4, 7, 8, 9, 10, 14, 15, 18]), 32.0),
        // A squared rectangle of order ten (C. J. Bouwkamp's lists).
        ("S10", 65.0, squares(&[3, 5, 6, 11, 17, 19, 22, 23, 24, 25]), 47.0),
        // A. J. W. Duijvestijn 1978, the squared square of least order (OEIS A014530).
        ("S21", 112.0, squares(&[2, 4, 6, 7, 8, 9, 11, 15, 16, 17, 18, 19, 24, 25, 27, 29, 33, 35, 37, 42, 50]), 112.0),
        // E. Hopper, B. C. H. Turton, EJOR 128 (2001), 34–57, category 1, problem 1.
        (
            "C1_1",
            20.0,
            list(&[
                (1, 2.0, 12.0),
                (1, 7.0, 12.0),
                (1, 8.0, 6.0),
                (1, 3.0, 6.0),
                (1, 3.0, 5.0),
                (1, 5.0, 5.0),
                (1, 3.0, 12.0),
                (1, 3.0, 7.0),
                (1, 5.0, 7.0),
                (1, 2.0, 6.0),
                (1, 3.0, 2.0),
                (1, 4.0, 2.0),
                (1, 3.0, 4.0),
                (1, 4.0, 4.0),
                (1, 9.0, 2.0),
                (1, 11.0, 2.0),
            ]),
            20.0,
        ),
        // E. K. Burke, G. Kendall, G. Whitwell, Operations Research 52 (2004), 655–671, N1 and N3.
        (
            "N1",
            40.0,
            list(&[
                (2, 7.0, 6.0),
                (1, 40.0, 16.0),
                (1, 5.0, 20.0),
                (1, 24.0, 24.0),
                (1, 7.0, 4.0),
                (1, 4.0, 4.0),
                (1, 7.0, 8.0),
                (1, 4.0, 20.0),
                (1, 5.0, 4.0),
            ]),
            40.0,
        ),
        (
            "N3",
            30.0,
            list(&[
                (1, 10.0, 6.0),
                (1, 4.0, 4.0),
                (1, 4.0, 5.0),
                (3, 3.0, 5.0),
                (1, 10.0, 5.0),
                (1, 7.0, 13.0),
                (3, 3.0, 4.0),
                (1, 8.0, 32.0),
                (1, 3.0, 23.0),
                (1, 6.0, 4.0),
                (1, 3.0, 15.0),
                (1, 9.0, 6.0),
                (3, 3.0, 3.0),
                (1, 6.0, 18.0),
                (1, 7.0, 5.0),
                (2, 5.0, 3.0),
                (1, 3.0, 8.0),
                (1, 5.0, 4.0),
                (1, 5.0, 8.0),
                (1, 5.0, 16.0),
                (1, 10.0, 13.0),
                (1, 10.0, 17.0),
                (1, 5.0, 14.0),
            ]),
            50.0,
        ),
        // The lining of a backpack on the cloth that it fills (see 15.2 in the table of cut lists).
        ("lining", 42.0, list(&[(2, 14.0, 17.0), (1, 14.0, 6.0), (1, 14.0, 11.0)]), 17.0),
    ]
}

/// What rows take was worked out outside, too.
#[test]
fn published_optima_are_found() {
    let rows: [(f64, f64); 7] =
        [(40.0, 40.0), (65.0, 65.0), (143.0, 134.0), (27.0, 25.0), (48.0, 46.0), (68.0, 68.0), (23.0, 23.0)];
    println!("{:8} {:>5} {:>8} {:>8} {:>8} {:>8} {:>8}", "", "items", "optimum", "next", "first", "bottom", "search");
    for ((name, width, list, optimum), (next_told, first_told)) in published().into_iter().zip(rows) {
        let (width, blocks) = (inches(width), blocks(&list, false));
        assert_eq!(shown(least_length(width, &blocks)), optimum, "{name}: a perfect packing");
        let mut by_width: Vec<usize> = (0..blocks.len()).collect();
        by_width.sort_by_key(|&index| std::cmp::Reverse((blocks[index].across, blocks[index].along)));
        let next = levels(width, &blocks, Fit::Next).unwrap();
        let first = levels(width, &blocks, Fit::First).unwrap();
        let bottom = bottom_left(width, &blocks, &by_width).unwrap();
        let best = pack(width, &blocks, USUAL_WORK).unwrap();
        for packing in [&next, &first, &bottom, &best] {
            assert_sound(width, &blocks, packing);
        }
        let tallest = blocks.iter().map(|block| shown(block.along)).fold(0.0, f64::max);
        let [next, first, bottom, best] = [next, first, bottom, best].map(|packing| shown(packing.length));
        println!("{name:8} {:5} {optimum:8} {next:8} {first:8} {bottom:8} {best:8}", blocks.len());
        assert_eq!((next, first), (next_told, first_told), "{name}");
        assert!(next <= 2.0 * optimum + tallest && first <= 1.7 * optimum + tallest, "{name}");
        assert!(bottom <= 3.0 * optimum, "{name}");
        if blocks.len() <= 20 {
            assert_eq!(best, optimum, "{name}");
        } else {
            assert!(best <= first, "{name}");
        }
    }
}

/// A cut list: width of the cloth, pieces, and what rows, the optimum as listed, and the optimum with quarter turns take.
type CutList = (&'static str, f64, Vec<(usize, f64, f64)>, f64, f64, Option<f64>);

/// Bags, aprons and covers whose whole cut list is published, in inches.
fn cut_lists() -> Vec<CutList> {
    let list = |list: &[(usize, f64, f64)]| list.to_vec();
    let backpack = list(&[(2, 14.0, 17.0), (1, 14.0, 6.0), (2, 3.5, 14.0), (2, 3.0, 3.5)]);
    vec![
        ("backpack, outer (joann.com)", 45.0, backpack, 23.0, 20.0, Some(17.0)),
        (
            "backpack, lining (joann.com)",
            45.0,
            list(&[(2, 14.0, 17.0), (1, 14.0, 6.0), (1, 14.0, 11.0)]),
            23.0,
            17.0,
            Some(17.0),
        ),
        (
            "bench cushion (instructables.com)",
            45.0,
            list(&[(1, 33.875, 4.25), (2, 33.875, 3.0), (2, 33.875, 15.875), (2, 15.875, 4.25)]),
            46.25,
            46.25,
            Some(36.0),
        ),
        (
            "half apron (blog.storey.com)",
            45.0,
            list(&[(1, 21.0, 8.0), (1, 26.0, 7.0), (1, 12.0, 21.0)]),
            28.0,
            21.0,
            Some(19.0),
        ),
        (
            "half apron on narrow cloth",
            36.0,
            list(&[(1, 21.0, 8.0), (1, 26.0, 7.0), (1, 21.0, 12.0)]),
            27.0,
            27.0,
            Some(21.0),
        ),
        ("book bag (eharrisgallery.com)", 42.0, list(&[(2, 12.5, 16.0), (2, 5.0, 15.0)]), 16.0, 16.0, Some(15.0)),
        ("its straps", 42.0, list(&[(2, 42.0, 6.0)]), 12.0, 12.0, Some(12.0)),
        ("its trims", 44.0, list(&[(3, 44.0, 4.0), (1, 44.0, 1.5)]), 13.5, 13.5, None),
        ("tote (housefulofhandmade)", 44.0, list(&[(2, 14.0, 16.0), (2, 6.0, 16.0)]), 16.0, 16.0, Some(16.0)),
        ("its straps", 44.0, list(&[(2, 44.0, 4.5)]), 9.0, 9.0, Some(9.0)),
        ("its pocket and sides", 44.0, list(&[(1, 8.0, 10.0), (2, 6.0, 14.0)]), 14.0, 14.0, Some(8.0)),
        ("lunch bag (instructables.com)", 45.0, list(&[(2, 12.0, 14.0), (1, 8.0, 6.0)]), 14.0, 14.0, Some(12.0)),
        ("lunch sack (allcraftsblogs.com)", 45.0, list(&[(2, 12.0, 15.5)]), 15.5, 15.5, Some(12.0)),
        (
            "no-pattern apron (pioneerthinking.com)",
            44.0,
            list(&[(2, 44.0, 2.0), (1, 44.0, 11.0), (1, 44.0, 21.0)]),
            36.0,
            36.0,
            None,
        ),
        ("bag of squares (andrewbwatt.com)", 44.0, list(&[(4, 18.0, 18.0)]), 36.0, 36.0, Some(36.0)),
        ("reversible tote (instructables.com)", 44.0, list(&[(2, 18.0, 18.0)]), 18.0, 18.0, Some(18.0)),
        ("reversible bag (oldentimes)", 44.0, list(&[(2, 21.0, 26.0)]), 26.0, 26.0, Some(26.0)),
        ("box cushion (homesteady.com)", 54.0, list(&[(8, 25.5, 16.5)]), 66.0, 66.0, None),
        ("pillows of 13 (threadbeargarments.com)", 60.0, list(&[(4, 14.0, 14.0)]), 14.0, 14.0, Some(14.0)),
        ("pillows of 18 (thesweethearttree.com)", 45.0, list(&[(4, 19.0, 19.0)]), 38.0, 38.0, Some(38.0)),
    ]
}

#[test]
fn published_cut_lists_take_what_was_proved() {
    println!("{:40} {:>8} {:>8} {:>8} {:>8} {:>8}", "", "area", "rows", "fixed", "turned", "used");
    for (name, width, list, rows, fixed, turned) in cut_lists() {
        let width = inches(width);
        let stays = blocks(&list, false);
        let first = levels(width, &stays, Fit::First).unwrap();
        let best = pack(width, &stays, USUAL_WORK).unwrap();
        assert_sound(width, &stays, &first);
        assert_sound(width, &stays, &best);
        let area: f64 = stays.iter().map(|block| shown(block.across) * shown(block.along)).sum();
        let bound = area / shown(width);
        let turns = blocks(&list, true);
        let with_turns = pack(width, &turns, USUAL_WORK).unwrap();
        assert_sound(width, &turns, &with_turns);
        let (told, used) = (shown(with_turns.length), 100.0 * bound / shown(best.length));
        println!("{name:40} {bound:8.2} {:8} {:8} {told:8} {used:6.0} %", shown(first.length), shown(best.length));
        assert_eq!((shown(first.length), shown(best.length)), (rows, fixed), "{name}");
        assert!(turned.is_none_or(|turned| turned == told), "{name}: {told}");
        assert!(bound <= told + 1e-9 && told <= shown(best.length), "{name}");
    }
}

/// Random blocks: every method is sound, and never below what is possible or above what it is proved to take.
#[test]
fn random_strips_are_sound() {
    let mut state = 5_u64;
    let mut draw = |most: u64| {
        state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (state >> 33) % most
    };
    for case in 0..if super::QUICK { 150 } else { 1_500 } {
        let width = inches(20.0 + draw(40) as f64);
        let count = 1 + draw(24) as usize;
        let blocks: Vec<Block> = (0..count)
            .map(|_| Block {
                across: inches(1.0 + draw(19) as f64),
                along: inches(0.5 * (1.0 + draw(60) as f64)),
                turns: case % 3 == 1,
                on_fold: case % 3 == 2 && draw(4) == 0,
            })
            .collect();
        let least = least_length(width, &blocks);
        let best = pack(width, &blocks, 5_000).unwrap();
        assert_sound(width, &blocks, &best);
        assert!(best.length >= least);
        for fit in [Fit::Next, Fit::First] {
            let rows = levels(width, &blocks, fit).unwrap();
            assert_sound(width, &blocks, &rows);
            if case % 3 == 0 {
                // The optimum is at most what was found.
                let tallest = blocks.iter().map(|block| shown(block.along)).fold(0.0, f64::max);
                let factor = if fit == Fit::Next { 2.0 } else { 1.7 };
                assert!(shown(rows.length) <= factor * shown(best.length) + tallest);
            }
            assert!(best.length <= levels(width, &blocks, Fit::First).unwrap().length);
        }
        assert_eq!(best, pack(width, &blocks, 5_000).unwrap(), "the same every time");
    }
    assert!(pack(inches(10.0), &[Block::fixed(inches(11.0), inches(1.0))], 10).is_none());
}
