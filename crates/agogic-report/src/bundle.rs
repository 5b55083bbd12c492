//! Everything a paper needs from a result folder: page, figures and tables; of a run methods and sources too.

use agogic_figures::Width;
use agogic_files::{Files, FolderKind, ResultFolder, Results, RobustRecord, SweepRecord};
use agogic_lab::Recommendation;
use agogic_study::Study;

use crate::advice_page::{advice_page, short_list};
use crate::advice_tables::{answer_table, effect_table, fate_table, list_table, rules_table, whom_table};

use crate::figures::{self, Drawing, FigureFileError, Format};
use crate::folders::{ReportError, page_of_robust};
use crate::methods::{bibtex, methods_latex, methods_markdown};
use crate::page::{PAGE, page};
use crate::section::Section;
use crate::sensitivity_page::{index_figures, index_table, sensitivity_page};
use crate::sheet::Sheet;
use crate::stop::stop_table;
use crate::sweep_figures::sweep_figures;
use crate::sweep_page::{front_table, sweep_page};
use crate::transfer_tables::{transfer_table, world_table};
use crate::{comparisons, tables};

/// The files of a report of a result folder of any kind, from what it holds: names, with `/` between folder and file, and
/// contents.
///
/// # Errors
/// A file of the folder is missing or has another form; a figure cannot be drawn.
pub fn bundle(folder: &ResultFolder, formats: &[Format]) -> Result<Files, ReportError> {
    let parts = match folder.kind() {
        FolderKind::Run => return Ok(run_bundle(&Results::read(folder)?, formats, &[])?),
        FolderKind::Sweep => {
            let (study, swept) = (folder.study()?, SweepRecord::read(folder)?);
            ReportParts {
                page: sweep_page(&study, &swept)?,
                sheets: swept.fronts.iter().map(front_table).collect(),
                drawings: sweep_figures(&study, &swept),
            }
        }
        FolderKind::Advice => {
            let (study, advice) = (folder.study()?, folder.advice()?);
            let page = advice_page(&study, &advice, &[])?;
            ReportParts { page, ..of_advice(&study, &advice) }
        }
        FolderKind::Robust => {
            let (study, RobustRecord { advice, found }) = (folder.study()?, RobustRecord::read(folder)?);
            let page = page_of_robust(&study, &advice, &found)?;
            let mut parts = ReportParts { page, ..of_advice(&study, &advice) };
            parts.sheets.push(fate_table(&study, &found));
            parts
        }
        FolderKind::Sensitivity => {
            let (study, indices) = (folder.study()?, folder.indices()?);
            ReportParts {
                page: sensitivity_page(&study, &indices)?,
                sheets: study.arms.iter().map(|arm| index_table(&indices, &arm.label)).collect(),
                drawings: study.arms.iter().flat_map(|arm| index_figures(&study, &indices, &arm.label)).collect(),
            }
        }
    };
    Ok(parts.files(formats)?)
}

/// What a report shows, before it is cut into files.
#[derive(Default)]
struct ReportParts {
    page: String,
    sheets: Vec<Sheet>,
    drawings: Vec<Drawing>,
}

impl ReportParts {
    fn files(&self, formats: &[Format]) -> Result<Files, FigureFileError> {
        let mut files = vec![(PAGE.to_owned(), self.page.clone().into_bytes())];
        self.sheets.iter().for_each(|sheet| table(sheet, &mut |name, text| files.push((name, text.into_bytes()))));
        for drawing in &self.drawings {
            files.extend(drawn(drawing, formats)?);
        }
        Ok(files)
    }
}

/// Tables and figures of advice; none without any.
fn of_advice(study: &Study, advice: &[Recommendation]) -> ReportParts {
    let Some(plan) = study.advice.as_ref().filter(|_| !advice.is_empty()) else { return ReportParts::default() };
    let mut sheets = vec![answer_table(plan, advice)];
    for own in advice {
        sheets.extend([list_table(plan, own), rules_table(plan, own), whom_table(own)]);
        sheets.extend(own.transfer.as_ref().map(world_table));
        if !own.effects.is_empty() {
            sheets.push(effect_table(plan, own));
        }
    }
    let drawings = advice.iter().map(|own| short_list(study, plan, own)).collect();
    ReportParts { page: String::new(), sheets, drawings }
}

/// A figure for one column and for two, in each form.
fn drawn(drawing: &Drawing, formats: &[Format]) -> Result<Files, FigureFileError> {
    let mut files = Files::new();
    for width in [Width::OneColumn, Width::TwoColumn] {
        let figure = drawing.draw(width)?;
        for format in formats {
            let name = format!("figures/{}-{}.{}", drawing.name, width.name(), format.ending());
            files.push((name, format.bytes(&figure)?));
        }
    }
    Ok(files)
}

/// The files of a report of a run, `more` sections on its page.
///
/// # Errors
/// A figure cannot be drawn.
pub fn run_bundle(results: &Results, formats: &[Format], more: &[Section]) -> Result<Files, FigureFileError> {
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
            results.transfer(&arm.label).map(transfer_table),
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
            files.extend(drawn(&drawing, formats)?);
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
