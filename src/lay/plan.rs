//! The pieces of a draft laid on their cloths.

use super::block::{Block, Place, least_length};
use super::cloth::Cloth;
use super::fault::LayFault;
use super::search::pack;
use crate::draft::{Draft, PieceFault};
use crate::exercise::Piece;
use crate::geometry::{Bounds, Outline, Point};
use crate::length::Length;

/// The pieces of one cloth, laid.
#[derive(Debug, Clone)]
pub struct Lay<'e> {
    /// What the cloth is for, as the pieces name it.
    pub name: &'e str,
    /// The cloth.
    pub cloth: Cloth,
    /// Every piece in its place.
    pub laid: Vec<Laid<'e>>,
    /// How much of the cloth they take.
    pub length: Length,
    /// No lay of their boxes takes less.
    pub least: Length,
    /// How much of the cloth to buy.
    pub to_buy: Length,
}

impl Lay<'_> {
    /// How much of the lay is cloth of the pieces, in whole percent.
    pub fn used(&self) -> u32 {
        let area = |laid: &Laid| {
            let next = laid.outline.iter().cycle().skip(1);
            laid.outline.iter().zip(next).map(|(a, b)| a.x * b.y - b.x * a.y).sum::<f64>().abs() / 2.0
        };
        let layers = if self.cloth.is_folded { 2.0 } else { 1.0 };
        let cut = |laid: &Laid| if laid.on_fold { 2.0 } else { f64::from(laid.copies) } * area(laid);
        let whole = layers * self.cloth.room().as_mm() * self.length.as_mm();
        let part = self.laid.iter().map(cut).sum::<f64>() / whole;
        if part.is_finite() { libm::floor(part * 100.0 + 1e-6) as u32 } else { 0 }
    }
}

/// A piece on the cloth.
#[derive(Debug, Clone)]
pub struct Laid<'e> {
    /// The piece.
    pub piece: &'e Piece,
    /// Which of its copies, from 1.
    pub copy: u32,
    /// How many copies are cut there: two through a folded cloth.
    pub copies: u32,
    /// Its cutting line on the cloth, in millimetres: across from the left border, along from the beginning.
    pub outline: Vec<Point>,
    /// Its box on the cloth.
    pub bounds: Bounds,
    /// Whether its left side lies on the fold of the cloth, so that it is cut there by halves.
    pub on_fold: bool,
    /// Whether it lies mirrored: of a pair every second one does.
    pub is_mirrored: bool,
    /// Whether it lies turned by a quarter, its grain across the cloth.
    pub is_turned: bool,
}

/// What is to be laid at one place, as it lies with its grain along the cloth, its box beginning at zero.
struct Part<'e> {
    piece: &'e Piece,
    copy: u32,
    copies: u32,
    outline: Vec<Point>,
    size: (Length, Length),
    on_fold: bool,
    is_mirrored: bool,
}

/// Lays the pieces of a draft on their cloths, one lay for each cloth in the order of the pieces; `cloth_for` says what
/// each is cut from.
///
/// With the grain along the cloth, each piece lies as its arrow runs. Of a piece that is cut twice, every second one is
/// mirrored, as it is when cut through two layers. On an open cloth a piece on the fold lies opened out; on a folded one
/// it lies on the fold, if its fold edge runs along the grain.
///
/// ```
/// use foldmark::{draft::{Draft, Givens, Raw}, exercise::Shelf, lay::{self, Cloth}, length::{Length, Ruler, Unit}};
/// let shelf = Shelf::shipped();
/// let roll = shelf.get("flap-roll").unwrap();
/// let givens = Givens::read(roll, &Raw::example(roll), None, Ruler::EIGHTH).unwrap();
/// let draft = Draft::new(roll, givens).unwrap();
/// let lays = lay::plan(&draft, &|_| Cloth::usual(false), lay::USUAL_WORK).unwrap();
/// assert_eq!(lays.iter().map(|lay| lay.name).collect::<Vec<_>>(), ["outer cloth", "lining cloth", "interfacing"]);
/// // Outer and lining are 17 1/4 in high; the pocket, opened out, lies beside the lining.
/// assert_eq!(lays[1].length, Length::from_nm(Unit::Inch.length().nm() * 69 / 4));
/// ```
///
/// # Errors
/// A piece that can't be cut or laid, and why; the first one.
pub fn plan<'e>(draft: &Draft<'e>, cloth_for: &dyn Fn(&str) -> Cloth, work: u32) -> Result<Vec<Lay<'e>>, LayFault> {
    let mut names: Vec<&'e str> = Vec::new();
    for piece in draft.pieces() {
        if !names.contains(&piece.cloth.as_str()) {
            names.push(&piece.cloth);
        }
    }
    names.into_iter().map(|name| lay(draft, name, cloth_for(name), work)).collect()
}

