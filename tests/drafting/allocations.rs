//! Working an exercise again allocates nothing: what makes a hundred thousand problems a second possible.

use foldmark::draft::{Draft, Givens, Raw, work};
use foldmark::exercise::Shelf;
use foldmark::length::Ruler;

#[test]
fn working_an_exercise_again_allocates_nothing() {
    let shelf = Shelf::shipped();
    for exercise in shelf.iter() {
        let givens = Givens::read(exercise, &Raw::example(exercise), None, Ruler::EIGHTH).unwrap();
        let mut measures = givens.measures.clone();
        let count = allocation_counter::measure(|| {
            work(exercise, &mut measures, &|_, _| None).unwrap();
        });
        assert_eq!(count.count_total, 0, "{}", exercise.name);
        // The counter does count.
        let count = allocation_counter::measure(|| drop(Draft::new(exercise, givens.clone())));
        assert!(count.count_total > 0);
    }
}
