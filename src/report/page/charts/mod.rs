//! The page's drawings of figures over time and by area.
//!
//! | drawing | file |
//! | --- | --- |
//! | when each positive was infected | `windows` |
//! | an area's card: its course and its probability of freedom | `course` |
//! | force of infection over time by area | `force_of_infection` |
//! | what each budget buys | `frontier` |
//! | what was learnt against what was assumed | `learnt` |
//! | pigs by year and standing by area | `areas` |
//! | stated probability against what was true, where the truth is known | `reliability` |

pub(crate) mod areas;
pub(crate) mod course;
pub(crate) mod force_of_infection;
pub(crate) mod frontier;
pub(crate) mod land;
pub(crate) mod learnt;
pub(crate) mod reliability;
pub(crate) mod windows;
