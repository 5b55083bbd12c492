//! A file without a name, for what would take too much memory.

use std::fs::File;
use std::io::{Read, Seek, SeekFrom, Write};
use std::path::Path;
use std::sync::{Arc, Mutex};

use serde::{Deserialize, Deserializer, Serialize, Serializer};

/// A file that is gone once nobody has it open, however the program ends.
#[derive(Debug)]
pub(crate) struct Scratch {
    file: Mutex<File>,
}

impl Scratch {
    /// A file on the disk of `folder`; `None` where the disk refuses, so that memory has to do.
    pub fn on_disk_of(folder: &Path) -> Option<Arc<Self>> {
        tempfile::tempfile_in(folder).ok().map(|file| Arc::new(Self { file: Mutex::new(file) }))
    }

    /// Where it wrote the bytes; `None` where there is no more room.
    fn put(self: &Arc<Self>, bytes: &[u8]) -> Option<Place> {
        let mut file = self.file.lock().ok()?;
        let at = file.seek(SeekFrom::End(0)).ok()?;
        file.write_all(bytes).ok()?;
        Some(Place { scratch: Arc::clone(self), at, len: bytes.len() })
    }
}

/// Bytes in a scratch file.
#[derive(Clone, Debug)]
struct Place {
    scratch: Arc<Scratch>,
    at: u64,
    len: usize,
}

impl Place {
    /// # Panics
    /// The disk does not give back what was written.
    fn read(&self) -> Vec<u8> {
        let mut bytes = vec![0; self.len];
        let mut file = self.scratch.file.lock().expect("nobody panics while holding it");
        file.seek(SeekFrom::Start(self.at))
            .and_then(|_| file.read_exact(&mut bytes))
            .expect("the disk should give back what was written a moment ago; run again, finished blocks are kept");
        bytes
    }
}

/// Bytes that are in memory, or in a scratch file.
#[derive(Clone, Debug)]
pub(crate) struct Stored(Where);

#[derive(Clone, Debug)]
enum Where {
    Memory(Vec<u8>),
    Disk(Place),
}

impl Stored {
    /// The bytes.
    pub fn with<T>(&self, look: impl FnOnce(&[u8]) -> T) -> T {
        match &self.0 {
            Where::Memory(bytes) => look(bytes),
            Where::Disk(place) => look(&place.read()),
        }
    }

    /// Moves them to a scratch file, if it has room.
    pub fn move_to(&mut self, scratch: &Arc<Scratch>) {
        if let Where::Memory(bytes) = &self.0
            && let Some(place) = scratch.put(bytes)
        {
            self.0 = Where::Disk(place);
        }
    }
}

impl From<Vec<u8>> for Stored {
    fn from(bytes: Vec<u8>) -> Self {
        Self(Where::Memory(bytes))
    }
}

impl PartialEq for Stored {
    fn eq(&self, other: &Self) -> bool {
        self.with(|own| other.with(|other| own == other))
    }
}

impl Serialize for Stored {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        self.with(|bytes| serializer.serialize_bytes(bytes))
    }
}

impl<'de> Deserialize<'de> for Stored {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        Vec::<u8>::deserialize(deserializer).map(Self::from)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn bytes_are_the_same_in_memory_and_on_disk() {
        let folder = tempfile::tempdir().unwrap();
        let scratch = Scratch::on_disk_of(folder.path()).unwrap();
        let before: Vec<Stored> = (0..5_u8).map(|n| vec![n; 100 * usize::from(n)].into()).collect();
        let mut after = before.clone();
        after.iter_mut().rev().for_each(|stored| stored.move_to(&scratch));
        after[1].move_to(&scratch);
        assert!(after.iter().all(|stored| matches!(stored.0, Where::Disk(_))) && before == after);
        let of = |stored: &Stored| postcard::to_extend(stored, Vec::new()).unwrap();
        assert_eq!(of(&before[3]), of(&after[3]));
        assert_eq!(postcard::from_bytes::<Stored>(&of(&after[3])), Ok(before[3].clone()));
        // Nobody sees the file.
        assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 0);
    }

    #[test]
    fn where_nothing_can_be_written_memory_has_to_do() {
        let folder = tempfile::tempdir().unwrap();
        assert!(Scratch::on_disk_of(&folder.path().join("missing")).is_none());
        // A file that is open for reading only stands for a full disk.
        let path = folder.path().join("full");
        std::fs::write(&path, "").unwrap();
        let scratch = Arc::new(Scratch { file: Mutex::new(File::open(&path).unwrap()) });
        let mut stored = Stored::from(vec![1, 2, 3]);
        stored.move_to(&scratch);
        assert!(matches!(&stored.0, Where::Memory(bytes) if bytes == &[1, 2, 3]));
    }
}
