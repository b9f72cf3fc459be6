fn main(){ match foldmark::exercise::read("flap-roll", include_str!("../../exercises/flap-roll.toml")) { Ok(e)=>println!("{} steps", e.steps.len()), Err(f)=> for f in f { println!("{f}") } } }
