//! What several tests share.

pub mod freedom_arithmetic;
