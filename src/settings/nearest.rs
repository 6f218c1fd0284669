//! Which known name was probably meant by an unknown one.
//!
//! Used wherever a name that a person typed is not known: keys and sections of the settings, columns, propellers, models,
//! bases.

/// The candidate that `wanted` was most probably meant to be, or `None` when none is close.
///
/// Close means at most one slip in three characters (at least one is always allowed), upper and lower case being equal,
/// and never as many slips as `wanted` has characters. Of several at one distance the one in the same case wins, then the
/// first in alphabetical order, so the order of `candidates` does not matter.
///
/// Each call looks at every candidate once; a caller with many equal unknown names asks once for each name.
///
/// ```
/// # use bladewane::settings::nearest;
/// assert_eq!(nearest("waning_days", ["warning_days", "weight_time"]), Some("warning_days"));
/// assert_eq!(nearest("K-2031", ["K-2013", "B-7720"]), Some("K-2013"));
/// assert_eq!(nearest("zebra", ["warning_days", "weight_time"]), None);
/// ```
pub fn nearest<'a>(wanted: &str, candidates: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    let typed: Vec<char> = wanted.chars().collect();
    let folded: Vec<char> = in_lower_case(wanted).collect();
    let letters = Letters::of(&folded);
    let mut slips = Slips::default();
    let mut other = Vec::new();
    let mut limit = (folded.len() / 3).max(1).min(folded.len().saturating_sub(1));
    let mut best: Option<((usize, usize), &'a str)> = None;
    for candidate in candidates {
        other.clear();
        other.extend(in_lower_case(candidate));
        // Most names of a large fleet are passed over here.
        if folded.len().abs_diff(other.len()) > limit || letters.unmatched(&other) > limit {
            continue;
        }
        let between = slips.between(&folded, &other);
        if between > limit {
            continue;
        }
        other.clear();
        other.extend(candidate.chars());
        let closeness = (between, slips.between(&typed, &other));
        if best.is_none_or(|found| (closeness, candidate) < found) {
            best = Some((closeness, candidate));
            limit = between;
        }
    }
    best.map(|(_, name)| name)
}

/// The Damerau-Levenshtein distance: the smallest number of characters inserted, left out, replaced, or swapped with the
/// next, that turns `a` into `b`. Swapped characters may be edited in between (the unrestricted form, Lowrance and Wagner
/// 1975), so the distance is a true metric. Time and memory grow as the product of the lengths.
pub fn distance(a: &str, b: &str) -> usize {
    let (a, b): (Vec<char>, Vec<char>) = (a.chars().collect(), b.chars().collect());
    Slips::default().between(&a, &b)
}

fn in_lower_case(text: &str) -> impl Iterator<Item = char> + '_ {
    text.chars().flat_map(char::to_lowercase)
}

/// How often each ASCII character stands in a text: a quick lower bound of the distance.
struct Letters {
    counts: [i32; 128],
    total: usize,
}

impl Letters {
    fn of(text: &[char]) -> Letters {
        let mut counts = [0; 128];
        let mut total = 0;
        for &c in text {
            if let Some(count) = counts.get_mut(c as usize) {
                *count += 1;
                total += 1;
            }
        }
        Letters { counts, total }
    }

    /// The larger of the numbers of letters that one text has and the other has not. A slip changes each of the two
    /// numbers by one at the most, so the distance is never smaller; other characters are left out of both.
    fn unmatched(&self, other: &[char]) -> usize {
        let mut left = self.counts;
        let (mut matched, mut surplus) = (0, 0);
        for &c in other {
            let Some(count) = left.get_mut(c as usize) else {
                continue;
            };
            *count -= 1;
            if *count >= 0 {
                matched += 1;
            } else {
                surplus += 1;
            }
        }
        surplus.max(self.total - matched)
    }
}

/// The working space of the distance, kept from one pair of texts to the next.
#[derive(Default)]
struct Slips {
    table: Vec<usize>,
    last_rows: Vec<(char, usize)>,
}

