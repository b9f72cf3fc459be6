//! `foldmark lay`: the pieces of a draft on their cloths, and what to buy.

use super::args::LayArgs;
use super::draft::worked;
use super::shelf::open;
use super::terminal::{Done, Failure, Status, notice, print, print_json};
use crate::draft::{Draft, Entry, Raw};
use crate::exercise::FittingKind;
use crate::figure;
use crate::files::{Staged, shown};
use crate::lay::{Cloth, Lay, USUAL_WORK, Washed, plan, to_buy};
use crate::length::{Length, Rounding, Ruler, Unit};
use crate::text::{Shown, did_you_mean, harmless};
use serde::Serialize;

/// What may be said of a cloth, in the words of the command line.
const WORDS: [&str; 9] = ["width", "length", "repeat", "one_way", "turn", "folded", "ends", "washed", "step"];

pub(super) fn run(args: &LayArgs) -> Done {
    let shelf = open(&args.drafting.shelf)?;
    let mut notices = Vec::new();
    let draft = worked(&args.drafting, &shelf, &mut notices)?;
    let cloths = Cloths::read(args, &draft)?;
    let lays = plan(&draft, &|name| cloths.of(name), USUAL_WORK)?;
    // Other widths are only for comparison: where a piece is too wide, there is nothing to compare.
    let on_other_width = |lay: &Lay, width: Length| {
        let cloth = Cloth { width, length: None, ..lay.cloth.clone() };
        let others = plan(&draft, &|_| cloth.clone(), USUAL_WORK / 4).ok()?;
        others.into_iter().find(|other| other.name == lay.name).map(|other| (width, other.to_buy))
    };
    let widths = Cloth::widths(draft.givens.ruler.is_metric());
    let other_widths = |lay: &Lay| -> Vec<(Length, Length)> {
        let others = widths.into_iter().filter(|width| *width != lay.cloth.width);
        others.filter_map(|width| on_other_width(lay, width)).collect()
    };
    let beside = beside(&draft, cloths.usual.step)?;
    let text = if args.json { String::new() } else { text(&draft, &lays, &other_widths) + &beside };
    notices.iter().for_each(|sentence| notice(sentence));
    if let Some(dir) = &args.out {
        let staged = Staged::new(dir)?;
        let mut names = Vec::new();
        for lay in &lays {
            let name = format!("lay-{}.svg", lay.name.replace(|letter: char| !letter.is_ascii_alphanumeric(), "-"));
            staged.write(&name, &figure::lay(&draft, lay).file())?;
            names.push(name);
        }
        staged.put(&names.iter().map(String::as_str).collect::<Vec<_>>(), args.force)?;
        notice(&format!("the drawings of {} lays are in {}", names.len(), shown(dir)));
    }
    if args.json {
        print_json(&lays.iter().map(|lay| data(&draft, lay)).collect::<Vec<_>>())?;
    } else {
        print(&text)?;
    }
    Ok(Status::Well)
}

/// Every cloth of a draft.
struct Cloths {
    usual: Cloth,
    named: Vec<(String, Cloth)>,
}

