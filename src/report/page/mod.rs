//! (in progress: being written)
/// Why.
#[derive(Debug, thiserror::Error)]
pub enum PageError {
    /// Template.
    #[error("{0}")]
    Template(String),
}
/// Page.
///
/// # Errors
/// [`PageError`].
pub fn render(_: &crate::analysis::Analysis, _: Option<&crate::simulate::Score>) -> Result<String, PageError> {
    Ok("in progress".into())
}
