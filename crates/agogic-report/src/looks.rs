//! Which colour and mark a thing has, the same in every figure of a page: a colour never means two things.

use agogic_policy::RULES;
use agogic_study::Study;

/// The family of a policy and the number of its look: its rule, or `personal` where values are fitted to each typist.
///
/// # Definition
/// Rules have the looks of their places in the registry, whatever a study asks, so that a rule looks the same on every page.
/// Personal settings come next, then rules from outside of the registry.
pub(crate) fn family(policy: &str, rule: &str) -> (String, usize) {
    if policy.starts_with("personal ") {
        return ("personal".to_owned(), RULES.len());
    }
    let place = RULES.iter().position(|entry| entry.name == rule);
    (rule.to_owned(), place.unwrap_or(RULES.len() + 1))
}

/// The look of the arm number `n` of a study: one that no rule of this study has.
pub(crate) fn of_arm(study: &Study, n: usize) -> usize {
    let plans = study.plans.iter().zip(&study.policies).map(|(plan, label)| (label.as_str(), plan.rule.entry.name));
    let swept = study.sweeps.iter().map(|plan| (plan.label.as_str(), plan.rule.entry.name));
    let taken: Vec<usize> = plans.chain(swept).map(|(label, rule)| family(label, rule).1).collect();
    (0..).filter(|look| !taken.contains(look)).nth(n).unwrap_or(n)
}

#[cfg(test)]
mod tests {
    use super::*;
    use agogic_figures::Ink;

    #[test]
    fn every_rule_and_the_personal_ones_have_an_ink_of_their_own() {
        let mut looks: Vec<usize> = RULES.iter().map(|entry| family("any", entry.name).1).collect();
        looks.push(family("personal share of overlap-share 0.8", "overlap-share").1);
        let mut inks: Vec<&str> = looks.iter().map(|look| Ink::series(*look).variable()).collect();
        inks.sort_unstable();
        assert!(inks.windows(2).all(|pair| pair[0] != pair[1]), "{inks:?}");
    }

    #[test]
    fn arms_never_look_like_a_rule_of_the_study() {
        let spec = "name = \"a\"\nseed = 1\n[text]\nwords = \"The tide turns.\"\n[typists]\nnumber = 4\n\
            populations = [\"volunteers\", \"slow\"]\n[[policy]]\nrule = \"enclosed\"\n[[policy]]\nrule = \"dwell-cutoff\"\n";
        let study = Study::read(spec, std::path::Path::new(".")).unwrap();
        let arms = [of_arm(&study, 0), of_arm(&study, 1)];
        assert!(arms[0] != arms[1]);
        for rule in ["enclosed", "dwell-cutoff"] {
            let look = family("any", rule).1;
            assert!(arms.iter().all(|arm| Ink::series(*arm) != Ink::series(look)), "{rule} {arms:?}");
        }
    }
}
