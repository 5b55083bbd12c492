//! A calibration as Markdown.

use super::fit::Calibration;
use crate::table::{line, number};

/// The outcome in Markdown: the objective, the weak directions, a table of parameters and a table of moments.
pub fn calibration_markdown(c: &Calibration) -> String {
    let mut out = String::new();
    let ended = if c.converged { "The search converged" } else { "The search did not converge" };
    line(
        &mut out,
        format_args!(
            "Population `{}`: {} parameters, {} moments; {} simulated typists of {} presses, seed {}. {ended} after {} \
             simulations ({}).\n",
            c.population,
            c.parameters.len(),
            c.moments.len(),
            c.typists,
            c.keys,
            c.seed,
            c.evaluations,
            c.termination
        ),
    );
    line(
        &mut out,
        format_args!(
            "Objective J: {} at the start, {} at the estimate, with {} degrees of freedom ({} − {} moments less \
             parameters; {} parameters are effectively set by the moments). The ridge adds {}. A residual is divided \
             by the root of the squared tolerance and the squared Monte Carlo error (mcse) at the start. J would be \
             distributed as chi-square only if these were the standard deviations of independent differences; \
             tolerances are half margins, so a J below its degrees of freedom says no more than that the fit is \
             within them.\n",
            number(c.objective_before),
            number(c.objective),
            c.degrees_of_freedom,
            c.moments.len(),
            c.parameters.len(),
            number(c.effective_parameters),
            number(c.ridge),
        ),
    );
    let loose: Vec<String> = c.parameters.iter().filter(|p| !p.pinned).map(|p| format!("`{}`", p.name)).collect();
    if loose.is_empty() {
        out.push_str("Every parameter is pinned down by the moments better than by its bounds.\n");
    } else {
        line(&mut out, format_args!("The moments cannot pin down, against their bounds: {}.", loose.join(", ")));
    }
    if !c.weak_directions.is_empty() {
        out.push_str("\nDirections the moments hardly feel (tolerances moved by one SD of the ridge):\n\n");
    }
    for weak in &c.weak_directions {
        let parts: Vec<String> = weak.parameters.iter().map(|(name, share)| format!("{share:+.2} `{name}`")).collect();
        line(&mut out, format_args!("- {}: {}", number(weak.singular_value), parts.join(", ")));
    }
    out.push_str("\n| parameter | bounds | start | estimate | SE | SE of moments alone | pinned |\n");
    out.push_str("|---|---|---|---|---|---|---|\n");
    for p in &c.parameters {
        line(
            &mut out,
            format_args!(
                "| {} | {} to {} | {} | {} | {} | {} | {} |",
                p.name,
                number(p.lo),
                number(p.hi),
                number(p.start),
                number(p.estimate),
                number(p.standard_error),
                p.unaided_error.map_or("–".to_owned(), number),
                if p.pinned { "yes" } else { "no" }
            ),
        );
    }
    out.push_str("\n| moment | published | tolerance | start | estimate | mcse | residual at start | residual |\n");
    out.push_str("|---|---|---|---|---|---|---|---|\n");
    for m in &c.moments {
        line(
            &mut out,
            format_args!(
                "| {} | {} | {} | {} | {} | {} | {:.2} | {:.2} |",
                m.id,
                number(m.published),
                number(m.tolerance),
                number(m.before),
                number(m.after),
                number(m.mcse),
                m.residual_before,
                m.residual_after
            ),
        );
    }
    out
}