impl Cloths {
    fn read(args: &LayArgs, draft: &Draft) -> Result<Cloths, Failure> {
        let bare = args.drafting.measuring.unit;
        let mut usual = Cloth::usual(draft.givens.ruler.is_metric());
        let lengths = [&args.width, &args.length, &args.repeat, &args.ends, &args.washed, &args.step];
        let keys = ["width", "length", "repeat", "ends", "washed", "step"];
        let mut faults = Vec::new();
        for (key, text) in keys.iter().zip(lengths).filter_map(|(key, text)| Some((*key, text.as_ref()?))) {
            faults.extend(put(&mut usual, key, text, bare).err().map(|fault| format!("--{key}: {fault}")));
        }
        usual.is_one_way = args.one_way;
        usual.turns = args.turn;
        usual.is_folded = args.folded;
        let mut raw = Raw::default();
        for written in &args.cloths {
            if raw.add(written).is_err() {
                faults.push(format!(
                    "\"{}\" says nothing of a cloth; write its name and what holds of it, such as \"lining cloth=width: 54 in\"",
                    harmless(written, 60)
                ));
            }
        }
        faults.extend(raw.singles.iter().map(|entry| {
            format!("\"{}\": write what is meant with a colon, such as \"width: 54 in\"", harmless(&entry.key, 40))
        }));
        let known: Vec<&str> = draft.pieces().map(|piece| piece.cloth.as_str()).collect();
        let mut named = Vec::new();
        for (name, rows) in raw.tables {
            if !known.contains(&name.as_str()) {
                let hint = did_you_mean(&name, known.iter().copied(), Shown::Bare);
                let hint = hint.unwrap_or_else(|| format!("there is {}", known.join(", ")));
                faults.push(format!("no piece of this draft is cut from \"{}\"; {hint}", harmless(&name, 40)));
                continue;
            }
            let mut cloth = usual.clone();
            for Entry { key, text, .. } in rows.iter().flat_map(|row| &row.cells) {
                faults.extend(put(&mut cloth, key, text, bare).err().map(|fault| format!("{name}, {key}: {fault}")));
            }
            named.push((name, cloth));
        }
        if faults.is_empty() { Ok(Cloths { usual, named }) } else { Err(Failure(faults)) }
    }

    fn of(&self, name: &str) -> Cloth {
        self.named.iter().find(|(known, _)| known == name).map_or(&self.usual, |(_, cloth)| cloth).clone()
    }
}

/// Puts in what is said of a cloth under one of the words.
fn put(cloth: &mut Cloth, key: &str, text: &str, bare: Option<Unit>) -> Result<(), String> {
    let length = |text: &str| Length::read(text, bare).map_err(|fault| fault.to_string());
    let truth = || match text.trim() {
        "yes" => Ok(true),
        "no" => Ok(false),
        _ => Err(format!("\"{}\": write yes or no", harmless(text, 20))),
    };
    match key {
        "width" => cloth.width = length(text)?,
        "length" => cloth.length = Some(length(text)?),
        "repeat" => cloth.repeat = length(text)?,
        "ends" => cloth.ends = length(text)?,
        "step" => cloth.step = length(text)?,
        "one_way" => cloth.is_one_way = truth()?,
        "turn" => cloth.turns = truth()?,
        "folded" => cloth.is_folded = truth()?,
        "washed" => {
            let parts: Vec<&str> = text.split(", ").collect();
            let [cut, along, across] = parts[..] else {
                return Err(
                    "three lengths are expected, such as \"20 cm, 19 cm, 19.5 cm\": the side of the square, then \
                            along the grain and across after washing"
                        .to_owned(),
                );
            };
            cloth.washed = Some(Washed { cut: length(cut)?, along: length(along)?, across: length(across)? });
        }
        _ => {
            let hint = did_you_mean(key, WORDS, Shown::Bare);
            let hint = hint.unwrap_or_else(|| format!("there is {}", WORDS.join(", ")));
            return Err(format!("nothing of a cloth is called so; {hint}"));
        }
    }
    Ok(())
}

/// As it is bought: in yards and their parts, or in metres. An odd step leaves an odd length, which is told as measured.
fn bought(length: Length, ruler: Ruler) -> String {
    let yard = Unit::Yard.length();
    let eighth = Length::from_nm(yard.nm() / 8);
    if ruler.is_metric() {
        let hundredths = length.round_to(Length::of(1, Unit::Centimetre), Rounding::Up).nm() / 10_000_000;
        return format!("{}.{:02} m", hundredths / 100, hundredths % 100);
    }
    let eighths = length.nm() / eighth.nm();
    if eighth * eighths != length {
        return ruler.write(length).to_string();
    }
    let (whole, part) = (eighths / 8, eighths % 8);
    let fraction = ["", "1/8", "1/4", "3/8", "1/2", "5/8", "3/4", "7/8"][part as usize];
    let number = match (whole, part) {
        (0, 0) => "0".to_owned(),
        (0, _) => fraction.to_owned(),
        (_, 0) => whole.to_string(),
        _ => format!("{whole} {fraction}"),
    };
    format!("{number} yd")
}

