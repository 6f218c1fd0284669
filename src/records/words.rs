//! Distinct texts of a column, each stored once and known by a number.

use std::hash::BuildHasher;

use hashbrown::{DefaultHashBuilder, HashTable};

/// The number of a text in [`Words`]; [`NO_WORD`] when nothing is recorded.
pub type Code = u32;

/// The code of a cell in which nothing is recorded.
pub const NO_WORD: Code = Code::MAX;

/// Distinct texts in one block of memory, numbered in the order they were first seen.
#[derive(Debug, Default, Clone)]
pub struct Words {
    text: String,
    ends: Vec<usize>,
    /// The codes, found by the hash of their text; the texts themselves are compared in the block.
    index: HashTable<Code>,
    hasher: DefaultHashBuilder,
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
        text_of(&self.text, &self.ends, code)
    }

    /// The code of a text, if it is known.
    pub fn find(&self, text: &str) -> Option<Code> {
        self.index.find(self.hasher.hash_one(text), |&code| self.get(code) == text).copied()
    }

    /// The code of a text, giving it a new one if it is not known yet.
    pub fn code(&mut self, text: &str) -> Code {
        let hash = self.hasher.hash_one(text);
        let known = self.index.find(hash, |&code| text_of(&self.text, &self.ends, code) == text);
        if let Some(&code) = known {
            return code;
        }
        let code = self.ends.len() as Code;
        self.text.push_str(text);
        self.ends.push(self.text.len());
        let (block, ends, hasher) = (&self.text, &self.ends, &self.hasher);
        self.index.insert_unique(hash, code, |&code| hasher.hash_one(text_of(block, ends, code)));
        code
    }

    /// Every text, in the order of the codes.
    pub fn iter(&self) -> impl Iterator<Item = &str> {
        (0..self.ends.len()).map(|c| self.get(c as Code))
    }
}

fn text_of<'t>(block: &'t str, ends: &[usize], code: Code) -> &'t str {
    let at = code as usize;
    let Some(&end) = ends.get(at) else {
        return "";
    };
    let start = if at == 0 { 0 } else { ends[at - 1] };
    &block[start..end]
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
