use foldmark::{draft::*, exercise::*, length::*};
fn main(){ let shelf = Shelf::shipped(); let e = shelf.get("flap-roll").unwrap();
 let g = Givens::read(e, &Raw::example(e), None, Ruler::EIGHTH).unwrap();
 let d = Draft::new(e, g, &|_,_| None).unwrap();
 for s in &e.steps { for r in 0..d.rows(s) { println!("{:28} {:14} {:20} = {} = {}", s.title, d.text(&s.name, r), d.row_name(s,r), d.rule(s), d.arithmetic(s,r)); } }
 for l in d.cutting_list().unwrap() { println!("{} {} {} x {} fold {:?}", l.piece.title, l.piece.count, d.write(l.width), d.write(l.height), l.fold); }
}
