//! Which known names were probably meant by an unknown one.
//!
//! Used wherever a name that a person typed is not known: keys and sections of the settings, columns, propellers, models,
//! bases.

/// Names offered for one that is not known.
pub const MOST_OFFERED: usize = 3;

/// Characters of the longest name that is compared: comparing two names takes time and memory for each pair of their
/// characters. No serial is longer.
pub const LONGEST_NAME: u32 = 128;

/// The candidates that `wanted` was most probably meant to be, the likeliest first, at most [`MOST_OFFERED`].
///
/// Names that are equal once letter case, blanks, hyphens, underscores and leading zeros are taken off go before all others.
/// Where there are none, those within a third of `wanted`'s characters in slips: characters inserted, left out, replaced or
/// swapped with the next (Damerau-Levenshtein, unrestricted), letter case being equal. Of several at one distance the one in
/// the same case wins, then the first in alphabetical order, so the order of `candidates` does not matter.
///
/// Names of more than [`LONGEST_NAME`] characters are never near. Each call looks at every candidate once; a caller with many equal unknown names asks once for each name.
///
/// ```
/// # use bladewane::settings::nearest_names;
/// assert_eq!(nearest_names("0018", ["18", "0017", "0019"]), ["18"]);
/// assert_eq!(nearest_names("K-2031", ["K-2013", "K-2038", "B-7720"]), ["K-2013", "K-2038"]);
/// assert_eq!(nearest_names("zebra", ["warning_days", "weight_time"]), [""; 0]);
/// ```
pub fn nearest_names<'a>(wanted: &str, candidates: impl IntoIterator<Item = &'a str>) -> Vec<&'a str> {
    let is_too_long = |name: &str| name.len() > LONGEST_NAME as usize && name.chars().count() > LONGEST_NAME as usize;
    if is_too_long(wanted) {
        return Vec::new();
    }
    let bare_wanted = bare(wanted);
    let folded = wanted.to_lowercase();
    let length = folded.chars().count();
    let letters = Letters::of(&folded);
    let mut equal: Vec<(usize, &'a str)> = Vec::new();
    let mut near: Vec<((usize, usize), &'a str)> = Vec::new();
    for candidate in candidates.into_iter().filter(|candidate| !is_too_long(candidate)) {
        let in_case = || strsim::damerau_levenshtein(wanted, candidate);
        if !bare_wanted.is_empty() && bare(candidate) == bare_wanted {
            offer(&mut equal, (in_case(), candidate));
            continue;
        }
        // What is no better than the last of the names found already need not be compared.
        let limit = match near.get(MOST_OFFERED - 1) {
            Some(((slips, _), _)) if equal.is_empty() => *slips,
            None if equal.is_empty() => length / 3,
            _ => continue,
        };
        let other = candidate.to_lowercase();
        // Most names of a large fleet are passed over here.
        if length.abs_diff(other.chars().count()) > limit || letters.unmatched(&other) > limit {
            continue;
        }
        let slips = strsim::damerau_levenshtein(&folded, &other);
        if slips <= limit {
            offer(&mut near, ((slips, in_case()), candidate));
        }
    }
    match equal.is_empty() {
        true => near.into_iter().map(|(_, name)| name).collect(),
        false => equal.into_iter().map(|(_, name)| name).collect(),
    }
}

/// The first of [`nearest_names`].
pub fn nearest<'a>(wanted: &str, candidates: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    nearest_names(wanted, candidates).into_iter().next()
}

/// The nearest names there, as a hint; `None` when none is near.
pub fn nearest_there<'a>(wanted: &str, candidates: impl IntoIterator<Item = &'a str>) -> Option<String> {
    let quoted: Vec<String> = nearest_names(wanted, candidates).iter().map(|name| format!("`{name}`")).collect();
    match &quoted[..] {
        [] => None,
        [one] => Some(format!("the nearest there is {one}")),
        several => Some(format!("the nearest there are {}", several.join(", "))),
    }
}

/// Puts a name among the best, each once.
fn offer<'a, K: Ord>(best: &mut Vec<(K, &'a str)>, found: (K, &'a str)) {
    let at = best.partition_point(|known| *known < found);
    if best.get(at) != Some(&found) {
        best.insert(at, found);
        best.truncate(MOST_OFFERED);
    }
}

/// A name without letter case, blanks, hyphens, underscores and the zeros that a number begins with.
fn bare(name: &str) -> String {
    let mut bare = String::with_capacity(name.len());
    let mut in_number = false;
    let mut zeros = 0;
    let separates = |c: char| c.is_whitespace() || matches!(c, '-' | '_' | '\u{2010}'..='\u{2015}');
    for c in name.chars().chain(['\n']) {
        if c == '0' && !in_number {
            zeros += 1;
            continue;
        }
        // A number of zeros only is zero.
        if zeros > 0 && !c.is_ascii_digit() {
            bare.push('0');
        }
        zeros = 0;
        in_number = c.is_ascii_digit();
        if !separates(c) {
            bare.extend(c.to_lowercase());
        }
    }
    bare
}

/// How often each ASCII character stands in a text: a quick lower bound of the distance.
struct Letters {
    counts: [i32; 128],
    total: usize,
}

impl Letters {
    fn of(text: &str) -> Letters {
        let mut counts = [0; 128];
        let mut total = 0;
        for byte in text.bytes().filter(u8::is_ascii) {
            counts[usize::from(byte)] += 1;
            total += 1;
        }
        Letters { counts, total }
    }

