//! Where a propeller lived, when the record of it cannot be read.

use crate::fleet_folder::{FleetFolder, as_of, day};
use bladewane::analysis::exposure::whereabouts::whereabouts_into;
use bladewane::trade::corrosion::Kept;

/// From (none: for the whole life) and base (none: unknown air) of each stay of A1.
fn stays(rows: &str) -> Vec<(Option<String>, Option<String>)> {
    let folder = FleetFolder::small()
        .with("bases", "base,air\nnorth,rural\nsouth,coast")
        .with("kept_at", &format!("propeller,base,from_date,kept\n{rows}"));
    let loaded = folder.load();
    let fleet = as_of(&loaded, "2026-01-01");
    let base = |base: Option<u32>| base.map(|b| fleet.places.bases()[b as usize].name.clone());
    fleet.places.stays(0).iter().map(|s| (s.from.map(|d| d.to_string()), base(s.base))).collect()
}

fn stay(from: &str, base: &str) -> (Option<String>, Option<String>) {
    let text = |text: &str| Some(text.to_string()).filter(|t| !t.is_empty());
    (text(from), text(base))
}

#[test]
fn an_unknown_base_is_unknown_air_from_its_date() {
    let north = stay("2010-01-01", "north");
    for unknown in ["nowhere", "", "?"] {
        assert_eq!(
            stays(&format!("A1,north,2010-01-01,\nA1,{unknown},2015-01-01,hangar")),
            [north.clone(), stay("2015-01-01", "")],
            "{unknown}"
        );
    }
    // Of one day two bases, or one that cannot be read: which is right is not known.
    assert_eq!(stays("A1,north,2010-01-01,\nA1,south,2010-01-01,"), [stay("2010-01-01", "")]);
    assert_eq!(stays("A1,north,2010-01-01,\nA1,sooth,2010-01-01,"), [stay("2010-01-01", "")]);
    assert_eq!(stays("A1,sooth,2010-01-01,\nA1,north,2010-01-01,"), [stay("2010-01-01", "")]);
}

#[test]
fn an_unreadable_date_makes_the_whole_life_unknown() {
    for row in
        ["A1,south,2015-13-01,", "A1,south,,", "A1,south,1915-01-01,", "A1,south,2015-01-01", "A1,south,2015-01-01,,x"]
    {
        assert_eq!(
            stays(&format!("A1,north,2010-01-01,\n{row}")),
            [stay("", ""), stay("2010-01-01", "north")],
            "{row}"
        );
    }
}

#[test]
fn a_home_base_that_is_not_defined_is_not_known() {
    let folder = FleetFolder::small()
        .with("bases", "base,air\nnorth,rural")
        .with("propellers", "propeller,base\nA1,nowhere\nA2,north");
    let loaded = folder.load();
    let fleet = as_of(&loaded, "2026-01-01");
    assert_eq!((fleet.places.home(0), fleet.places.home(1)), (None, Some(0)));
}

/// The first day that a record may carry is a day like any other.
#[test]
fn a_stay_from_the_first_day_that_counts_is_dated() {
    assert_eq!(stays("A1,north,1930-01-01,"), [stay("1930-01-01", "north")]);
    assert_eq!(stays("A1,north,1929-12-31,"), [stay("", "")]);
}

#[test]
fn how_it_was_kept_that_cannot_be_read_counts_as_outside() {
    let kept = |cell: &str| {
        let folder = FleetFolder::small()
            .with("bases", "base,air\nnorth,rural")
            .with("kept_at", &format!("propeller,base,from_date,kept\nA1,north,2010-01-01,{cell}"));
        let loaded = folder.load();
        let fleet = as_of(&loaded, "2026-01-01");
        let mut places = Vec::new();
        whereabouts_into(&fleet, 0, day("2011-01-01"), day("2012-01-01"), &mut places);
        (places[0].kept, folder.cautions())
    };
    assert_eq!(kept("hangar"), (Kept::Hangar, vec![]));
    let (unreadable, told) = kept("hanger");
    assert_eq!(unreadable, Kept::Outside);
    assert_eq!(
        told,
        [
            "kept_at.csv:2 kept [hanger] - - x1 kept: \"hanger\" is none of outside, hangar; it counts as outside | write one of the words, or leave the cell empty"
        ]
    );
}
