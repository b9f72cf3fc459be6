use foldmark::exercise::Shelf;
#[test]
fn zz() {
    let s = Shelf::shipped();
    let mut n = 0;
    for e in s.iter() {
        for (i, st) in e.steps.iter_enumerated() {
            let t = std::time::Instant::now();
            let c = e.changes(i);
            n += c.len();
            println!("{} {} {} {:?}", e.name, st.name, c.len(), t.elapsed());
        }
    }
    println!("{n}");
}
