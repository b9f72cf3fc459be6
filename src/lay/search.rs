//! The shortest strip that some blocks can be laid on, as far as so much work finds it.

use super::block::{Block, Packing, Place, least_length};
use super::bottom_left::bottom_left;
use super::levels::{Fit, levels};
use crate::length::Length;
use std::cmp::Reverse;
use std::collections::{BTreeSet, HashSet};

/// So many blocks are tried in so many places, whatever the machine: enough for lists of twenty pieces.
pub const USUAL_WORK: u32 = 60_000;

/// More blocks than this are laid in rows: no one would cut from anything else.
const MOST_BLOCKS: usize = 60;

/// So many lengths between the best that is known and the least that is possible are told apart at the most.
const MOST_LENGTHS: usize = 4_096;

/// The shortest strip found within so much work: rows and bottom-left first, then branch and bound. A strip of the
/// [`least_length`] is the shortest there is. `None`, if a block is too wide.
///
/// Branch and bound asks whether all can be laid within a length: the lowest of the heights reached so far, the leftmost
/// if several are alike, gets one of the blocks left over, at its left or its right end, or it is left empty up to the
/// lower of its neighbours. As soon as more is left empty than the length can spare, or a state comes again, it turns
/// back. The heights reached so far and the rule for the lowest of them are those of best fit; which lengths are asked
/// for is bisected among the sums of the blocks' lengths, for no shortest strip has another.
///
/// # Source
/// E. K. Burke, G. Kendall, G. Whitwell, "A new placement heuristic for the orthogonal stock-cutting problem", Operations
/// Research 52 (2004), 655–671, for best fit; S. Martello, M. Monaci, D. Vigo, "An exact approach to the strip-packing
/// problem", INFORMS Journal on Computing 15 (2003), 310–319, for branch and bound on strips (the latter from memory).
///
/// ```
/// use foldmark::{lay::{Block, pack, USUAL_WORK}, length::{Length, Unit}};
/// let inches = |count| Length::of(count, Unit::Inch);
/// // Moroń's nine squares, which fill a rectangle of 32 by 33.
/// let squares = [1, 4, 7, 8, 9, 10, 14, 15, 18].map(|side| Block::fixed(inches(side), inches(side)));
/// assert_eq!(pack(inches(33), &squares, USUAL_WORK).unwrap().length, inches(32));
/// ```
pub fn pack(width: Length, blocks: &[Block], work: u32) -> Option<Packing> {
    if blocks.len() > MOST_BLOCKS {
        return levels(width, blocks, Fit::First);
    }
    let mut best = by_hand(width, blocks)?;
    let least = least_length(width, blocks);
    let mut lengths = lengths(blocks, least, best.length);
    let mut work = work;
    // The least that is possible first, with half of the work; then by halves.
    let (mut at, mut share) = (0, work / 2);
    while !lengths.is_empty() && best.length > least && work > 0 {
        let target = lengths[at];
        let mut search = Search::new(width.nm(), blocks, target, share.min(work));
        let found = search.run();
        work -= search.spent.min(work).max(1);
        match found {
            Some(packing) => {
                lengths.retain(|length| *length < packing.length.nm());
                best = packing;
            }
            None => {
                lengths.retain(|length| *length > target);
            }
        }
        (at, share) = (lengths.len() / 2, (work / 3).max(1));
    }
    Some(best)
}

/// What blocks are sorted by.
type Key = fn(&Block) -> (i128, i128);

/// The best of the simple methods.
fn by_hand(width: Length, blocks: &[Block]) -> Option<Packing> {
    let orders: [Key; 4] = [
        |block| (block.along.nm().into(), block.across.nm().into()),
        |block| (block.across.nm().into(), block.along.nm().into()),
        |block| (block.area(), block.along.nm().into()),
        |block| (block.across.max(block.along).nm().into(), block.area()),
    ];
    let ordered = |key: Key| {
        let mut order: Vec<usize> = (0..blocks.len()).collect();
        order.sort_by_key(|&index| Reverse((blocks[index].on_fold, key(&blocks[index]))));
        bottom_left(width, blocks, &order)
    };
    let rows = levels(width, blocks, Fit::First)?;
    // Where several are alike, the rows come first: they are cut most easily.
    std::iter::once(rows).chain(orders.into_iter().filter_map(ordered)).min_by_key(|packing| packing.length)
}

