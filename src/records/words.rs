//! Distinct texts of a column, each stored once and known by a number.

use std::collections::HashMap;
use std::hash::{BuildHasher, RandomState};

/// The number of a text in [`Words`]; [`NO_WORD`] when nothing is recorded.
pub type Code = u32;

/// The code of a cell in which nothing is recorded.
pub const NO_WORD: Code = Code::MAX;

/// Distinct texts in one block of memory, numbered in the order they were first seen.
#[derive(Debug, Default, Clone)]
pub struct Words {
    text: String,
    ends: Vec<usize>,
    /// Hash of a text to the codes that share it; the texts themselves are compared in the block.
    index: HashMap<u64, Bucket, Passing>,
    hasher: RandomState,
}

#[derive(Debug, Clone)]
enum Bucket {
    One(Code),
    Several(Vec<Code>),
}

/// Hands an already hashed key through.
#[derive(Debug, Default, Clone)]
struct Passing;

#[derive(Debug, Default, Clone)]
struct PassingHasher(u64);

impl BuildHasher for Passing {
    type Hasher = PassingHasher;
    fn build_hasher(&self) -> PassingHasher {
        PassingHasher(0)
    }
}

impl std::hash::Hasher for PassingHasher {
    fn finish(&self) -> u64 {
        self.0
    }
    fn write(&mut self, bytes: &[u8]) {
        for &b in bytes {
            self.0 = self.0.rotate_left(8) ^ u64::from(b);
        }
    }
    fn write_u64(&mut self, value: u64) {
        self.0 = value;
    }
}

impl Words {
    /// Number of distinct texts.
    pub fn len(&self) -> usize {
        self.ends.len()
    }

    /// Whether there are none.
    pub fn is_empty(&self) -> bool {
        self.ends.is_empty()
    }

    /// The text of a code; empty for a code that was never given out.
    pub fn get(&self, code: Code) -> &str {
        let at = code as usize;
        let Some(&end) = self.ends.get(at) else {
            return "";
        };
        let start = if at == 0 { 0 } else { self.ends[at - 1] };
        &self.text[start..end]
    }

    /// The code of a text, if it is known.
    pub fn find(&self, text: &str) -> Option<Code> {
        match self.index.get(&self.hasher.hash_one(text))? {
            Bucket::One(code) => (self.get(*code) == text).then_some(*code),
            Bucket::Several(codes) => codes.iter().copied().find(|&c| self.get(c) == text),
        }
    }

    /// The code of a text, giving it a new one if it is not known yet.
    pub fn code(&mut self, text: &str) -> Code {
        if let Some(code) = self.find(text) {
            return code;
        }
        let code = self.ends.len() as Code;
        self.text.push_str(text);
        self.ends.push(self.text.len());
        self.index
            .entry(self.hasher.hash_one(text))
            .and_modify(|bucket| match bucket {
                Bucket::One(first) => *bucket = Bucket::Several(vec![*first, code]),
                Bucket::Several(codes) => codes.push(code),
            })
            .or_insert(Bucket::One(code));
        code
    }

    /// Every text, in the order of the codes.
    pub fn iter(&self) -> impl Iterator<Item = &str> {
        (0..self.ends.len()).map(|c| self.get(c as Code))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_text_has_one_code() {
        let mut words = Words::default();
        let a = words.code("007");
        let b = words.code("7");
        assert_eq!((a, b), (0, 1));
        assert_eq!(words.code("007"), a);
        assert_eq!(words.get(a), "007");
        assert_eq!(words.get(NO_WORD), "");
        assert_eq!(words.find("8"), None);
        assert_eq!(words.iter().collect::<Vec<_>>(), ["007", "7"]);
    }
}
