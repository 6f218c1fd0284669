//! How the forecast's method would have done on the fleet's own past, in plain words and as numbers.

use crate::analysis::score::{Backtest, Score, ScoreKind};
use crate::report::words::count;
use crate::trade::geometry::Dimension;

/// The interval that the words speak of.
const LEVEL_OF_THE_WORDS: f64 = 0.8;
/// Standard deviations by chance alone beyond which the words call it a miss.
const BEYOND_CHANCE: f64 = 2.0;
/// Past overhauls below which the words draw no conclusion.
const TOO_FEW: usize = 20;

const AS_IT_SHOULD_BE: &str = "as it should be";
const TOO_NARROW: &str = "range too narrow";
const TOO_WIDE: &str = "range too wide";

/// What the backtest says.
pub(super) struct Accuracy {
    pub(super) sentences: Vec<String>,
    pub(super) remarks: Vec<String>,
    pub(super) covers: Vec<Cover>,
    pub(super) scores: Vec<Line>,
}

/// An interval of a level, for the short table.
pub(super) struct Cover {
    pub(super) what: String,
    pub(super) level: String,
    pub(super) count: usize,
    pub(super) expected: String,
    pub(super) observed: String,
    pub(super) judged: &'static str,
}

/// A score as it is.
pub(super) struct Line {
    pub(super) kind: String,
    pub(super) group: String,
    pub(super) level: String,
    pub(super) count: usize,
    pub(super) expected: String,
    pub(super) expected_sd: String,
    pub(super) observed: String,
}

impl Accuracy {
    pub(super) fn of(backtest: &Backtest) -> Accuracy {
        let scores = &backtest.scores;
        let mut sentences: Vec<String> =
            Dimension::ALL.into_iter().filter_map(|dimension| losses(scores, dimension)).collect();
        let covers: Vec<Cover> = scores.iter().filter_map(Cover::of).collect();
        sentences.extend(ranges(&covers));
        sentences.extend(rejections(scores));
        sentences.extend(squared_error(scores));
        Accuracy { sentences, remarks: backtest.remarks.clone(), covers, scores: scores.iter().map(Line::of).collect() }
    }
}

fn is_level(score: &Score, level: f64) -> bool {
    score.level.is_some_and(|l| (l - level).abs() < 1e-9)
}

/// How many of the losses fell into the interval that the page gives.
fn losses(scores: &[Score], dimension: Dimension) -> Option<String> {
    let score = scores.iter().find(|s| s.kind == ScoreKind::LossCover(dimension) && is_level(s, LEVEL_OF_THE_WORDS))?;
    let (expected, observed, sd) = (score.expected?, score.observed?, score.expected_sd?);
    let n = score.count as f64;
    let verdict = if score.count < TOO_FEW {
        "too few to judge by"
    } else {
        match judged(expected, observed, sd) {
            Judged::AsExpected => "no more off than chance alone would have it",
            Judged::TooFew => "so the range was too narrow: take the ranges here with a grain of salt",
            Judged::TooMany => "so the range was wider than it need be",
        }
    };
    Some(format!(
        "Of {} forecast from the records of before its year, {:.0} lost as much {} as the range for eight of ten said; {:.0} should have, give or take {:.0}: {verdict}.",
        count(score.count, "past overhaul"),
        observed * n,
        dimension.word(),
        expected * n,
        (sd * n).max(1.0),
    ))
}

/// How many of the ranges of all levels missed by more than chance.
fn ranges(covers: &[Cover]) -> Option<String> {
    let of = |judged: &str| covers.iter().filter(|c| c.judged == judged).count();
    let (sound, narrow, wide) = (of(AS_IT_SHOULD_BE), of(TOO_NARROW), of(TOO_WIDE));
    let tested = sound + narrow + wide;
    (tested > 0).then(|| {
        format!(
            "Of {} of loss and of margin left, {narrow} held too few of the overhauls and {wide} too many by more than chance; about one in twenty would by chance alone.",
            count(tested, "tested range")
        )
    })
}

fn rejections(scores: &[Score]) -> Option<String> {
    let score = scores.iter().find(|s| s.kind == ScoreKind::Rejections)?;
    let (expected, observed) = (score.expected?, score.observed?);
    let sd = score.expected_sd?;
    let verdict = if score.count < TOO_FEW {
        "too few to judge by"
    } else {
        match judged(expected, observed, sd) {
            Judged::AsExpected => "sound",
            Judged::TooFew => "too dark, so the chances of rejection here lie on the safe side",
            Judged::TooMany => "too hopeful, so expect more rejections than this page says",
        }
    };
    Some(format!(
        "Of {} {expected:.1} rejections for a dimension were forecast, give or take {sd:.1}, {observed:.0} came: {verdict}.",
        count(score.count, "past overhaul")
    ))
}