fn text(draft: &Draft, lays: &[Lay], other_widths: &dyn Fn(&Lay) -> Vec<(Length, Length)>) -> String {
    let ruler = draft.givens.ruler;
    let mut text = format!("{}\n\nTo buy\n", draft.exercise.title);
    for lay in lays {
        let width = draft.write(lay.cloth.width);
        let (used, length) = (lay.used(), draft.write(lay.length));
        let is_least = if lay.length == lay.least { ", and can't be shorter" } else { "" };
        text += &format!(
            "  {}, {width} wide: {}\n    the lay is {length} long{is_least}; {used} % of it is used\n",
            lay.name,
            bought(lay.to_buy, ruler)
        );
        let others: Vec<String> = other_widths(lay)
            .into_iter()
            .map(|(width, length)| format!("{} wide: {}", draft.write(width), bought(length, ruler)))
            .collect();
        if !others.is_empty() {
            text += &format!("    {}\n", others.join(", "));
        }
    }
    text
}

/// What to buy beside cloth, a line each.
fn beside(draft: &Draft, step: Length) -> Result<String, Failure> {
    let ruler = draft.givens.ruler;
    let mut text = String::new();
    for fitted in draft.fittings()? {
        let fitting = fitted.fitting;
        let several = if fitting.count > 1 { format!("{} × ", fitting.count) } else { String::new() };
        let bought = to_buy(&fitted, step, ruler.is_metric()).map(|length| {
            let is_sized = fitting.kind == FittingKind::Zip;
            if is_sized { ruler.write(length).to_string() } else { bought(length, ruler) }
        });
        let told = match (fitting.kind, fitted.length) {
            (FittingKind::Zip, Some(covers)) => {
                let size = bought.unwrap_or_else(|| "no size is so long: cut it from a continuous zip".to_owned());
                format!("{several}{size}; it has to cover {}", draft.write(covers))
            }
            (FittingKind::Ring, Some(wide)) => format!("{several}{} wide inside", draft.write(wide)),
            (_, Some(length)) => format!("{}; cut {several}{}", bought.unwrap_or_default(), draft.write(length)),
            (_, None) => fitting.count.to_string(),
        };
        let note = if fitting.note.is_empty() { String::new() } else { format!(" ({})", fitting.note) };
        text += &format!("  {}: {told}{note}\n", fitting.title);
    }
    Ok(text)
}

#[derive(Serialize)]
struct LayData<'l> {
    cloth: &'l str,
    width: String,
    to_buy: String,
    to_buy_nanometres: i64,
    length: String,
    percent_used: u32,
    pieces: Vec<PlaceData<'l>>,
}

#[derive(Serialize)]
struct PlaceData<'l> {
    piece: &'l str,
    copy: u32,
    copies: u32,
    across: String,
    along: String,
    on_fold: bool,
    mirrored: bool,
    turned: bool,
}

fn data<'l>(draft: &Draft, lay: &'l Lay) -> LayData<'l> {
    let pieces = lay.laid.iter().map(|laid| PlaceData {
        piece: &laid.piece.name,
        copy: laid.copy,
        copies: laid.copies,
        across: draft.written(laid.bounds.least.x),
        along: draft.written(laid.bounds.least.y),
        on_fold: laid.on_fold,
        mirrored: laid.is_mirrored,
        turned: laid.is_turned,
    });
    LayData {
        cloth: lay.name,
        width: draft.write(lay.cloth.width).to_string(),
        to_buy: bought(lay.to_buy, draft.givens.ruler),
        to_buy_nanometres: lay.to_buy.nm(),
        length: draft.write(lay.length).to_string(),
        percent_used: lay.used(),
        pieces: pieces.collect(),
    }
}
