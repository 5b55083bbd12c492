//! A result folder in memory, as Python holds it.

use std::path::PathBuf;

use agogic_files::{ResultFolder, RunInfo};
use agogic_report::{Format, bundle};
use pyo3::prelude::*;
use pyo3::types::PyBytes;

use crate::refused::Refused;

/// A result folder in memory: the files that a command writes, byte by byte.
#[pyclass(frozen, module = "agogic._agogic")]
#[derive(Debug)]
pub struct Folder {
    pub(crate) inner: ResultFolder,
    run: Option<RunInfo>,
}

impl Folder {
    /// A folder that was made just now.
    pub fn new(inner: ResultFolder, run: RunInfo) -> Self {
        Self { inner, run: Some(run) }
    }
}

#[pymethods]
impl Folder {
    /// The command it is of: `run`, `sweep`, `advise` and so on.
    #[getter]
    fn kind(&self) -> &'static str {
        self.inner.kind().command()
    }

    /// Names of its files but the manifest, sorted.
    fn names(&self) -> Vec<&str> {
        self.inner.files.keys().map(String::as_str).collect()
    }

    /// The contents of a file.
    fn file<'py>(&self, py: Python<'py>, name: &str) -> PyResult<Bound<'py, PyBytes>> {
        Ok(PyBytes::new(py, self.inner.file(name).map_err(Refused::new)?))
    }

    /// The manifest as JSON.
    fn manifest(&self) -> PyResult<String> {
        let manifest = agogic_files::Manifest { run: self.run.clone(), ..self.inner.manifest.clone() };
        Ok(serde_json::to_string(&manifest).map_err(Refused::new)?)
    }

    /// Writes it to a folder, whole or not at all; an earlier result there is replaced.
    fn save(&self, py: Python<'_>, out: PathBuf) -> PyResult<()> {
        let run = self.run.clone().or_else(|| self.inner.manifest.run.clone());
        let run = run.unwrap_or_else(|| RunInfo::here(0, 0.0, rayon::current_num_threads()));
        py.detach(|| self.inner.write(run, &out)).map_err(|refused| Refused::to("write results")(&refused))?;
        Ok(())
    }

    /// What a paper needs: page, tables, methods and sources, and figures in these forms; names and contents.
    fn report<'py>(&self, py: Python<'py>, formats: Vec<String>) -> PyResult<Vec<(String, Bound<'py, PyBytes>)>> {
        let format = |name: &String| {
            let known = || Format::ALL.map(Format::ending).join(", ");
            let found = Format::ALL.into_iter().find(|format| format.ending() == name);
            found.ok_or_else(|| Refused::new(format!("there is no form of figures `{name}` (known: {})", known())))
        };
        let formats: Vec<Format> = formats.iter().map(format).collect::<Result<_, _>>()?;
        let files = py.detach(|| bundle(&self.inner, &formats));
        let files = files.map_err(|refused| Refused::to("make the report")(&refused))?;
        Ok(files.into_iter().map(|(name, bytes)| (name, PyBytes::new(py, &bytes))).collect())
    }
}

/// Opens a result folder on the disk.
#[pyfunction]
pub fn open_folder(py: Python<'_>, path: PathBuf) -> PyResult<Folder> {
    let what = format!("read the result folder {}", path.display());
    let inner = py.detach(|| ResultFolder::open(&path)).map_err(|refused| Refused::to(&what)(&refused))?;
    let run = inner.manifest.run.clone();
    Ok(Folder { inner, run })
}