fn squared_error(scores: &[Score]) -> Option<String> {
    let score = scores.iter().find(|s| s.kind == ScoreKind::SquaredError)?;
    let (base, own) = (score.expected?, score.observed?);
    (base > 0.0).then(|| {
        let better = (1.0 - own / base) * 100.0;
        if better >= 0.0 {
            format!(
                "Which propellers would be rejected it told better than the plain share of earlier rejections does: its mean squared error is {better:.0}\u{a0}% smaller ({own:.3} against {base:.3})."
            )
        } else {
            format!(
                "Which propellers would be rejected it told worse than the plain share of earlier rejections does (mean squared error {own:.3} against {base:.3}): do not choose between propellers by these chances."
            )
        }
    })
}

/// A count or share against what a sound forecast would show.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Judged {
    AsExpected,
    TooFew,
    TooMany,
}

fn judged(expected: f64, observed: f64, sd: f64) -> Judged {
    if (observed - expected).abs() <= BEYOND_CHANCE * sd {
        Judged::AsExpected
    } else if observed < expected {
        Judged::TooFew
    } else {
        Judged::TooMany
    }
}

impl Cover {
    fn of(score: &Score) -> Option<Cover> {
        let what = match score.kind {
            ScoreKind::LossCover(d) => format!("{} lost", d.word()),
            ScoreKind::MarginCover(d) => format!("smallest {} margin left", d.word()),
            _ => return None,
        };
        let (expected, observed, sd) = (score.expected?, score.observed?, score.expected_sd?);
        let n = score.count as f64;
        Some(Cover {
            what,
            level: format!("{:.0}\u{a0}%", score.level? * 100.0),
            count: score.count,
            expected: format!("{:.0} \u{b1} {:.0}", expected * n, (sd * n).max(1.0)),
            observed: format!("{:.0}", observed * n),
            judged: if score.count < TOO_FEW {
                "too few to judge by"
            } else {
                match judged(expected, observed, sd) {
                    Judged::AsExpected => AS_IT_SHOULD_BE,
                    Judged::TooFew => TOO_NARROW,
                    Judged::TooMany => TOO_WIDE,
                }
            },
        })
    }
}

impl Line {
    fn of(score: &Score) -> Line {
        let number = |value: Option<f64>| value.map_or_else(String::new, |v| format!("{v:.3}"));
        Line {
            kind: score.kind.words(),
            group: score.group.clone(),
            level: score.level.map_or_else(String::new, |level| format!("{level:.1}")),
            count: score.count,
            expected: number(score.expected),
            expected_sd: number(score.expected_sd),
            observed: number(score.observed),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn score(kind: ScoreKind, count: usize, expected: f64, sd: f64, observed: f64) -> Score {
        Score {
            kind,
            group: "all".to_string(),
            level: Some(0.8),
            count,
            expected: Some(expected),
            expected_sd: Some(sd),
            observed: Some(observed),
        }
    }

    #[test]
    fn a_miss_beyond_chance_is_called_one() {
        let of = |count, observed| {
            let kind = ScoreKind::LossCover(Dimension::Thickness);
            losses(&[score(kind, count, 0.8, 0.04, observed)], Dimension::Thickness).expect("a sentence")
        };
        assert!(of(100, 0.73).contains("73 lost"), "{}", of(100, 0.73));
        assert!(of(100, 0.73).contains("than chance alone"));
        assert!(of(100, 0.70).contains("too narrow"));
        assert!(of(100, 0.90).contains("wider than it need be"));
        assert!(of(12, 0.10).contains("too few to judge by"));
        assert!(losses(&[], Dimension::Thickness).is_none());
    }

    #[test]
    fn ranges_that_miss_are_counted() {
        let kind = ScoreKind::MarginCover(Dimension::Width);
        let covers: Vec<Cover> = [0.8, 0.7, 0.9, 0.6]
            .iter()
            .filter_map(|&observed| Cover::of(&score(kind, 100, 0.8, 0.04, observed)))
            .collect();
        let said = ranges(&covers).expect("a sentence");
        assert!(said.contains("4 tested ranges"), "{said}");
        assert!(said.contains("2 held too few"), "{said}");
        assert!(said.contains("1 too many"), "{said}");
        let few = Cover::of(&score(kind, 5, 0.8, 0.2, 0.0)).expect("a range");
        assert!(ranges(&[few]).is_none());
    }

    #[test]
    fn rejections_are_judged_the_other_way_round() {
        let of = |observed| rejections(&[score(ScoreKind::Rejections, 105, 14.7, 1.3, observed)]).expect("a sentence");
        assert!(of(10.0).contains("safe side"));
        assert_eq!(
            of(15.0),
            "Of 105 past overhauls 14.7 rejections for a dimension were forecast, give or take 1.3, 15 came: sound."
        );
        assert!(of(20.0).contains("expect more rejections"));
    }
}
