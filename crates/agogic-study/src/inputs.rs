//! The files that a spec names: read from a folder, or held from an earlier run.

use std::cell::RefCell;
use std::fs::File;
use std::io::Read;
use std::path::{Path, PathBuf};

/// A file that a spec names, with its contents.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Input {
    /// Its name as the spec has it.
    pub named: String,
    /// What it held.
    pub text: String,
}

/// Where the files of a spec come from.
enum Source<'a> {
    /// Relative names start from this folder.
    Folder(&'a Path),
    /// What an earlier run read; no other file exists.
    Held(&'a [Input]),
}

/// Reads the files of a spec, and remembers what was read so that the run can be repeated.
pub(crate) struct Inputs<'a> {
    source: Source<'a>,
    read: RefCell<Vec<Input>>,
}

impl<'a> Inputs<'a> {
    pub fn in_folder(folder: &'a Path) -> Self {
        Self { source: Source::Folder(folder), read: RefCell::default() }
    }

    pub fn held(inputs: &'a [Input]) -> Self {
        Self { source: Source::Held(inputs), read: RefCell::default() }
    }

    /// The file as it is shown to the user.
    pub fn path(&self, named: &str) -> PathBuf {
        match self.source {
            Source::Folder(folder) => folder.join(named),
            Source::Held(_) => PathBuf::from(named),
        }
    }

    /// The text of a file of at most `largest` bytes, or why not in one sentence. `what` names its kind.
    pub fn text(&self, named: &str, what: &str, largest: u64) -> Result<String, String> {
        let text = match self.source {
            Source::Folder(folder) => from_disk(&folder.join(named), what, largest)?,
            Source::Held(inputs) => match inputs.iter().find(|input| input.named == named) {
                Some(input) => input.text.clone(),
                None => return Err(format!("the result folder holds no copy of the {what} {named}")),
            },
        };
        let mut read = self.read.borrow_mut();
        if read.iter().all(|input| input.named != named) {
            read.push(Input { named: named.to_owned(), text: text.clone() });
        }
        Ok(text)
    }

    /// Everything that was read, in the order of reading.
    pub fn finish(self) -> Vec<Input> {
        self.read.into_inner()
    }
}

fn from_disk(path: &Path, what: &str, largest: u64) -> Result<String, String> {
    let place = path.display();
    let meta = std::fs::metadata(path).map_err(|e| format!("failed to open the {what} {place}: {e}"))?;
    if !meta.is_file() {
        return Err(format!("{place} is not a file"));
    }
    let too_large = |bytes: u64| {
        let mb = |bytes: u64| bytes as f64 / 1_048_576.0;
        format!("the {what} {place} has {:.1} MB; the most is {} MB", mb(bytes), mb(largest))
    };
    if meta.len() > largest {
        return Err(too_large(meta.len()));
    }
    let mut bytes = Vec::new();
    let read = File::open(path).and_then(|file| file.take(largest + 1).read_to_end(&mut bytes));
    read.map_err(|e| format!("failed to read the {what} {place}: {e}"))?;
    // Some files say that they are empty and are not, as those in which a system tells of itself.
    if bytes.len() as u64 > largest {
        return Err(too_large(bytes.len() as u64));
    }
    String::from_utf8(bytes).map_err(|e| {
        let before = &e.as_bytes()[..e.utf8_error().valid_up_to()];
        let line = 1 + before.iter().filter(|&&b| b == b'\n').count();
        format!("the {what} {place} is not UTF-8 in its line {line}; save it as UTF-8")
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_was_read_once_is_read_again_without_the_disk() {
        let folder = tempfile::tempdir().unwrap();
        std::fs::write(folder.path().join("a.txt"), "high tide").unwrap();
        let first = Inputs::in_folder(folder.path());
        first.text("a.txt", "text file", 100).unwrap();
        first.text("a.txt", "text file", 100).unwrap();
        let inputs = first.finish();
        assert_eq!(inputs, [Input { named: "a.txt".into(), text: "high tide".into() }]);
        let again = Inputs::held(&inputs);
        assert_eq!(again.text("a.txt", "text file", 100).unwrap(), "high tide");
        assert!(again.text("b.txt", "text file", 100).unwrap_err().contains("no copy of the text file b.txt"));
    }

    #[test]
    fn what_is_too_large_or_no_text_is_refused() {
        let folder = tempfile::tempdir().unwrap();
        std::fs::write(folder.path().join("a.txt"), b"one\n\xff").unwrap();
        let inputs = Inputs::in_folder(folder.path());
        assert!(inputs.text("a.txt", "text file", 100).unwrap_err().contains("not UTF-8 in its line 2"));
        assert!(inputs.text("a.txt", "text file", 3).unwrap_err().contains("the most is"));
        assert!(inputs.text(".", "text file", 100).unwrap_err().ends_with("is not a file"));
        assert!(inputs.finish().is_empty());
    }
}