fn lay<'e>(draft: &Draft<'e>, name: &'e str, cloth: Cloth, work: u32) -> Result<Lay<'e>, LayFault> {
    sound(name, &cloth)?;
    let mut parts: Vec<Part<'e>> = Vec::new();
    for piece in draft.pieces().filter(|piece| piece.cloth == name) {
        let cut = draft
            .piece(piece)
            .map_err(|fault| LayFault::Piece(PieceFault { piece: piece.title.clone(), message: fault.to_string() }))?;
        parts.extend(parts_of(piece, &cut.outline, cloth.is_folded));
    }
    let room = cloth.room();
    let block = |part: &Part| {
        let (across, along) = part.size;
        Block { across, along: cloth.taken(along), turns: cloth.turns, on_fold: part.on_fold }
    };
    let blocks: Vec<Block> = parts.iter().map(block).collect();
    let Some(packing) = pack(room, &blocks, work) else {
        let is_wide = |part: &&Part| part.size.0 > room && (!cloth.turns || part.on_fold || part.size.1 > room);
        let (piece, needs) =
            parts.iter().find(is_wide).map_or(("", (room, room)), |part| (&part.piece.title, part.size));
        return Err(LayFault::TooNarrow {
            cloth: name.to_owned(),
            piece: piece.to_owned(),
            room,
            needs,
            is_one_way: !cloth.may_turn(),
            turns: cloth.turns,
            is_folded: cloth.is_folded,
            ruler: draft.givens.ruler,
        });
    };
    let (length, least) = (packing.length, least_length(room, &blocks));
    let to_buy = cloth.to_buy(length);
    let needs = Cloth { step: Length::ZERO, ..cloth.clone() }.to_buy(length);
    if let Some(has) = cloth.length.filter(|has| *has < needs) {
        return Err(LayFault::TooShort { cloth: name.to_owned(), has, needs, ruler: draft.givens.ruler });
    }
    let laid = parts.into_iter().zip(packing.places).map(|(part, place)| at(part, place)).collect();
    Ok(Lay { name, cloth, laid, length, least, to_buy })
}

/// Whether there is such a cloth.
fn sound(name: &str, cloth: &Cloth) -> Result<(), LayFault> {
    let is_there = |length: Length| length > Length::ZERO && length <= Length::LIMIT;
    let may_be = |length: Length| length.is_zero() || is_there(length);
    let washed = cloth.washed.is_none_or(|washed| [washed.cut, washed.along, washed.across].into_iter().all(is_there));
    let measures = [
        ("the width", is_there(cloth.width)),
        ("the length", cloth.length.is_none_or(is_there)),
        ("the repeat of the print", may_be(cloth.repeat)),
        ("what is cut off the ends", may_be(cloth.ends)),
        ("the step in which it is sold", may_be(cloth.step)),
        ("the side of the test square", washed),
    ];
    if let Some((what, _)) = measures.into_iter().find(|(_, is_sound)| !is_sound) {
        return Err(LayFault::Impossible { cloth: name.to_owned(), what });
    }
    if !cloth.may_turn() && cloth.turns {
        return Err(LayFault::OneWayTurned { cloth: name.to_owned() });
    }
    Ok(())
}

/// Every place that a piece needs.
fn parts_of<'e>(piece: &'e Piece, outline: &Outline, is_folded: bool) -> Vec<Part<'e>> {
    // The grain along the cloth: of a piece with its grain across, the left end comes first.
    let along = |point: &Point| if piece.grain_up { *point } else { Point::new(-point.y, point.x) };
    let fold = outline.fold().map(|fold| (along(&fold.from()), along(&fold.to())));
    let on_fold = fold.filter(|(from, to)| is_folded && (from.x - to.x).abs() < 1e-6);
    let (points, exact) = if on_fold.is_none() && fold.is_some() {
        let points = outline.unfolded();
        let around = Bounds::around(points.clone());
        (points, around)
    } else {
        (outline.cutting(), Some(outline.cutting_bounds()))
    };
    let Some(bounds) = exact.and_then(|bounds| Bounds::around([along(&bounds.least), along(&bounds.most)])) else {
        return Vec::new();
    };
    let placed = |is_mirrored: bool| -> Vec<Point> {
        let shift = |point: Point| {
            let (left, right) = (point.x - bounds.least.x, bounds.most.x - point.x);
            Point::new(if is_mirrored { right } else { left }, point.y - bounds.least.y)
        };
        points.iter().map(|point| shift(along(point))).collect()
    };
    let size = (up(bounds.width()), up(bounds.height()));
    let part = |copy: u32, copies: u32, is_mirrored: bool| Part {
        piece,
        copy,
        copies,
        outline: placed(is_mirrored),
        size,
        on_fold: on_fold.is_some(),
        is_mirrored,
    };
    match on_fold {
        // A half whose fold is its right side lies mirrored: opened out, it is the same.
        Some((from, _)) => {
            let is_right = from.x - bounds.least.x > bounds.most.x - from.x;
            (1..=piece.count).map(|copy| part(copy, 1, is_right)).collect()
        }
        None if is_folded => {
            (0..piece.count.div_ceil(2)).map(|at| part(2 * at + 1, (piece.count - 2 * at).min(2), false)).collect()
        }
        None => (1..=piece.count).map(|copy| part(copy, 1, copy % 2 == 0)).collect(),
    }
}

/// Millimetres as a whole number of nanometres, never less than they are by more than a rounding.
fn up(mm: f64) -> Length {
    Length::from_mm(mm).unwrap_or(Length::LIMIT)
}

/// A part in its place.
fn at(part: Part<'_>, place: Place) -> Laid<'_> {
    let (across, along) = (place.across.as_mm(), place.along.as_mm());
    let (wide, high) = (part.size.0.as_mm(), part.size.1.as_mm());
    let moved = |point: &Point| {
        // A quarter to the left.
        let (x, y) = if place.is_turned { (high - point.y, point.x) } else { (point.x, point.y) };
        Point::new(across + x, along + y)
    };
    let (x, y) = if place.is_turned { (high, wide) } else { (wide, high) };
    Laid {
        piece: part.piece,
        copy: part.copy,
        copies: part.copies,
        outline: part.outline.iter().map(moved).collect(),
        bounds: Bounds { least: Point::new(across, along), most: Point::new(across + x, along + y) },
        on_fold: part.on_fold,
        is_mirrored: part.is_mirrored,
        is_turned: place.is_turned,
    }
}
