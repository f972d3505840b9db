//! The page's drawings of figures over time and by area.
//!
//! | drawing | file |
//! | --- | --- |
//! | when each positive was infected | `windows` |
//! | hazard over time by area | `hazard` |
//! | what each budget buys | `frontier` |
//! | what was learnt against what was assumed | `learnt` |
//! | pigs by year and standing by area | `areas` |
//! | stated chance against what was true, where the truth is known | `reliability` |

pub(super) mod areas;
pub(super) mod frontier;
pub(super) mod hazard;
pub(super) mod learnt;
pub(super) mod reliability;
pub(super) mod windows;
