//! Result folders read back.

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};

use serde_json::Value;
use sha2::{Digest, Sha256};

use crate::folder::{Files, FolderKind};
use agogic_keys::one_line;
use agogic_sim::disk::hex;
use agogic_study::Input;

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
    /// A file that should be there is not, or has another form.
    #[error("{file}: {message}")]
    File {
        /// Its name.
        file: String,
        /// What is wrong with it.
        message: String,
    },
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
#[derive(Clone, Debug)]
pub struct ResultFolder {
    /// What it holds.
    pub kind: FolderKind,
    /// The manifest as it was read.
    pub manifest: Value,
    /// Every file but the manifest, by name.
    pub files: BTreeMap<String, Vec<u8>>,
}

impl ResultFolder {
    /// Reads a folder: its manifest and the files that the manifest names.
    ///
    /// # Errors
    /// No manifest, one that is no such thing, a format this version does not know, or a disk that refuses.
    /// A file that is missing is no error here: see [`ResultFolder::file`].
    pub fn open(folder: &Path) -> Result<Self, FolderError> {
        let path = folder.join("manifest.json");
        let text = match fs::read_to_string(&path) {
            Ok(text) => text,
            Err(_) if !path.is_file() => return Err(FolderError::NoManifest(folder.to_owned())),
            Err(source) => return Err(FolderError::Io { path, source }),
        };
        let refused = |message: String| FolderError::Manifest { path: path.clone(), message };
        let manifest: Value = serde_json::from_str(&text).map_err(|e| refused(format!("this is not JSON: {e}")))?;
        let format = manifest["format"].as_str().ok_or_else(|| refused("it has no `format`".into()))?;
        let kind = FolderKind::ALL.into_iter().find(|kind| kind.format() == format);
        let kind = kind.ok_or_else(|| FolderError::Format(one_line(format).into_owned()))?;
        let named = manifest["files_sha256"].as_object().ok_or_else(|| refused("it has no `files_sha256`".into()))?;
        let mut files = BTreeMap::new();
        for name in named.keys() {
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
        Ok(Self { kind, manifest, files })
    }

    /// A folder from what is about to be written.
    pub fn from_parts(kind: FolderKind, manifest: Value, files: Files) -> Self {
        Self { kind, manifest, files: files.into_iter().collect() }
    }

    /// Its files, but for the manifest, in the order of their names.
    pub fn into_files(self) -> Files {
        self.files.into_iter().collect()
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

    /// The spec and the files it names.
    ///
    /// # Errors
    /// The manifest has no spec, or a copy of an input file is missing.
    pub fn spec(&self) -> Result<(&str, Vec<Input>), FolderError> {
        let wrong = |message: &str| FolderError::File { file: "manifest.json".into(), message: message.into() };
        let spec = self.manifest["spec"].as_str().ok_or_else(|| wrong("it has no `spec`"))?;
        let mut inputs = Vec::new();
        for input in self.manifest["inputs"].as_array().into_iter().flatten() {
            let (named, file) = (input["named"].as_str(), input["file"].as_str());
            let (Some(named), Some(file)) = (named, file) else { return Err(wrong("an input has no name")) };
            inputs.push(Input { named: named.to_owned(), text: self.text(file)?.to_owned() });
        }
        Ok((spec, inputs))
    }

    /// Files whose contents are no longer those the manifest has the hash of.
    pub fn edited(&self) -> Vec<String> {
        let hash = |bytes: &[u8]| hex(&Sha256::digest(bytes));
        let is_new = |(name, bytes): &(&String, &Vec<u8>)| self.manifest["files_sha256"][*name] != hash(bytes);
        self.files.iter().filter(is_new).map(|(name, _)| name.clone()).collect()
    }

    /// Whether the spec in the manifest is no longer the one the manifest has the hash of.
    pub fn spec_edited(&self) -> bool {
        self.manifest["spec"].as_str().is_none_or(|spec| {
            let hash = hex(&Sha256::digest(spec.as_bytes()));
            self.manifest["spec_sha256"] != hash
        })
    }
}
