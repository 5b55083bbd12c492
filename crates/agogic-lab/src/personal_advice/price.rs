//! What a setting comes to for a person who types the text of an arm.

use agogic_policy::Setting;
use agogic_sim::numbers::PERSONAL_CONFIRM;
use agogic_sim::{ArmRunner, Buffers, Trial};
use agogic_study::EstimandInfo;
use agogic_typist::{Population, SessionAddress};
use rayon::prelude::*;
use serde::Serialize;

use super::PersonalQuestion;

/// What is told of a setting.
const FIGURES: [&str; 3] = ["wrong_keys", "harm", "tap_delay"];

/// What the drawn typists pay under a setting, on the text and workload of the arm.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Price {
    /// The setting.
    pub setting: String,
    /// Wrong keys per 1000 words; `None` without words.
    pub wrong_keys: Option<f64>,
    /// Time of repair in s per 1000 words under the cost table of the study.
    pub harm: Option<f64>,
    /// Mean time from press to decision of taps, in ms.
    pub tap_delay: Option<f64>,
}

/// Judges settings on the drawn typists that confirm.
pub(super) fn prices(
    question: &PersonalQuestion<'_>,
    runner: &ArmRunner<'_>,
    person: &Population,
    settings: &[&Setting],
) -> Vec<Price> {
    let infos = FIGURES.map(|name| EstimandInfo::by_name(name).expect("names of our own table"));
    let address = SessionAddress { seed: question.seed, replicate: 0 };
    let each: Vec<Vec<[(f64, f64); 3]>> = (PERSONAL_CONFIRM..PERSONAL_CONFIRM + question.draws)
        .into_par_iter()
        .map_init(Buffers::default, |buffers, typist| {
            let trial = Trial { population: person, typist, address, keys: question.keys };
            let session = runner.perform(trial).session;
            let mut parts = Vec::with_capacity(settings.len());
            runner.judge(buffers, &runner.transcript(&session), settings, question.costs, |_, score, _| {
                parts.push(infos.map(|info| (info.parts)(&score)));
            });
            parts
        })
        .collect();
    let of = |at: usize, figure: usize| {
        let sums = each.iter().map(|own| own[at][figure]).fold((0.0, 0.0), |sum, own| (sum.0 + own.0, sum.1 + own.1));
        (sums.1 > 0.0).then(|| infos[figure].scale * sums.0 / sums.1)
    };
    let price = |(at, setting): (usize, &&Setting)| Price {
        setting: setting.label(),
        wrong_keys: of(at, 0),
        harm: of(at, 1),
        tap_delay: of(at, 2),
    };
    settings.iter().enumerate().map(price).collect()
}
