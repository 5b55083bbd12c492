//! The tables `[stop]` and `[rare]`: when a run is precise enough, and what is done about errors too rare for it.

use agogic_stats::confseq::{LEAST_CLUSTERS, Precision};
use agogic_toml::{Diagnostics, Found, Section, hint};

use crate::EstimandInfo;
use crate::plans::{Guarantee, RarePlan, StopPlan};

/// The table `[stop]` before its policies are looked up.
pub(super) struct Draft {
    estimand: &'static EstimandInfo,
    precision: Precision,
    guarantee: Guarantee,
    policies: Option<Found<Vec<String>>>,
    block: u64,
    least: usize,
}

/// `None` without the table, or where a mistake was logged.
pub(super) fn read(section: Option<Section<'_, '_>>) -> Option<Draft> {
    let section = section?;
    let log = section.diagnostics();
    let estimand = match section.text("estimand") {
        None => EstimandInfo::by_name("false_holds"),
        Some(found) => named(log, &found),
    };
    let positive = |key: &'static str| {
        let found = section.number(key)?;
        if found.value > 0.0 && found.value.is_finite() {
            return Some(found.value);
        }
        log.at(&found, format!("must lie above zero, not {}", found.value));
        None
    };
    let precision = match (positive("half_width"), positive("relative")) {
        (Some(width), None) => Some(Precision::Absolute(width)),
        (None, Some(share)) => Some(Precision::Relative(share)),
        _ => {
            section
                .missing("", "needs one of `half_width` (in the unit of the estimand) and `relative` (a share of it)");
            None
        }
    };
    let guarantee = match section.text("guarantee") {
        None => {
            Some(if estimand.is_some_and(|info| info.proportion) { Guarantee::Exact } else { Guarantee::Asymptotic })
        }
        Some(found) => match (found.value.as_str(), estimand) {
            ("asymptotic", _) => Some(Guarantee::Asymptotic),
            ("exact", Some(info)) if info.proportion => Some(Guarantee::Exact),
            ("exact", _) => {
                log.at(&found, "holds for proportions only; use \"asymptotic\" for this estimand");
                None
            }
            _ => {
                log.at(&found, "must be \"exact\" or \"asymptotic\"");
                None
            }
        },
    };
    let count = |key: &'static str, default: u64, lo: u64| match section.whole(key) {
        Some(found) if found.value < lo => {
            log.at(&found, format!("must be at least {lo}, not {}", found.value));
            default
        }
        found => found.map_or(default, |found| found.value),
    };
    let (block, least) = (count("block", 100, 10), count("least", 100, 30) as usize);
    if guarantee == Some(Guarantee::Asymptotic) && least < LEAST_CLUSTERS {
        section.missing(
            "least",
            format!(
                "must be at least {LEAST_CLUSTERS} with an asymptotic guarantee, not {least}: limits looked at from the \
                 30th typist on missed the truth in up to 63 % of runs (the table SEQUENTIAL.md of agogic-stats); raise \
                 it, or use guarantee = \"exact\" if the estimand is a proportion"
            ),
        );
    }
    let policies = section.texts("policies");
    section.finish();
    Some(Draft { estimand: estimand?, precision: precision?, guarantee: guarantee?, policies, block, least })
}

fn named(log: &Diagnostics, found: &Found<String>) -> Option<&'static EstimandInfo> {
    let info = EstimandInfo::by_name(&found.value);
    if info.is_none() {
        let names: Vec<&str> = crate::ESTIMANDS.iter().map(|info| info.name).collect();
        let hint = hint(&found.value, &names);
        log.at(found, format!("is no estimand{hint} (estimands: {})", names.join(", ")));
    }
    info
}

impl Draft {
    /// The rule with its policies looked up; all policies if the table names none.
    pub fn resolve(self, log: &Diagnostics, labels: &[String]) -> StopPlan {
        let policies = match &self.policies {
            None => (0..labels.len()).collect(),
            Some(found) => {
                if found.value.is_empty() {
                    // A run that waits for nobody would stop at once.
                    log.at(found, "names no policy; leave it out for all of them");
                }
                let find = |label: &String| {
                    let at = labels.iter().position(|known| known == label);
                    if at.is_none() && !labels.is_empty() {
                        log.at(found, format!("no policy has the label `{label}`"));
                    }
                    at
                };
                found.value.iter().filter_map(find).collect()
            }
        };
        let Self { estimand, precision, guarantee, block, least, .. } = self;
        StopPlan { estimand, precision, guarantee, policies, block, least }
    }
}

/// `None` without the table.
pub(super) fn read_rare(section: Option<Section<'_, '_>>) -> Option<RarePlan> {
    let section = section?;
    let log = section.diagnostics();
    let mut plan = RarePlan::default();
    if let Some(found) = section.number("precision") {
        if found.value > 0.0 && found.value < 1.0 {
            plan.precision = found.value;
        } else {
            log.at(&found, format!("must lie between 0 and 1, such as 0.1 for 10 %, not {}", found.value));
        }
    }
    plan.budget_keys = section.whole_within("budget_keys", plan.budget_keys, 100_000..=100_000_000_000);
    if let Some(found) = section.whole("below_events") {
        plan.below_events = found.value;
    }
    section.finish();
    Some(plan)
}
