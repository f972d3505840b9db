//! From the jaw to an age: an interval in months, its probability, and the reason.
//!
//! ```text
//! words ─ reading ─ claims ─┬─ schedule (the table) ─ interval: what every tooth allows
//!                           └─ chance: how likely each age is
//! ```
//!
//! Each tooth allows a range of ages: one that is through, the earliest age at which it comes or more; one
//! that is not, the latest age or less. The interval is what all of them allow: a broken jaw or a lower jaw
//! alone allows more, and more teeth through never make a pig younger. Teeth that allow nothing together
//! are a fault that names them ([`faults`]). The probability that the interval holds the age, and the
//! likeliest months within it, come from the same table read as distributions (`chance`).

pub(crate) mod chance;
pub(crate) mod estimate;
pub(crate) mod faults;
pub(crate) mod reading;
pub(crate) mod schedule;
pub(crate) mod statements;
pub(crate) mod teeth;
