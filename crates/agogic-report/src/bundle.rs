//! Everything a paper needs from a study: page, figures, tables, methods, sources.

use agogic_figures::Width;
use agogic_files::Files;

use crate::comparisons;
use crate::figures::{self, FigureFileError, Format};
use crate::methods::{bibtex, methods_latex, methods_markdown};
use crate::page::page;
use crate::results::Results;
use crate::section::Section;
use crate::sheet::Sheet;
use crate::stop::stop_table;
use crate::tables;

/// Name of the page in a folder.
pub const PAGE: &str = "page.html";

/// The files of a report: names, with `/` between folder and file, and contents.
///
/// # Errors
/// A figure cannot be drawn.
pub fn bundle(results: &Results, formats: &[Format], more: &[Section]) -> Result<Files, FigureFileError> {
    let mut files = vec![(PAGE.to_owned(), page(results, more)?.into_bytes())];
    let mut add = |name: String, text: String| files.push((name, text.into_bytes()));
    add("methods.md".into(), methods_markdown(results));
    add("methods.tex".into(), methods_latex(results));
    add("sources.bib".into(), bibtex(results));
    add("example.tex".into(), example(results));
    for arm in &results.manifest.arms {
        let own = [
            Some(tables::policy_table(results, &arm.label)),
            comparisons::comparison_table(results, &arm.label),
            tables::group_table(results, &arm.label),
            tables::text_table(results, &arm.label),
            tables::ends_table(results, &arm.label),
            stop_table(results, &arm.label),
            Some(tables::spread_table(results, &arm.label)),
        ];
        for sheet in own.into_iter().flatten() {
            table(&sheet, &mut add);
        }
        let few = tables::policy_table_on_paper(results, &arm.label);
        add(format!("tables/{}-narrow.tex", few.name), few.latex());
    }
    for sheet in [tables::assignment_table(results), tables::hand_table(results)].into_iter().flatten() {
        table(&sheet, &mut add);
    }
    for arm in &results.manifest.arms {
        for drawing in figures::all(results, &arm.label) {
            for width in [Width::OneColumn, Width::TwoColumn] {
                let figure = drawing.draw(width)?;
                for format in formats {
                    let name = format!("figures/{}-{}.{}", drawing.name, width.name(), format.ending());
                    files.push((name, format.bytes(&figure)?));
                }
            }
        }
    }
    Ok(files)
}

fn table(sheet: &Sheet, add: &mut impl FnMut(String, String)) {
    add(format!("tables/{}.tex", sheet.name), sheet.latex());
    add(format!("tables/{}.md", sheet.name), sheet.markdown());
    add(format!("tables/{}.csv", sheet.name), sheet.csv());
}

/// A LaTeX file that uses table, figure, methods and sources, to copy from.
fn example(results: &Results) -> String {
    let arm = results.manifest.arms.first().map_or_else(String::new, |arm| tables::slug(&arm.label));
    format!(
        "% pdflatex example && bibtex example && pdflatex example && pdflatex example\n\
         \\documentclass[a4paper]{{article}}\n\\usepackage[margin=2cm]{{geometry}}\n\\usepackage{{booktabs}}\n\
         \\usepackage{{graphicx}}\n\\begin{{document}}\n\\section*{{Methods}}\n\\input{{methods.tex}}\n\
         \\section*{{Results}}\nTable~\\ref{{tab:policies-{arm}}} and Figure~\\ref{{fig:trade-off-{arm}}} show them.\n\
         \\input{{tables/policies-{arm}-narrow.tex}}\n\\begin{{figure}}\n\\centering\n\
         \\includegraphics{{figures/trade-off-{arm}-one-column.pdf}}\n\
         \\caption{{False holds and missed holds.}}\n\\label{{fig:trade-off-{arm}}}\n\\end{{figure}}\n\
         \\bibliographystyle{{plain}}\n\\bibliography{{sources}}\n\\end{{document}}\n"
    )
}