    /// The larger of the numbers of letters that one text has and the other has not. A slip changes each of the two
    /// numbers by one at the most, so the distance is never smaller; other characters are left out of both.
    fn unmatched(&self, other: &str) -> usize {
        let mut left = self.counts;
        let (mut matched, mut surplus) = (0, 0);
        for byte in other.bytes().filter(u8::is_ascii) {
            let count = &mut left[usize::from(byte)];
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

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// "kitten" to "sitting" is the worked example of the Levenshtein distance, 3; "ca" to "abc" tells the unrestricted
    /// distance (2: swap, then insert between) from the restricted one (3); a swap of neighbours is one slip.
    #[test]
    fn the_distance_is_the_one_of_the_textbooks() {
        assert_eq!(strsim::damerau_levenshtein("kitten", "sitting"), 3);
        assert_eq!(strsim::damerau_levenshtein("ca", "abc"), 2);
        assert_eq!(strsim::damerau_levenshtein("hagnar", "hangar"), 1);
        assert_eq!(strsim::damerau_levenshtein("Zürich", "Zurich"), 1);
    }

    #[test]
    fn names_equal_but_for_case_blanks_hyphens_and_leading_zeros_go_first() {
        assert_eq!(nearest_names("0018", ["18", "0017", "0019"]), ["18"]);
        assert_eq!(nearest_names("bw 1004", ["BW-1005", "BW-1004", "BW-1003"]), ["BW-1004"]);
        assert_eq!(nearest_names("BW-07", ["bw7", "BW-08", "BW-70"]), ["bw7"]);
        assert_eq!(nearest_names("18", ["0018", "018", "19", "00018", "18 "]), ["018", "18 ", "0018"]);
        // Zeros inside a number count, and zero itself is a number.
        assert_eq!(nearest_names("A-100", ["A-1", "A-010"]), ["A-010"]);
        assert_eq!(
            (bare("A-00"), bare("a0"), bare("00"), bare("1 05")),
            ("a0".into(), "a0".into(), "0".into(), "15".into())
        );
    }

    #[test]
    fn at_most_three_are_offered_and_none_beyond_a_third_of_the_length() {
        assert_eq!(
            nearest_names("K-2031", ["K-2030", "K-2032", "K-2033", "K-2034", "K-2035"]),
            ["K-2030", "K-2032", "K-2033"]
        );
        // Two slips of six letters, not three; one of five, not two; none of two.
        assert_eq!(nearest("abcdef", ["abcdxy"]), Some("abcdxy"));
        assert_eq!(nearest("abcdef", ["abcxyz"]), None);
        assert_eq!(nearest("abcde", ["abcxy"]), None);
        assert_eq!(nearest("ab", ["cd", "ax"]), None);
        assert_eq!(nearest("x", ["a", "b"]), None);
        assert_eq!(nearest("", ["a", "-"]), None);
        assert_eq!(nearest("zebra", ["warning_days"]), None);
        assert_eq!(nearest("warning_days", []), None);
    }

    #[test]
    fn names_of_any_length_are_passed_over_at_once() {
        let long = "A".repeat(30_000);
        let near = format!("{long}B");
        assert_eq!(nearest(&long, [near.as_str(), "A"]), None);
        assert_eq!(nearest("A-1", ["A1", &"A-1".repeat(20_000), &format!("A{}1", "-".repeat(30_000))]), Some("A1"));
        let longest = "\u{e9}".repeat(LONGEST_NAME as usize);
        assert_eq!(nearest(&longest, [longest.as_str()]), Some(longest.as_str()));
    }

    #[test]
    fn the_nearest_name_does_not_depend_on_the_order() {
        assert_eq!(nearest_names("base", ["bass", "case"]), ["bass", "case"]);
        assert_eq!(nearest_names("base", ["case", "bass", "case"]), ["bass", "case"]);
    }

    #[test]
    fn case_decides_only_between_equals() {
        assert_eq!(nearest("WARNING_DAYS", ["warning_days"]), Some("warning_days"));
        assert_eq!(nearest("k-2013", ["K-2014", "K-2013"]), Some("K-2013"));
        assert_eq!(nearest("abc-1", ["ABC-2", "abc-3"]), Some("abc-3"));
    }

    proptest! {
        /// The shortcuts of the search lose nothing.
        #[test]
        fn the_nearest_are_those_of_least_distance(wanted in "[abAB1é]{0,9}", names in prop::collection::btree_set("[abAB1é]{0,9}", 0..12)) {
            let most = wanted.to_lowercase().chars().count() / 3;
            let equal = |name: &&String| !bare(&wanted).is_empty() && bare(name) == bare(&wanted);
            let mut slow: Vec<(usize, usize, &str)> = names
                .iter()
                .map(|name| {
                    let slips = strsim::damerau_levenshtein(&wanted.to_lowercase(), &name.to_lowercase());
                    let slips = if equal(&name) { 0 } else { slips };
                    (slips, strsim::damerau_levenshtein(&wanted, name), name.as_str())
                })
                .filter(|(slips, ..)| *slips <= most)
                .collect();
            slow.sort_unstable();
            if names.iter().any(|name| equal(&name)) {
                slow.retain(|(_, _, name)| equal(&&name.to_string()));
            }
            let slow: Vec<&str> = slow.into_iter().map(|(_, _, name)| name).take(MOST_OFFERED).collect();
            prop_assert_eq!(nearest_names(&wanted, names.iter().map(String::as_str)), slow);
        }

        #[test]
        fn a_known_name_is_its_own_nearest(names in prop::collection::vec("[A-Za-z0-9]{2,8}", 1..12), pick in any::<prop::sample::Index>()) {
            let wanted = pick.get(&names);
            prop_assert_eq!(nearest(wanted, names.iter().map(String::as_str)), Some(wanted.as_str()));
        }
    }
}