/// The lengths that a strip can have, from the least that is possible to less than what is known.
fn lengths(blocks: &[Block], least: Length, known: Length) -> Vec<i64> {
    let (least, known) = (least.nm(), known.nm());
    let mut sums: BTreeSet<i64> = BTreeSet::from([0]);
    for block in blocks {
        let sides = if block.turns { vec![block.along.nm(), block.across.nm()] } else { vec![block.along.nm()] };
        let more: Vec<i64> = sums.iter().flat_map(|sum| sides.iter().map(move |side| sum + side)).collect();
        sums.extend(more.into_iter().filter(|sum| *sum < known));
        if sums.len() > 4 * MOST_LENGTHS {
            break;
        }
    }
    let between: Vec<i64> = if sums.len() > 4 * MOST_LENGTHS {
        let steps = MOST_LENGTHS as i64;
        (0..steps).map(|step| least + (known - least) / steps * step).collect()
    } else {
        sums.into_iter().filter(|sum| (least..known).contains(sum)).collect()
    };
    // The least itself is asked for first, whether or not it is a sum: where it is not, that is soon settled.
    let mut lengths = between;
    lengths.insert(0, least);
    lengths.dedup();
    lengths.retain(|length| *length < known);
    lengths
}

/// Blocks that are alike.
struct Kind {
    ways: Vec<(i64, i64, bool)>,
    on_fold: bool,
    members: Vec<usize>,
}

/// A stretch across the strip up to which it is taken.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
struct Reach {
    from: i64,
    to: i64,
    along: i64,
}

struct Search {
    target: i64,
    kinds: Vec<Kind>,
    /// How many of each kind are not laid yet.
    left: Vec<usize>,
    /// What may still be left empty, in square nanometres.
    spare: i128,
    reaches: Vec<Reach>,
    laid: Vec<(usize, Place)>,
    seen: HashSet<u64>,
    spent: u32,
    work: u32,
    count: usize,
}

impl Search {
    fn new(width: i64, blocks: &[Block], target: i64, work: u32) -> Search {
        let mut kinds: Vec<Kind> = Vec::new();
        let mut order: Vec<usize> = (0..blocks.len()).collect();
        // The largest first: what it leaves empty shows early.
        order.sort_by_key(|&index| Reverse((blocks[index].area(), blocks[index].across)));
        for index in order {
            let block = &blocks[index];
            let alike = |kind: &&mut Kind| blocks[kind.members[0]] == *block;
            match kinds.iter_mut().find(alike) {
                Some(kind) => kind.members.push(index),
                None => kinds.push(Kind { ways: block.ways(width), on_fold: block.on_fold, members: vec![index] }),
            }
        }
        let area: i128 = blocks.iter().map(Block::area).sum();
        Search {
            target,
            left: kinds.iter().map(|kind| kind.members.len()).collect(),
            kinds,
            spare: i128::from(width) * i128::from(target) - area,
            reaches: vec![Reach { from: 0, to: width, along: 0 }],
            laid: Vec::with_capacity(blocks.len()),
            seen: HashSet::new(),
            spent: 0,
            work,
            count: blocks.len(),
        }
    }

    /// All blocks laid within the length, if such a lay is found.
    fn run(&mut self) -> Option<Packing> {
        if self.spare < 0 || !self.fill() {
            return None;
        }
        let mut places = vec![Place { across: Length::ZERO, along: Length::ZERO, is_turned: false }; self.count];
        for (index, place) in &self.laid {
            places[*index] = *place;
        }
        let length = self.reaches.iter().map(|reach| reach.along).max().unwrap_or(0);
        Some(Packing { places, length: Length::from_nm(length) })
    }

