//! A result folder in memory: made from a result, or read back.

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};

use serde::Deserialize;
use serde::de::DeserializeOwned;
use serde_json::Value;

use crate::folder::{Files, MANIFEST, input_files, save_files};
use crate::manifest::{FolderKind, Manifest, RunInfo, hash};
use agogic_keys::one_line;
use agogic_sim::FileError;
use agogic_sim::disk::to_json;
use agogic_study::{Input, Mistakes, Study};

/// Why a result folder cannot be read. The texts continue "failed to read the result folder …: ".
#[derive(Debug, thiserror::Error)]
pub enum FolderError {
    /// There is no manifest.
    #[error("{0} has no manifest.json, so it is no result folder; name one that `agogic run` wrote")]
    NoManifest(PathBuf),
    /// The manifest cannot be understood.
    #[error("{path}: {message}")]
    Manifest {
        /// The file.
        path: PathBuf,
        /// What is wrong with it.
        message: String,
    },
    /// The format is of another program or version.
    #[error("its format is `{0}`, which this version does not read (known: {known})", known = known())]
    Format(String),
    /// The folder holds another kind of result.
    #[error("it holds a result of `agogic {found}`, not of `agogic {wanted}`")]
    Kind {
        /// The command it is of.
        found: &'static str,
        /// The command that was wanted.
        wanted: &'static str,
    },
    /// A file that should be there is not, or has another form.
    #[error("{file}: {message}")]
    File {
        /// Its name.
        file: String,
        /// What is wrong with it.
        message: String,
    },
    /// The spec in the manifest has mistakes.
    #[error("the spec in manifest.json has mistakes\n{0}")]
    Spec(Mistakes),
    /// The operating system refused.
    #[error("{path}: {source}")]
    Io {
        /// Where.
        path: PathBuf,
        /// Its answer.
        source: std::io::Error,
    },
}

fn known() -> String {
    FolderKind::ALL.map(FolderKind::format).join(", ")
}

/// A result folder in memory.
#[derive(Clone, Debug, PartialEq)]
pub struct ResultFolder {
    /// What was run.
    pub manifest: Manifest,
    /// Every file but the manifest, by name.
    pub files: BTreeMap<String, Vec<u8>>,
}

impl ResultFolder {
    /// A folder that is about to be written: files of a study, copies of what its spec names, and their manifest.
    pub(crate) fn new(kind: FolderKind, study: &Study, files: Files) -> Self {
        let mut folder = Self { manifest: Manifest::of(kind, study), files: BTreeMap::new() };
        files.into_iter().chain(input_files(study)).for_each(|(name, bytes)| folder.add(name, bytes));
        folder
    }

    /// Adds a file, such as a figure or a page. It replaces one of the same name.
    pub fn add(&mut self, name: String, bytes: Vec<u8>) {
        self.manifest.files_sha256.insert(name.clone(), hash(&bytes));
        self.files.insert(name, bytes);
    }

    /// Writes the folder to `out`, or nothing. An earlier result at `out` is replaced only once the new one is complete.
    ///
    /// # Errors
    /// The place is taken by something else, or the disk refuses; nothing is left behind then.
    pub fn write(&self, run: RunInfo, out: &Path) -> Result<(), FileError> {
        let manifest = Manifest { run: Some(run), ..self.manifest.clone() };
        // A `Value` sorts its keys.
        let manifest = to_json(&serde_json::to_value(manifest).expect("our own structs serialise"));
        let files = self.files.iter().map(|(name, bytes)| (name.as_str(), bytes.as_slice()));
        save_files(files.chain([(MANIFEST, manifest.as_slice())]), out, MANIFEST)
    }

    /// Reads a folder: its manifest and the files that the manifest names.
    ///
    /// # Errors
    /// No manifest, one that is no such thing, a format this version does not know, or a disk that refuses.
    /// A file that is missing is no error here: see [`ResultFolder::file`].
    pub fn open(folder: &Path) -> Result<Self, FolderError> {
        let path = folder.join(MANIFEST);
        let text = match fs::read_to_string(&path) {
            Ok(text) => text,
            Err(_) if !path.is_file() => return Err(FolderError::NoManifest(folder.to_owned())),
            Err(source) => return Err(FolderError::Io { path, source }),
        };
        let refused = |message: String| FolderError::Manifest { path: path.clone(), message };
        let manifest: Value = serde_json::from_str(&text).map_err(|e| refused(format!("this is not JSON: {e}")))?;
        let format = manifest["format"].as_str().ok_or_else(|| refused("it has no `format`".into()))?;
        if FolderKind::of_format(format).is_none() {
            return Err(FolderError::Format(one_line(format).into_owned()));
        }
        let manifest = Manifest::deserialize(&manifest)
            .map_err(|e| one_line(&e.to_string()).into_owned())
            .map_err(|e| refused(format!("it was written by another version ({e}); run the study again")))?;
        let mut files = BTreeMap::new();
        for name in manifest.files_sha256.keys() {
            // A manifest is data from elsewhere: it may not name files outside of its folder.
            if name.is_empty() || name.starts_with('.') || name.contains(|c: char| "/\\".contains(c) || c.is_control())
            {
                let name = one_line(name);
                return Err(refused(format!("the file name `{name}` leads out of the folder, or is none")));
            }
            let path = folder.join(name);
            match fs::read(&path) {
                Ok(bytes) => drop(files.insert(name.clone(), bytes)),
                Err(_) if !path.exists() => {}
                Err(source) => return Err(FolderError::Io { path, source }),
            }
        }
        Ok(Self { manifest, files })
    }

