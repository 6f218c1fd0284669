//! What was left out of the input, said once: a note that holds of many tables is one line.

/// Tables that a note may hold of before it is put together.
const MOST_APART: usize = 3;
/// Tables that are named of them.
const NAMED: usize = 2;

/// The notes, in the order of each kind's first: `PLACE: what`, and `PLACE, PLACE and 11 more: what` of more than three.
pub fn in_short(notes: &[String]) -> Vec<String> {
    let mut kinds: Vec<(&str, Vec<&str>)> = Vec::new();
    for note in notes {
        let (place, what) = note.split_once(": ").unwrap_or(("", note));
        match kinds.iter_mut().find(|(of, _)| *of == what) {
            Some((_, places)) => places.push(place),
            None => kinds.push((what, vec![place])),
        }
    }
    if kinds.iter().all(|(_, places)| places.len() <= MOST_APART) {
        return notes.to_vec();
    }
    let line = |(what, places): (&str, Vec<&str>)| {
        let one = |place: &str| match place {
            "" => what.to_string(),
            place => format!("{place}: {what}"),
        };
        if places.len() <= MOST_APART {
            return places.into_iter().map(one).collect();
        }
        let more = places.len() - NAMED;
        let named = places[..NAMED].join(", ");
        vec![one(&format!("{named} and {more} more"))]
    };
    kinds.into_iter().flat_map(line).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn few_notes_are_said_one_by_one_and_many_together() {
        let notes = |places: &[&str]| -> Vec<String> {
            let example = places.iter().map(|p| format!("f.xlsx!{p}: 1 example row is ignored"));
            let hidden = "f.xlsx!old: the sheet is hidden and ignored".to_string();
            example.chain([hidden]).collect()
        };
        let few = notes(&["propellers", "models", "hours"]);
        assert_eq!(in_short(&few), few);
        let many = notes(&["propellers", "models", "hours", "bases", "prices"]);
        assert_eq!(
            in_short(&many),
            [
                "f.xlsx!propellers, f.xlsx!models and 3 more: 1 example row is ignored",
                "f.xlsx!old: the sheet is hidden and ignored",
            ]
        );
        assert_eq!(in_short(&[]), [""; 0]);
    }
}