    /// Whether what is left can be laid on what is reached; if not, everything is as before.
    fn fill(&mut self) -> bool {
        if self.laid.len() == self.count {
            return true;
        }
        let Some(lowest) = (0..self.reaches.len()).min_by_key(|at| self.reaches[*at].along) else { return false };
        let reach = self.reaches[lowest];
        if self.spent >= self.work || !self.seen.insert(self.state()) {
            return false;
        }
        let room = reach.to - reach.from;
        for kind in 0..self.kinds.len() {
            if self.left[kind] == 0 || (self.kinds[kind].on_fold && reach.from > 0) {
                continue;
            }
            for way in 0..self.kinds[kind].ways.len() {
                let (across, along, _) = self.kinds[kind].ways[way];
                if across > room || reach.along + along > self.target {
                    continue;
                }
                self.spent += 1;
                if self.lay(kind, way, lowest, false) || (across < room && self.lay(kind, way, lowest, true)) {
                    return true;
                }
            }
        }
        self.leave_empty(lowest)
    }

    /// Lays a block on the lowest reach, at its left or its right end, and goes on. At its right end, what lies left of
    /// it stays empty up to the lower neighbour.
    fn lay(&mut self, kind: usize, way: usize, at: usize, at_right: bool) -> bool {
        let reach = self.reaches[at];
        let (across, along, is_turned) = self.kinds[kind].ways[way];
        if at_right && self.kinds[kind].on_fold {
            return false;
        }
        let before = (self.reaches.clone(), self.spare);
        let top = reach.along + along;
        let from = if at_right { reach.to - across } else { reach.from };
        let mut parts = vec![Reach { from, to: from + across, along: top }];
        if at_right {
            let beside = at.checked_sub(1).map_or(top, |left| self.reaches[left].along.min(top));
            parts.insert(0, Reach { from: reach.from, to: from, along: beside });
            self.spare -= i128::from(from - reach.from) * i128::from(beside - reach.along);
        } else if across < reach.to - reach.from {
            parts.push(Reach { from: from + across, ..reach });
        }
        if self.spare < 0 {
            self.spare = before.1;
            return false;
        }
        self.reaches.splice(at..=at, parts);
        self.join();
        let member = self.left[kind] - 1;
        self.left[kind] = member;
        let place = Place { across: Length::from_nm(from), along: Length::from_nm(reach.along), is_turned };
        self.laid.push((self.kinds[kind].members[member], place));
        if self.fill() {
            return true;
        }
        self.laid.pop();
        self.left[kind] += 1;
        (self.reaches, self.spare) = before;
        false
    }

    /// Leaves the lowest reach empty up to its lower neighbour, and goes on.
    fn leave_empty(&mut self, at: usize) -> bool {
        let reach = self.reaches[at];
        let beside = [at.checked_sub(1), Some(at + 1)].into_iter().flatten();
        let Some(up) = beside.filter_map(|at| self.reaches.get(at)).map(|reach| reach.along).min() else {
            return false;
        };
        let empty = i128::from(reach.to - reach.from) * i128::from(up - reach.along);
        if empty > self.spare {
            return false;
        }
        let before = self.reaches.clone();
        self.spare -= empty;
        self.reaches[at].along = up;
        self.join();
        if self.fill() {
            return true;
        }
        self.spare += empty;
        self.reaches = before;
        false
    }

    /// Makes one of neighbours that reach equally far.
    fn join(&mut self) {
        self.reaches.dedup_by(|next, before| {
            let is_even = next.along == before.along;
            if is_even {
                before.to = next.to;
            }
            is_even
        });
    }

    /// What decides how it goes on, as a number (Fowler, Noll and Vo's hash over whole words). Two states with one number
    /// would cost a lay that is as good, never make a wrong one.
    fn state(&self) -> u64 {
        let reaches = self.reaches.iter().flat_map(|reach| [reach.to as u64, reach.along as u64]);
        let words = reaches.chain(self.left.iter().map(|left| *left as u64));
        words.fold(0xcbf2_9ce4_8422_2325, |hash, word| (hash ^ word).wrapping_mul(0x100_0000_01b3).rotate_left(23))
    }
}
