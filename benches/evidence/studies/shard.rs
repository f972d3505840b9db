//! A share i of n of a study whose parts do not depend on one another.

use std::str::FromStr;

/// Share `index` (from 1) of `of`: the parts whose number leaves `index - 1` when divided by `of`.
///
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Shard {
    index: usize,
    of: usize,
}

impl Shard {
    /// The whole study.
    pub const ALL: Shard = Shard { index: 1, of: 1 };
    /// Whether part number `k`, counted from 0, belongs to this share.
    pub fn takes(self, k: usize) -> bool {
        k % self.of == self.index - 1
    }
    /// A file name's ending for this share: `1-of-4`.
    pub fn name(self) -> String {
        format!("{}-of-{}", self.index, self.of)
    }
}

impl FromStr for Shard {
    type Err = String;
    fn from_str(text: &str) -> Result<Shard, String> {
        let fault = || format!("share {text:?} is not of the form i/n with i from 1 to n; write 1/4, say");
        let (index, of) = text.split_once('/').ok_or_else(fault)?;
        match (index.parse(), of.parse()) {
            (Ok(index), Ok(of)) if index >= 1 && index <= of => Ok(Shard { index, of }),
            _ => Err(fault()),
        }
    }
}
