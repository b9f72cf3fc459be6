//! How long 100,000 problems with their answers take, for every exercise and level: timed once each, on all cores.

use foldmark::exercise::{Shelf, StepId};
use foldmark::formula::Values;
use foldmark::practice::{Maker, Task};
use rayon::prelude::*;
use std::time::Instant;

/// Prints the least and the most among all levels of all exercises. `quick` only looks whether it works.
pub fn print(quick: bool) {
    let (wanted, chunk) = if quick { (500, 50) } else { (100_000, 2_000) };
    let shelf = Shelf::shipped();
    let mut timed = Vec::new();
    for exercise in shelf.iter() {
        for level in &exercise.practice.levels {
            let ruler = exercise.at_level(level.level).expect("it has the level").usual_ruler(false);
            let maker = Maker::new(exercise, level.level, Task::Draft, ruler).expect("the ruler is its own");
            let first = exercise.step(&exercise.steps[StepId(0)].name).expect("it has steps").slot;
            let begun = Instant::now();
            let made: (usize, f64) = (0..wanted / chunk)
                .into_par_iter()
                .map(|part| {
                    let (mut made, mut sum) = (0, 0.0);
                    maker.many(part * chunk..(part + 1) * chunk, &mut |_, measures| {
                        made += 1;
                        sum += measures.value(first, 0).unwrap();
                    });
                    (made, sum)
                })
                .reduce(|| (0, 0.0), |one, other| (one.0 + other.0, one.1 + other.1));
            let each = begun.elapsed().as_secs_f64() / made.0.max(1) as f64;
            timed.push((each * 100_000.0, format!("{} at level {}", exercise.name, level.level), made.0));
        }
    }
    timed.sort_by(|one, other| one.0.total_cmp(&other.0));
    let cores = rayon::current_num_threads();
    println!("100,000 problems with their answers on {cores} threads:");
    for (seconds, what, made) in timed.iter().take(2).chain(timed.iter().rev().take(6).rev()) {
        println!("  {seconds:6.3} s  {what} ({made} made)");
    }
}
