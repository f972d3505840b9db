//! Why no set of operations can be named.

/// Why no set of operations can be named.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum ChoiceError {
    /// A block that the study does not have.
    #[error("priorities.{key}: \"{value}\" is no block of the study; write one of {known}")]
    UnknownBlock {
        /// Key of the table.
        key: &'static str,
        /// What was written.
        value: String,
        /// Blocks known.
        known: String,
    },
    /// A zone that the study does not have.
    #[error("priorities.min_treated_share: \"{value}\" is no area of the study; write one of {known}")]
    UnknownArea {
        /// What was written.
        value: String,
        /// Areas known.
        known: String,
    },
    /// Two wishes that exclude each other.
    #[error("priorities.{key}: \"{value}\" cannot be treated: {reason}; take it out of one of the two")]
    Contradiction {
        /// Key that asks for it.
        key: &'static str,
        /// What was written.
        value: String,
        /// What forbids it.
        reason: String,
    },
    /// The wishes cannot be met whatever the money.
    #[error("the priorities cannot be met together: {0}")]
    Impossible(String),
    /// The budget does not pay for what must be done.
    #[error(
        "priorities.budget = {budget} does not pay for what must be done, which costs {least} at least; \
         raise it or ask for less"
    )]
    TooDear {
        /// Budget given.
        budget: f64,
        /// Cheapest set that meets all wishes.
        least: f64,
    },
    /// The solver gave up.
    #[error("the best set could not be computed: {0}")]
    Solver(String),
}
