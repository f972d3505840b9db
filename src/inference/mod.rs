//! The posterior of one study: where chains start, how they are run and kept, whether they agree.

pub(crate) mod posterior;
pub(crate) mod warm_start;
