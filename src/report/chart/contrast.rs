//! Can the text be read on its ground, in the light, in the dark and on paper? Computed from the style sheet itself.

use std::collections::HashMap;

const STYLE: &str = include_str!("../assets/chart.css");
/// The least contrast of text: WCAG 2.1, success criterion 1.4.3 (level AA).
const TEXT: f64 = 4.5;
/// The least contrast of marks that carry meaning: WCAG 2.1, success criterion 1.4.11 (level AA).
const MARK: f64 = 3.0;

/// The colours that one `:root` block of the style sheet sets.
fn colours(after: &str) -> HashMap<String, [u8; 3]> {
    let from = STYLE.find(after).expect("the block is in the style sheet");
    let block = &STYLE[from..];
    let block = &block[block.find(":root {").expect("a root block") + 7..];
    let block = &block[..block.find('}').expect("the block ends")];
    block
        .split(';')
        .filter_map(|line| {
            let (name, value) = line.trim().strip_prefix("--")?.split_once(':')?;
            let hex = value.trim().strip_prefix('#')?;
            let byte = |at: usize| u8::from_str_radix(&hex[at..at + 2], 16).expect("a colour");
            Some((name.to_string(), [byte(0), byte(2), byte(4)]))
        })
        .collect()
}

fn modes() -> [(&'static str, HashMap<String, [u8; 3]>); 3] {
    [
        ("light", colours("/* Charts.")),
        ("dark", colours("@media (prefers-color-scheme: dark)")),
        ("print", colours("@media print")),
    ]
}

/// Relative luminance: WCAG 2.1, definitions.
fn luminance(colour: [u8; 3]) -> f64 {
    let [r, g, b] = colour.map(|c| {
        let c = f64::from(c) / 255.0;
        if c <= 0.03928 { c / 12.92 } else { ((c + 0.055) / 1.055).powf(2.4) }
    });
    0.2126 * r + 0.7152 * g + 0.0722 * b
}

/// Contrast ratio: WCAG 2.1, definitions.
fn contrast(a: [u8; 3], b: [u8; 3]) -> f64 {
    let (a, b) = (luminance(a), luminance(b));
    (a.max(b) + 0.05) / (a.min(b) + 0.05)
}

#[test]
fn the_contrast_is_that_of_published_pairs() {
    // WCAG 2.1, definition of contrast ratio: from 1 to 21.
    assert!((contrast([0; 3], [255; 3]) - 21.0).abs() < 1e-9);
    assert!((contrast([9; 3], [9; 3]) - 1.0).abs() < 1e-9);
    // #767676 is widely given as the lightest grey with 4.5:1 on white (from memory: 4.54).
    assert!((contrast([0x76; 3], [255; 3]) - 4.54).abs() < 0.01);
}

#[test]
fn every_mode_sets_every_colour() {
    let [light, dark, print] = modes().map(|(_, colours)| {
        let mut names: Vec<String> = colours.into_keys().collect();
        names.sort();
        names
    });
    assert!(light.len() > 25, "{light:?}");
    assert_eq!(light, dark);
    assert_eq!(light, print);
}

#[test]
fn text_can_be_read_on_its_ground() {
    for (mode, colours) in modes() {
        let mut pairs: Vec<(String, String)> = (0..7).map(|n| (format!("on-{n}"), format!("ramp-{n}"))).collect();
        for (text, ground) in [
            ("ink", "paper"),
            ("faint", "paper"),
            ("accent", "paper"),
            ("paper", "accent"),
            ("ink", "zone"),
            ("ink", "metal"),
        ] {
            pairs.push((text.to_string(), ground.to_string()));
        }
        for (text, ground) in pairs {
            let ratio = contrast(colours[&text], colours[&ground]);
            assert!(ratio >= TEXT, "{mode}: {text} on {ground} is {ratio:.2}");
        }
    }
}

#[test]
fn marks_can_be_seen_on_their_ground() {
    for (mode, colours) in modes() {
        let mut pairs = vec![("accent", "zone"), ("ink", "zone"), ("middle", "band"), ("ink", "band")];
        pairs.extend(["line-0", "line-1", "line-2", "line-3", "line-4", "line-5"].map(|l| (l, "paper")));
        for (mark, ground) in pairs {
            let ratio = contrast(colours[mark], colours[ground]);
            assert!(ratio >= MARK, "{mode}: {mark} on {ground} is {ratio:.2}");
        }
    }
}

#[test]
fn the_ramp_gets_darker_step_by_step() {
    for (mode, colours) in modes() {
        let ramp: Vec<f64> = (0..7).map(|n| luminance(colours[&format!("ramp-{n}")])).collect();
        assert!(ramp.windows(2).all(|w| w[1] < w[0] * 0.9), "{mode}: {ramp:?}");
    }
}

#[test]
fn the_style_sheet_takes_nothing_from_outside() {
    for outside in ["url(", "@import", "http", "<"] {
        assert!(!STYLE.contains(outside), "{outside}");
    }
}
