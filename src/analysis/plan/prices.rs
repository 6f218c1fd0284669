//! Prices as the plan counts with them: of the as-of date, with something in the place of what is not recorded.

use super::paid::{OFF_BY, paid};
use super::seat::Costs;
use crate::records::Fleet;
use crate::records::prices::Price;
use crate::settings::{PriceSource, Settings};
use crate::trade::calendar::{Day, years_between};

/// Days that a replacement takes where no lead time of the fleet is on record: an assumption.
const UNKNOWN_LEAD_DAYS: f64 = 180.0;

/// Days until a new propeller comes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LeadTime {
    /// Days that are counted.
    pub days: f64,
    /// What they rest on.
    pub basis: LeadBasis,
}

/// What a lead time rests on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LeadBasis {
    /// The model's own, on record.
    Recorded,
    /// Not on record: the longest of the fleet's other models.
    LongestOfFleet,
    /// None is on record in the fleet.
    Assumed,
}

impl LeadBasis {
    /// The words in a table.
    pub fn words(self) -> &'static str {
        match self {
            LeadBasis::Recorded => "recorded",
            LeadBasis::LongestOfFleet => "not recorded: the fleet's longest",
            LeadBasis::Assumed => "not recorded: assumed",
        }
    }
}

impl LeadTime {
    /// What is counted, in a sentence: `a new one takes 120 days`.
    pub fn words(&self) -> String {
        match self.basis {
            LeadBasis::Recorded => format!("a new one takes {:.0} days", self.days),
            LeadBasis::LongestOfFleet => {
                format!("lead time not on record, the fleet's longest of {:.0} days taken", self.days)
            }
            LeadBasis::Assumed => format!("lead time not on record, {:.0} days assumed", self.days),
        }
    }
}

/// Prices and days of one model.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct ModelPrices {
    /// Costs at the as-of date; `None` when the fleet has no prices at all.
    pub costs: Option<Costs>,
    /// Days away for an overhaul.
    pub overhaul_days: Option<f64>,
    /// Days until a new one comes.
    pub replacement_days: Option<f64>,
    /// Whether the dearest prices of other models stand in.
    pub stand_in: bool,
}

/// Prices of every model.
#[derive(Debug, Clone, PartialEq)]
pub struct PlanPrices {
    by_model: Vec<ModelPrices>,
    dearest: ModelPrices,
    /// Prices of the list that are off what was paid in the last 24 months by more than a tenth: `overhaul of M-76`.
    pub off: Vec<String>,
    /// Whether what was paid takes the place of the list.
    pub from_invoices: bool,
    /// Whether a price list leaves out what a shop charges when it rejects, which then counts as nothing.
    pub rejection_missing: bool,
    /// Whether it leaves out removal and freight, which then count as nothing.
    pub removal_missing: bool,
}

impl PlanPrices {
    /// Prices grown from their date to the as-of date. A model without prices takes the dearest of the others, cost by cost. What
    /// was paid lately takes the place of the list where the settings say so.
    pub fn of_fleet(fleet: &Fleet<'_>, settings: &Settings) -> PlanPrices {
        let mut prices = PlanPrices::listed(fleet, settings.fleet.price_growth_pct);
        for (number, of) in (0u32..).zip(&mut prices.by_model) {
            let Some(costs) = &mut of.costs else { continue };
            for (kind, cost) in [("overhaul", &mut costs.overhaul), ("replacement", &mut costs.replacement)] {
                let Some(paid) = paid(fleet, number, kind) else { continue };
                if !of.stand_in && (paid.middle - *cost).abs() > OFF_BY * *cost {
                    prices.off.push(format!("{} of {}", kind, fleet.models.get(number).name));
                }
                if settings.budget.prices == PriceSource::Invoices {
                    *cost = paid.middle;
                }
            }
        }
        prices.from_invoices = settings.budget.prices == PriceSource::Invoices;
        prices
    }

    /// As the price list says, whatever was paid.
    pub fn listed(fleet: &Fleet<'_>, price_growth_pct: f64) -> PlanPrices {
        let models = fleet.models.list().len() as u32;
        let listed: Vec<&Price> = (0..models).filter_map(|m| fleet.prices.of(m)).collect();
        let of = |price: &Price| of_list(price, fleet.as_of, price_growth_pct);
        let more = |a: Option<f64>, b: Option<f64>| match (a, b) {
            (Some(a), Some(b)) => Some(a.max(b)),
            (a, b) => a.or(b),
        };
        let mut dearest = listed.iter().map(|p| of(p)).reduce(|a, b| ModelPrices {
            costs: match (a.costs, b.costs) {
                (Some(a), Some(b)) => Some(Costs {
                    overhaul: a.overhaul.max(b.overhaul),
                    replacement: a.replacement.max(b.replacement),
                    rejection: a.rejection.max(b.rejection),
                    removal: a.removal.max(b.removal),
                }),
                (a, b) => a.or(b),
            },
            overhaul_days: more(a.overhaul_days, b.overhaul_days),
            replacement_days: more(a.replacement_days, b.replacement_days),
            stand_in: true,
        });
        if let Some(dearest) = &mut dearest {
            dearest.stand_in = true;
        }
        let dearest = dearest.unwrap_or_default();
        PlanPrices {
            by_model: (0..models).map(|m| fleet.prices.of(m).map_or(dearest, of)).collect(),
            dearest,
            off: Vec::new(),
            from_invoices: false,
            rejection_missing: listed.iter().any(|p| p.rejection_cost.is_none()),
            removal_missing: listed.iter().any(|p| p.removal_cost.is_none()),
        }
    }

    /// How long a new one of a model takes. What is not recorded counts as the longest of the fleet's, or as half a year.
    pub fn lead(&self, model: Option<u32>) -> LeadTime {
        let of = self.of(model);
        match (of.replacement_days.filter(|_| !of.stand_in), self.dearest.replacement_days) {
            (Some(days), _) => LeadTime { days, basis: LeadBasis::Recorded },
            (None, Some(days)) => LeadTime { days, basis: LeadBasis::LongestOfFleet },
            (None, None) => LeadTime { days: UNKNOWN_LEAD_DAYS, basis: LeadBasis::Assumed },
        }
    }

    /// The prices of a model.
    pub fn of(&self, model: Option<u32>) -> ModelPrices {
        model.and_then(|m| self.by_model.get(m as usize)).copied().unwrap_or(self.dearest)
    }
}

fn of_list(price: &Price, as_of: Day, growth_pct: f64) -> ModelPrices {
    let years = price.price_date.map_or(0.0, |day| years_between(day, as_of));
    let grown = (1.0 + growth_pct / 100.0).powf(years);
    ModelPrices {
        costs: Some(Costs {
            overhaul: grown * price.overhaul_cost,
            replacement: grown * price.replacement_cost,
            rejection: grown * price.rejection_cost.unwrap_or(0.0),
            removal: grown * price.removal_cost.unwrap_or(0.0),
        }),
        overhaul_days: price.overhaul_days,
        replacement_days: price.replacement_days,
        stand_in: false,
    }
}