impl Slips {
    fn between(&mut self, a: &[char], b: &[char]) -> usize {
        let width = b.len() + 2;
        // Row and column 0 hold a value that no minimum ever picks; the distance of the first i and j characters is at
        // (i + 1, j + 1).
        let table = &mut self.table;
        table.clear();
        table.resize((a.len() + 2) * width, a.len() + b.len());
        for i in 0..=a.len() {
            table[(i + 1) * width + 1] = i;
        }
        for j in 0..=b.len() {
            table[width + j + 1] = j;
        }
        // For each character the last row of `a` that held it, counted from 1; the newest stands last.
        let last_rows = &mut self.last_rows;
        last_rows.clear();
        for i in 1..=a.len() {
            let mut last_column = 0;
            for j in 1..=b.len() {
                let equal = a[i - 1] == b[j - 1];
                let row = last_rows.iter().rev().find(|(c, _)| *c == b[j - 1]).map_or(0, |(_, row)| *row);
                let replaced = table[i * width + j] + usize::from(!equal);
                let inserted = table[(i + 1) * width + j] + 1;
                let left_out = table[i * width + j + 1] + 1;
                let swapped = table[row * width + last_column] + (i - row - 1) + 1 + (j - last_column - 1);
                table[(i + 1) * width + j + 1] = replaced.min(inserted).min(left_out).min(swapped);
                if equal {
                    last_column = j;
                }
            }
            last_rows.push((a[i - 1], i));
        }
        table[(a.len() + 1) * width + b.len() + 1]
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn distances_of_the_textbooks() {
        // "kitten" to "sitting" and "saturday" to "sunday": the worked examples of the Levenshtein distance, 3 each.
        assert_eq!(distance("kitten", "sitting"), 3);
        assert_eq!(distance("saturday", "sunday"), 3);
        // The case that tells the unrestricted distance (2: swap, then insert between) from the restricted one (3).
        assert_eq!(distance("ca", "abc"), 2);
        // One swap of neighbours is one slip, not two.
        assert_eq!(distance("hagnar", "hangar"), 1);
        assert_eq!(distance("", "abc"), 3);
        assert_eq!(distance("abc", ""), 3);
        assert_eq!(distance("", ""), 0);
        // Characters are counted, not bytes.
        assert_eq!(distance("Zürich", "Zurich"), 1);
    }

    #[test]
    fn the_nearest_name_does_not_depend_on_the_order() {
        assert_eq!(nearest("base", ["bass", "case"]), Some("bass"));
        assert_eq!(nearest("base", ["case", "bass"]), Some("bass"));
    }

    #[test]
    fn case_decides_only_between_equals() {
        assert_eq!(nearest("WARNING_DAYS", ["warning_days"]), Some("warning_days"));
        assert_eq!(nearest("k-2013", ["K-2014", "K-2013"]), Some("K-2013"));
        assert_eq!(nearest("ab-1", ["AB-2", "ab-3"]), Some("ab-3"));
    }

    #[test]
    fn nothing_close_gives_nothing() {
        assert_eq!(nearest("zebra", ["warning_days"]), None);
        assert_eq!(nearest("x", ["a", "b"]), None);
        assert_eq!(nearest("ab", ["cd", "ax"]), Some("ax"));
        assert_eq!(nearest("", ["a"]), None);
        assert_eq!(nearest("warning_days", []), None);
    }

    /// The distance as its definition says it, for one slip: every text that one insertion, omission, replacement or swap
    /// of neighbours makes.
    fn one_slip_away(text: &[char], letters: &[char]) -> Vec<Vec<char>> {
        let mut texts = Vec::new();
        for at in 0..=text.len() {
            for &letter in letters {
                let mut longer = text.to_vec();
                longer.insert(at, letter);
                texts.push(longer);
                if at < text.len() {
                    let mut replaced = text.to_vec();
                    replaced[at] = letter;
                    texts.push(replaced);
                }
            }
            if at < text.len() {
                let mut shorter = text.to_vec();
                shorter.remove(at);
                texts.push(shorter);
            }
            if at + 1 < text.len() {
                let mut swapped = text.to_vec();
                swapped.swap(at, at + 1);
                texts.push(swapped);
            }
        }
        texts
    }

    /// The smallest number of steps by breadth-first search through all texts of at most `longest` letters.
    fn steps_by_search(from: &str, to: &str, letters: &[char], longest: usize) -> usize {
        let goal: Vec<char> = to.chars().collect();
        let mut front = vec![from.chars().collect::<Vec<char>>()];
        let mut seen: std::collections::HashSet<Vec<char>> = front.iter().cloned().collect();
        let mut steps = 0;
        while !seen.contains(&goal) {
            steps += 1;
            let mut next = Vec::new();
            for text in &front {
                for other in one_slip_away(text, letters) {
                    if other.len() <= longest && seen.insert(other.clone()) {
                        next.push(other);
                    }
                }
            }
            front = next;
        }
        steps
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(60))]

        #[test]
        fn the_distance_is_the_shortest_path_of_slips(a in "[abc]{0,4}", b in "[abc]{0,4}") {
            prop_assert_eq!(distance(&a, &b), steps_by_search(&a, &b, &['a', 'b', 'c'], 5));
        }
    }

    proptest! {
        /// The shortcuts of the search lose nothing.
        #[test]
        fn the_nearest_is_the_one_of_least_distance(wanted in "[abAB1é]{0,7}", names in prop::collection::vec("[abAB1é]{0,7}", 0..12)) {
            let length = wanted.to_lowercase().chars().count();
            let allowed = (length / 3).max(1).min(length.saturating_sub(1));
            let slow = names
                .iter()
                .map(|name| (distance(&wanted.to_lowercase(), &name.to_lowercase()), distance(&wanted, name), name.as_str()))
                .filter(|(slips, _, _)| *slips <= allowed)
                .min()
                .map(|(_, _, name)| name);
            prop_assert_eq!(nearest(&wanted, names.iter().map(String::as_str)), slow);
        }

        #[test]
        fn the_distance_is_a_metric(a in "[abcd]{0,8}", b in "[abcd]{0,8}", c in "[abcd]{0,8}") {
            prop_assert_eq!(distance(&a, &b) == 0, a == b);
            prop_assert_eq!(distance(&a, &b), distance(&b, &a));
            prop_assert!(distance(&a, &c) <= distance(&a, &b) + distance(&b, &c));
        }

        #[test]
        fn a_known_name_is_its_own_nearest(names in prop::collection::vec("[A-Za-z0-9]{2,8}", 1..12), pick in any::<prop::sample::Index>()) {
            let wanted = pick.get(&names);
            prop_assert_eq!(nearest(wanted, names.iter().map(String::as_str)), Some(wanted.as_str()));
        }
    }
}
