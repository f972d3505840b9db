//! Options under their old names: refused, with the new one.

/// The value of an option under its old name: there is none, for the option is refused.
#[derive(Debug, Clone)]
pub(crate) enum Renamed {}

/// Refuses an option's old name with its new one.
pub(crate) fn renamed(now: &'static str) -> impl Fn(&str) -> Result<Renamed, String> + Clone {
    move |_| Err(format!("this option is now {now}"))
}
