//! All declared files, in the order in which results list them.

use crate::contract::{FileSpec, Written, documents, layers, rasters, tables};

/// Every declared file.
pub fn files() -> impl Iterator<Item = &'static FileSpec> {
    let groups: [&[&FileSpec]; 6] = [
        &layers::RESULT,
        &documents::BEFORE,
        &tables::RESULT,
        &rasters::RESULT,
        &documents::AFTER,
        &layers::ASIDE,
    ];
    groups.into_iter().flat_map(|group| group.to_vec())
}

/// The files of a result for which was asked what `asked` says.
pub(crate) fn asked_for(asked: &[Written]) -> impl Iterator<Item = &'static FileSpec> {
    files().filter(|f| f.written == Written::Always || asked.contains(&f.written))
}
