//! Answers kept for texts that were read before: a column of a sheet holds few different words.

use std::cell::RefCell;
use std::collections::HashMap;
use std::thread::LocalKey;

/// Most texts of which the answer is kept; a column of remarks would fill the memory otherwise.
const MOST: usize = 20_000;
/// Longest text of which the answer is kept, bytes.
const LONGEST: usize = 80;

/// Answers by text, of one thread.
pub(crate) type Answers<T> = RefCell<HashMap<String, T>>;

/// The answer for a text, made once. The answer must rest on the text alone.
pub(crate) fn answer<T: Clone>(
    kept: &'static LocalKey<Answers<T>>,
    text: &str,
    make: impl FnOnce(&str) -> T,
) -> T {
    if text.len() > LONGEST {
        return make(text);
    }
    if let Some(known) = kept.with_borrow(|kept| kept.get(text).cloned()) {
        return known;
    }
    let new = make(text);
    kept.with_borrow_mut(|kept| {
        if kept.len() >= MOST {
            kept.clear();
        }
        kept.insert(text.to_string(), new.clone());
    });
    new
}
