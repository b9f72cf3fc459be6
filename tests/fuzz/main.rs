//! Inputs by the thousand that nobody would write, made from such as people do: nothing panics, nothing overflows, and no text
//! becomes markup. In `corpus` there are for each target a few small inputs with much in them, and what was found; they are tried
//! first, and all others are made from them, too.
//!
//! `cargo test --test fuzz` tries so many of each as fit into the gate. A long run:
//! `FOLDMARK_FUZZ_SECONDS=3600 FOLDMARK_FUZZ_SEED=2 cargo test --test fuzz -- --nocapture`
//! tries each target for that long, from another seed, says how many inputs there were and which took longest, and leaves in
//! `target/fuzz` whatever failed.

mod chance;
mod mutate;
mod targets;

#[path = "../shared/mod.rs"]
mod shared;

use chance::Chance;
use std::fs;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};
use targets::{TARGETS, Target};

/// A number from the environment.
fn asked(name: &str) -> Option<u64> {
    std::env::var(name).ok()?.parse().ok()
}

fn corpus() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/fuzz/corpus")
}

/// Tries an input; one that fails is kept.
fn attempt(target: &Target, input: &[u8], what: &str) -> Duration {
    let start = Instant::now();
    if catch_unwind(AssertUnwindSafe(|| (target.run)(input))).is_err() {
        let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("target/fuzz");
        let kept = folder.join(format!("{}-{what}", target.name));
        fs::create_dir_all(&folder).and_then(|()| fs::write(&kept, input)).unwrap();
        panic!("{} failed for {what}; the input is in {}", target.name, kept.display());
    }
    start.elapsed()
}

fn fuzz(name: &str) {
    let target = TARGETS.iter().find(|target| target.name == name).unwrap();
    let corpus = corpus().join(name);
    let mut kept = Vec::new();
    for file in shared::names(&corpus) {
        let input = fs::read(corpus.join(&file)).unwrap();
        attempt(target, &input, &file);
        kept.push(input);
    }
    let mut seeds = (target.seeds)();
    assert!(!seeds.is_empty());
    for (at, seed) in seeds.iter().enumerate() {
        attempt(target, seed, &format!("seed-{at}"));
    }
    seeds.extend(kept);
    let seed = asked("FOLDMARK_FUZZ_SEED").unwrap_or(1);
    let seconds = asked("FOLDMARK_FUZZ_SECONDS");
    let start = Instant::now();
    let mut slowest = (Duration::ZERO, 0);
    let mut count = 0;
    while seconds.map_or(count < target.count, |seconds| start.elapsed().as_secs() < seconds) {
        // Every input follows from its own number, so that one that failed is found again.
        let mut chance = Chance::new(seed, count);
        let input = (target.make)(&mut chance, &seeds);
        slowest = slowest.max((attempt(target, &input, &format!("input-{seed}-{count}")), count));
        count += 1;
    }
    println!("{name}: {count} inputs in {:.0?}; input {} took longest, {:.1?}", start.elapsed(), slowest.1, slowest.0);
}

macro_rules! fuzzed {
    ($($name:ident)*) => {$(
        #[test]
        fn $name() {
            fuzz(stringify!($name));
        }
    )*};
}

fuzzed! {
    lengths formulas codes answers tables exercises chapters classes rosters records live archives spreadsheets
}

#[test]
fn every_target_is_tried() {
    assert_eq!(TARGETS.len(), 13);
    let mut targets = TARGETS.map(|target| target.name);
    targets.sort_unstable();
    assert_eq!(shared::names(&corpus()), targets, "and has a corpus");
    // What the program no longer reads as what it is would tell little.
    let exercise = fs::read_to_string(corpus().join("exercises/one-of-everything.toml")).unwrap();
    assert_eq!(foldmark::exercise::read("pin-case", &exercise).err(), None);
}
