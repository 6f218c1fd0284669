//! The nearest known names of unknown ones, looked for once a name, and for the first names of a table only.

use std::collections::HashMap;

use super::words::Code;

/// Unknown names of one table whose nearest are looked for. Each costs a look at every known name; a table with more unknown
/// names than these has another trouble than slips.
const MOST_SEARCHED: usize = 200;

/// What was found so far, by the code of the unknown name.
#[derive(Debug, Default)]
pub(super) struct Offers(HashMap<Code, Option<Box<str>>>);

impl Offers {
    /// The names to offer for an unknown one, found by `search` when it is met first.
    pub(super) fn of(&mut self, code: Code, search: impl FnOnce() -> Option<Box<str>>) -> Option<Box<str>> {
        if self.0.len() >= MOST_SEARCHED {
            return self.0.get(&code).cloned().flatten();
        }
        self.0.entry(code).or_insert_with(search).clone()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_is_looked_for_once_and_the_first_names_only() {
        let mut offers = Offers::default();
        let mut searched = 0;
        for _ in 0..2 {
            for code in 0..1000 {
                let found = offers.of(code, || {
                    searched += 1;
                    Some("A1".into())
                });
                assert_eq!(found.is_some(), code < MOST_SEARCHED as u32);
            }
        }
        assert_eq!(searched, MOST_SEARCHED);
    }
}
