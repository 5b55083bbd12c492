//! `agogic report`: a result folder of any kind as page, figures and tables; of a run methods and sources too.

use std::io::Write;
use std::process::ExitCode;

use agogic_files::{FolderKind, ResultFolder, save_folder};
use agogic_report::{Format, PAGE, ReportError, bundle};
use serde_json::json;

use crate::args::{FigureFormat, Report};
use crate::failure::Failure;
use crate::screen::screen;

/// Makes a report.
pub fn report(args: &Report, as_json: bool) -> Result<ExitCode, Failure> {
    let refused = |source| Failure::Folder { path: args.folder.clone(), source };
    let folder = ResultFolder::open(&args.folder).map_err(refused)?;
    let out = args.out.clone().unwrap_or_else(|| args.folder.join("report"));
    let format = |format: &FigureFormat| match format {
        FigureFormat::Svg => Format::Svg,
        FigureFormat::Pdf => Format::Pdf,
        FigureFormat::Png => Format::Png,
    };
    let formats: Vec<Format> = args.formats.iter().map(format).collect();
    let files = bundle(&folder, &formats).map_err(|failed| match failed {
        ReportError::Folder(source) => refused(source),
        other => other.into(),
    })?;
    save_folder(&files, &out, PAGE)?;
    let mut screen = screen();
    if as_json {
        let names: Vec<&String> = files.iter().map(|(name, _)| name).collect();
        serde_json::to_writer_pretty(&mut screen, &json!({ "folder": out, "files": names }))
            .map_err(std::io::Error::from)?;
        writeln!(screen)?;
        return Ok(ExitCode::SUCCESS);
    }
    let within = |folder: &str| files.iter().filter(|(name, _)| name.starts_with(folder)).count();
    writeln!(screen, "Page: {}", out.join(PAGE).display())?;
    writeln!(
        screen,
        "Beside it: {} files of figures, {} of tables{}",
        within("figures/"),
        within("tables/"),
        if folder.kind() == FolderKind::Run { ", methods.md and methods.tex, sources.bib, example.tex" } else { "" }
    )?;
    for file in folder.edited() {
        writeln!(screen, "Note: {file} was changed after the run; the report shows what it says now.")?;
    }
    Ok(ExitCode::SUCCESS)
}