    /// What it holds.
    pub fn kind(&self) -> FolderKind {
        self.manifest.format
    }

    /// Nothing, if it holds a result of that kind.
    ///
    /// # Errors
    /// It holds another.
    pub(crate) fn must_be(&self, wanted: FolderKind) -> Result<(), FolderError> {
        let found = self.kind();
        let other = FolderError::Kind { found: found.command(), wanted: wanted.command() };
        if found == wanted { Ok(()) } else { Err(other) }
    }

    /// The contents of a file.
    ///
    /// # Errors
    /// The file is not there.
    pub fn file(&self, name: &str) -> Result<&[u8], FolderError> {
        self.files.get(name).map(Vec::as_slice).ok_or_else(|| FolderError::File {
            file: one_line(name).into_owned(),
            message: "the file is missing; run the study again".to_owned(),
        })
    }

    /// A file as text.
    ///
    /// # Errors
    /// The file is not there, or is not UTF-8.
    pub fn text(&self, name: &str) -> Result<&str, FolderError> {
        std::str::from_utf8(self.file(name)?)
            .map_err(|e| FolderError::File { file: name.to_owned(), message: format!("is no text: {e}") })
    }

    /// The records of a JSON file.
    pub(crate) fn json<T: DeserializeOwned>(&self, name: &str) -> Result<T, FolderError> {
        serde_json::from_slice(self.file(name)?)
            .map_err(|e| FolderError::File { file: name.into(), message: format!("has another form: {e}") })
    }

    /// The records of a JSON file that folders of earlier versions do not have.
    pub(crate) fn json_if_there<T: DeserializeOwned>(&self, name: &str) -> Result<Option<T>, FolderError> {
        if self.files.contains_key(name) { self.json(name).map(Some) } else { Ok(None) }
    }

    /// The records of a CSV file.
    pub(crate) fn lines<T: DeserializeOwned>(&self, name: &str) -> Result<Vec<T>, FolderError> {
        let refused =
            |e: csv::Error| FolderError::File { file: name.into(), message: format!("has another form: {e}") };
        csv::Reader::from_reader(self.file(name)?).deserialize().map(|line| line.map_err(refused)).collect()
    }

    /// The spec and the files it names.
    ///
    /// # Errors
    /// A copy of an input file is missing.
    pub fn spec(&self) -> Result<(&str, Vec<Input>), FolderError> {
        let input = |named: &str, file: &str| Ok(Input { named: named.to_owned(), text: self.text(file)?.to_owned() });
        let inputs = self.manifest.inputs.iter().map(|own| input(&own.named, &own.file));
        Ok((&self.manifest.spec, inputs.collect::<Result<_, _>>()?))
    }

    /// The study, from the spec in the manifest and the copies of the files it names.
    ///
    /// # Errors
    /// A copy is missing, or the spec has mistakes, as it may after an edit.
    pub fn study(&self) -> Result<Study, FolderError> {
        let (spec, inputs) = self.spec()?;
        Study::read_held(spec, &inputs).map_err(FolderError::Spec)
    }

    /// Files whose contents are no longer those the manifest has the hash of.
    pub fn edited(&self) -> Vec<String> {
        let is_new = |(name, bytes): &(&String, &Vec<u8>)| self.manifest.files_sha256.get(*name) != Some(&hash(bytes));
        self.files.iter().filter(is_new).map(|(name, _)| name.clone()).collect()
    }

    /// Files that the manifest names and that are not there.
    pub fn missing(&self) -> Vec<&str> {
        let names = self.manifest.files_sha256.keys().map(String::as_str);
        names.filter(|name| !self.files.contains_key(*name)).collect()
    }

    /// Whether the spec in the manifest is no longer the one the manifest has the hash of.
    pub fn spec_edited(&self) -> bool {
        self.manifest.spec_sha256 != hash(self.manifest.spec.as_bytes())
    }
}
