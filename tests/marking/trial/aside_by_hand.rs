//! Set aside: slips thought out, of other kinds than the open ones.

use super::by_hand::ByHand;

pub const BY_HAND: &[ByHand] = &[];
