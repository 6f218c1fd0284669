//! Chains of models that have their limits from one another: they must come to an end, and soon.

use std::collections::HashMap;

use super::load::{LoadError, LoadedTable};
use super::words::NO_WORD;

/// Models that may be passed on the way to the one that lists the limits. Variants of a design make one step; nobody follows
/// more than a few on paper.
pub(super) const LONGEST_CHAIN: usize = 8;

/// Refuses models whose `limits_of` runs in a circle, or through more models than [`LONGEST_CHAIN`].
pub(super) fn refuse_circles(models: &LoadedTable) -> Result<(), LoadError> {
    let (Some((codes, names)), Some((of_codes, of_names))) = (models.text("model"), models.text("limits_of")) else {
        return Ok(());
    };
    // By the name of the model, the row and the name it points at.
    let mut next: HashMap<&str, (u32, &str)> = HashMap::new();
    for (row, (&code, &of)) in codes.iter().zip(of_codes).enumerate() {
        if code != NO_WORD && of != NO_WORD {
            next.entry(names.get(code)).or_insert((row as u32, of_names.get(of)));
        }
    }
    let mut first_too_long: Option<(u32, Vec<&str>)> = None;
    let mut in_file_order: Vec<(&str, u32)> = next.iter().map(|(&name, &(row, _))| (name, row)).collect();
    in_file_order.sort_unstable_by_key(|(_, row)| *row);
    for (start, row) in in_file_order {
        let mut passed = vec![start];
        let mut at = start;
        while let Some(&(_, of)) = next.get(at) {
            passed.push(of);
            if of == start {
                return Err(refused(models, row, "the models have their limits from one another in a circle", &passed));
            }
            if passed.len() > LONGEST_CHAIN + 1 {
                first_too_long.get_or_insert((row, passed));
                break;
            }
            at = of;
        }
    }
    match first_too_long {
        Some((row, passed)) => {
            Err(refused(models, row, "more than 8 steps to the model that lists the limits", &passed))
        }
        None => Ok(()),
    }
}

fn refused(models: &LoadedTable, row: u32, problem: &str, passed: &[&str]) -> LoadError {
    let passed: Vec<String> = passed.iter().map(|name| format!("`{name}`")).collect();
    LoadError::LimitsOf {
        place: models.place_of(Some(row), "limits_of").to_string(),
        problem: format!("{problem}: {}", passed.join(", ")),
        hint: "name in limits_of the model that has the rows in `limits`, and leave it empty for that one",
    }
}
