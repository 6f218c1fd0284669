//! What a backtest says: how the forecast's own method would have done on the fleet's past overhauls.

use crate::trade::geometry::Dimension;

/// What is scored.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ScoreKind {
    /// Propellers drawn for the backtest of a large fleet: how many of how many.
    Sampled,
    /// Share of mean losses inside the interval of a level.
    LossCover(Dimension),
    /// Share of mean losses in a tenth of the forecast distribution.
    LossBin(Dimension),
    /// Share of smallest margins left inside the interval of a level.
    MarginCover(Dimension),
    /// Share of smallest margins left in a tenth of the forecast distribution.
    MarginBin(Dimension),
    /// Rejections for dimension: sum of the chances, and the count.
    Rejections,
    /// Mean squared error of the reject chances, against that of the base rate of earlier records.
    SquaredError,
    /// Mean residual of the losses of a group, in standard deviations of the forecast.
    Residual(Dimension),
}

impl ScoreKind {
    /// The words of the results.
    pub fn words(self) -> String {
        match self {
            ScoreKind::Sampled => "propellers sampled".to_string(),
            ScoreKind::LossCover(d) => format!("cover of {} loss", d.word()),
            ScoreKind::LossBin(d) => format!("tenth of {} loss", d.word()),
            ScoreKind::MarginCover(d) => format!("cover of {} margin left", d.word()),
            ScoreKind::MarginBin(d) => format!("tenth of {} margin left", d.word()),
            ScoreKind::Rejections => "rejections for dimension".to_string(),
            ScoreKind::SquaredError => "squared error of reject chance".to_string(),
            ScoreKind::Residual(d) => format!("residual of {} loss", d.word()),
        }
    }
}

/// One score.
#[derive(Debug, Clone, PartialEq)]
pub struct Score {
    /// What is scored.
    pub kind: ScoreKind,
    /// Part of the fleet: `all`, or a shop, use, base or band of hours.
    pub group: String,
    /// Level of the interval, or upper end of the tenth.
    pub level: Option<f64>,
    /// Past overhauls scored.
    pub count: usize,
    /// What a sound forecast would show.
    pub expected: Option<f64>,
    /// Standard deviation of that by chance alone.
    pub expected_sd: Option<f64>,
    /// What the past overhauls showed.
    pub observed: Option<f64>,
}

/// Every score, with what it means where that needs saying.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Backtest {
    /// Scores, kind by kind.
    pub scores: Vec<Score>,
    /// What a person should be told of them, one sentence each.
    pub remarks: Vec<String>,
}
