//! Which of several rows with one key only repeat what an earlier one says.

/// The rows of the present key as they were read, before anything was merged into the first.
///
/// A merged row no longer says what any row said, so copies are looked for among the rows as read; how many are copies
/// then does not depend on their order.
#[derive(Debug)]
pub(super) struct SameKey<K, V> {
    key: Option<K>,
    seen: Vec<V>,
}

impl<K: PartialEq, V: PartialEq> SameKey<K, V> {
    pub(super) fn new() -> SameKey<K, V> {
        SameKey { key: None, seen: Vec::new() }
    }

    /// Whether `other` says what a row of its key said before. `first` is the key's first row; it is looked at only when
    /// the key is new, and then nothing has been merged into it.
    pub(super) fn is_copy(&mut self, key: K, first: V, other: V) -> bool {
        if self.key.as_ref() != Some(&key) {
            self.key = Some(key);
            self.seen.clear();
            self.seen.push(first);
        }
        let copy = self.seen.contains(&other);
        if !copy {
            self.seen.push(other);
        }
        copy
    }
}
