//! Indices of what an exercise lists, each of a type of its own, so that none can be taken for another.

macro_rules! indices {
    ($($(#[$doc:meta])* $name:ident),+ $(,)?) => {$(
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub struct $name(pub usize);

        impl From<usize> for $name {
            fn from(index: usize) -> $name {
                $name(index)
            }
        }

        impl From<$name> for usize {
            fn from(index: $name) -> usize {
                index.0
            }
        }
    )+};
}

indices! {
    /// Which step, in the order of work.
    StepId,
    /// Which given, in the order of the file.
    GivenId,
    /// Which slip, in the order of the file.
    SlipId,
    /// Which piece, in the order of the file.
    PieceId,
}
