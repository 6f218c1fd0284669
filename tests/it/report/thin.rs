//! Fleets that lack things: the page says what is missing and what would bring it, and shows no number it cannot know.

use super::fleets::{page, six};
use super::markup::{read, words};
use crate::fleet_folder::{FleetFolder, LIMITS, MODELS};

/// The words of one section of a page that is well made.
fn section(page: &str, id: &str) -> String {
    let markup = read(page);
    for element in &markup.elements {
        for value in element.attributes.values() {
            assert!(!is_no_number(value), "{element:?}");
        }
    }
    let whole = words(main_of(page));
    assert!(!is_no_number(&whole), "{whole}");
    let start = page.find(&format!("<section id=\"{id}\"")).unwrap_or_else(|| panic!("{id}"));
    let end = page[start..].find("</section>").expect("it ends");
    words(&page[start..start + end])
}

/// The `<main>` part of a page.
fn main_of(page: &str) -> &str {
    let start = page.find("<main").expect("a main part");
    let end = page.find("</main>").expect("it ends");
    &page[start..end]
}

/// Whether a text holds a number that is none.
fn is_no_number(text: &str) -> bool {
    text.split(|c: char| !c.is_alphanumeric()).any(|word| ["NaN", "nan", "inf", "Infinity"].contains(&word))
}

fn says(text: &str, words: &str) {
    assert!(text.contains(words), "{words:?} is not in {text:?}");
}

#[test]
fn only_serials_are_on_record() {
    let folder = FleetFolder::empty().with("propellers", "propeller\nQ-1\nQ-2\nQ-3");
    let page = page(&folder, "Serials");
    let today = section(&page, "today");
    says(&today, "All 3 propellers need action now.");
    says(&today, "no measurements: no losses and no margins");
    says(&today, "no prices");
    says(&section(&page, "metal"), "No margin can be worked out");
    says(&section(&page, "trust"), "That cannot be said");
    says(&section(&page, "first"), "Flying: 3");
    let folds = section(&page, "propellers");
    says(&folds, "its model is not on record, so its blades cannot be drawn");
    says(&folds, "No shop visit is on record.");
    says(&folds, "not known: no overhaul on record");
    says(&section(&page, "air"), "nothing says since when their skin is exposed");
}

#[test]
fn no_propeller_could_be_read() {
    let folder = FleetFolder::empty().with(
        "propellers",
        "
        propeller,model
        ,M76",
    );
    let page = page(&folder, "Nobody");
    says(&section(&page, "today"), "No propeller in service, at a shop or spare is on record.");
    says(&section(&page, "first"), "nothing to put in order");
    says(&section(&page, "metal"), "No margin can be worked out");
    says(&section(&page, "air"), "no exposure to tell of");
    says(&section(&page, "propellers"), "there is none to tell of");
    says(&section(&page, "trust"), "a required value is not recorded");
}

#[test]
fn every_propeller_is_gone() {
    let folder = FleetFolder::empty().with("models", MODELS).with("limits", LIMITS).with(
        "propellers",
        "
        propeller,model,in_service_date,status,end_date
        G-1,M76,2000-01-01,scrapped,2020-01-01
        G-2,M76,2000-01-01,sold,2021-01-01",
    );
    let page = page(&folder, "Gone");
    says(&section(&page, "today"), "No propeller in service");
    says(&section(&page, "first"), "nothing to put in order");
}

#[test]
fn one_propeller() {
    let folder = FleetFolder::empty().with("models", MODELS).with("limits", LIMITS).with(
        "propellers",
        "
        propeller,model,use,in_service_date,acquired
        ONE,M76,rental,2024-01-01,new",
    );
    let page = page(&folder, "One");
    let today = section(&page, "today");
    says(&today, "The one propeller here");
    says(&section(&page, "first"), "Flying: 1");
    says(&section(&page, "metal"), "~60 T");
    // Never measured: the drawing of a new blade, and no history.
    let folds = section(&page, "propellers");
    says(&folds, "the drawing of a new blade");
    says(&folds, "~0.476");
    says(&folds, "No shop visit is on record.");
}

#[test]
fn without_prices_there_are_counts_and_no_sums() {
    let folder = six();
    std::fs::remove_file(folder.path().join("prices.csv")).expect("it was there");
    let page = page(&folder, "No prices");
    let today = section(&page, "today");
    says(&today, "no prices on record, so no sums");
    assert!(!today.contains("set aside 0"), "{today}");
    section(&page, "money");
}

#[test]
fn without_damage_reports() {
    let folder = six();
    std::fs::remove_file(folder.path().join("defects.csv")).expect("it was there");
    let page = page(&folder, "No reports");
    says(&section(&page, "today"), "no defects: nothing is known of nicks and blends since the last visit");
    let air = section(&page, "air");
    says(&air, "No damage report is on record. That is not the same as no damage");
    says(&air, "No curve can be drawn");
    says(
        &section(&page, "propellers"),
        "records hold no damage reports, so nicks and blends since the last visit are not known",
    );
}

#[test]
fn without_bases_or_hours() {
    let folder = six();
    for table in ["bases.csv", "hours.csv"] {
        std::fs::remove_file(folder.path().join(table)).expect("it was there");
    }
    let page = page(&folder, "No air");
    let today = section(&page, "today");
    says(&today, "no bases: the air is not known, so the worst is taken");
    says(&today, "no hours and no aircraft hours");
    section(&page, "due");
    let air = section(&page, "air");
    says(&air, "no listed base on record");
    says(&air, "Of every propeller the air today is not known");
}

#[test]
fn none_flies() {
    let folder = FleetFolder::small().with(
        "propellers",
        "
        propeller,model,in_service_date,acquired,status
        S-1,M76,2020-01-01,new,spare
        S-2,M76,2020-01-01,new,at shop",
    );
    let page = page(&folder, "On the ground");
    let first = section(&page, "first");
    says(&first, "At shop: 1");
    says(&first, "Spare: 1");
    assert!(!first.contains("Flying"), "{first}");
}
