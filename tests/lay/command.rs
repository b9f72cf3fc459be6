//! `foldmark lay`, as its users run it.

use super::shared::{files, folder, names, run};

#[test]
fn a_lay_is_told_and_drawn() {
    let place = folder();
    let (status, out, told) = run(place.path(), &["lay", "boxed-tote", "--width", "60 in", "--out", "lays"]);
    assert_eq!(status, 0, "{told}");
    assert!(
        out.contains("outer cloth, 60 in wide: ") && out.contains(" yd\n") && out.contains("lining cloth"),
        "{out}"
    );
    assert_eq!(names(&place.path().join("lays")), ["lay-lining-cloth.svg", "lay-outer-cloth.svg"]);
    let drawn = files(&place.path().join("lays"));
    let drawing = std::str::from_utf8(&drawn["lay-outer-cloth.svg"]).unwrap();
    for name in ["Panel 1", "Panel 2", "Strap 1", "Strap 2", "12 in", "selvage"] {
        assert!(drawing.contains(&format!(">{name}<")), "{name}");
    }
    // Again into the same place: only with --force, and then the same bytes.
    let (status, ..) = run(place.path(), &["lay", "boxed-tote", "--width", "60 in", "--out", "lays"]);
    assert_eq!(status, 2);
    run(place.path(), &["lay", "boxed-tote", "--width", "60 in", "--out", "lays", "--force"]);
    assert_eq!(files(&place.path().join("lays")), drawn);
    // Metres where the ruler is metric; one cloth unlike the others.
    let (_, out, _) = run(
        place.path(),
        &["lay", "zip-pouch", "--ruler", "1 mm", "--cloth", "lining cloth=width: 140 cm, step: 50 cm"],
    );
    assert!(out.contains("outer cloth, 110 cm wide: ") && out.contains("lining cloth, 140 cm wide: 0.50 m"), "{out}");
    let (_, json, _) = run(place.path(), &["lay", "boxed-tote", "--json"]);
    assert!(json.contains("\"to_buy_nanometres\"") && json.contains("\"piece\": \"panel\""), "{json}");
}

#[test]
fn what_cannot_be_laid_is_told_and_nothing_is_written() {
    let place = folder();
    let faults: [(&[&str], &str); 11] = [
        (&["--width", "0 in"], "outer cloth: the width can't be nothing"),
        (&["--width=-3 in"], "outer cloth: the width can't be nothing"),
        (&["--width", "wide"], "--width: "),
        (&["--one-way", "--turn"], "so no piece may be turned on it"),
        (&["--length", "5 in"], "too short; take more, or a wider cloth"),
        (&["--width", "15 in"], "\"Panel\" needs "),
        (&["--washed", "20 cm, 19 cm"], "three lengths are expected"),
        (&["--cloth", "velvet=width: 20 in"], "no piece of this draft is cut from \"velvet\""),
        (&["--cloth", "outer cloth=widht: 20 in"], "did you mean width?"),
        (&["--cloth", "outer cloth=turn: perhaps"], "write yes or no"),
        (&["--cloth", "outer cloth"], "says nothing of a cloth"),
    ];
    for (arguments, sentence) in faults {
        let (status, out, told) = run(place.path(), &[&["lay", "boxed-tote", "--out", "lays"], arguments].concat());
        assert_eq!(status, 2, "{arguments:?}");
        assert!(told.contains(sentence) && out.is_empty(), "{arguments:?}: {told}");
        assert!(names(place.path()).is_empty(), "{arguments:?}");
    }
    // A piece that is too wide: by how much, and what helps.
    let (_, _, told) = run(place.path(), &["lay", "flap-roll", "--width", "12 in"]);
    assert!(told.contains("Turning it by a quarter does not help") && told.contains("Joined from 2 parts"), "{told}");
    let (_, _, told) = run(place.path(), &["lay", "boxed-tote", "--width", "16 1/2 in", "--one-way"]);
    assert!(told.contains("nap or print forbid it"), "{told}");
    let (_, _, told) = run(place.path(), &["lay", "boxed-tote", "--width", "16 1/2 in"]);
    assert!(told.contains("then its grain runs across the cloth"), "{told}");
}
