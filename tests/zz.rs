use foldmark::length::{Length, Unit};
#[test]
fn zz() {
    for t in [
        "13 8/7",
        "4 and 3/4",
        "4 and a half",
        "four and a half",
        "eighteen",
        "12 and 1/2",
        "12¹⁄₂",
        "12 1/2\"\"",
        "143/4",
        "14-3/4",
        "14 3/4 in.",
        "3/4 of an inch",
        "１２ 1/2",
        "2,125",
        "7,375 in",
        "1 1/2 inches",
        "12 1/2 ins",
        "12 Zoll",
        "5 ㎝",
        "half an inch",
        "14 3-4",
        "14 3\\4",
        "14.3/4",
        "14 3 4",
        "9/8",
        "13 8/8",
        "0 3/4",
        "14 ¾",
        "14¾",
        "l4 3/4",
        "O.5",
        "14 3/5",
        "14 3/7",
    ] {
        println!("{t:20} {:?}", Length::read(t, Some(Unit::Inch)).map(|l| l.to_string()).map_err(|e| e.to_string()));
    }
}
