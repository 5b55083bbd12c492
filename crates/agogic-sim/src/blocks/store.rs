//! Finished blocks in a folder.

use std::fs::{self, File};
use std::io::Write;
use std::path::{Path, PathBuf};

use agogic_study::Study;
use serde::Serialize;
use serde::de::DeserializeOwned;
use sha2::{Digest, Sha256};

use super::block::Block;
use super::file::{decode, encode, pack, unpack};
use super::fingerprint::Fingerprint;
use super::plan::BlockPlace;
use crate::disk::{FileError, hex, io};
use crate::engine::Engine;
use crate::runner::Buffers;

/// Ending of block files.
const ENDING: &str = "block";

/// Ending of block files that are being written.
const DRAFT: &str = "draft";

/// A folder of finished blocks of one study.
///
/// A file appears under its name only once it is complete and on the disk. What is damaged or belongs to another
/// study is made again: a store never loses a run, at worst it saves nothing.
#[derive(Debug)]
pub struct Store {
    folder: PathBuf,
    fingerprint: Fingerprint,
}

impl Store {
    /// The store in `folder`, which is made if it is not there. Whoever opens it must be the only one.
    ///
    /// # Errors
    /// The disk refuses.
    pub fn open(study: &Study, folder: &Path) -> Result<Self, FileError> {
        fs::create_dir_all(folder).map_err(io("creating the folder", folder))?;
        for entry in fs::read_dir(folder).map_err(io("reading the folder", folder))? {
            let path = entry.map_err(io("reading the folder", folder))?.path();
            if path.extension().is_some_and(|ending| ending == DRAFT) {
                fs::remove_file(&path).map_err(io("removing the unfinished file", &path))?;
            }
        }
        Ok(Self { folder: folder.to_owned(), fingerprint: Fingerprint::of(study) })
    }

    /// A store to read from only.
    pub(super) fn of(fingerprint: Fingerprint, folder: &Path) -> Self {
        Self { folder: folder.to_owned(), fingerprint }
    }

    /// Where the blocks are.
    pub fn folder(&self) -> &Path {
        &self.folder
    }

    /// Block files that are there, whatever they hold.
    pub fn len(&self) -> usize {
        let Ok(entries) = fs::read_dir(&self.folder) else { return 0 };
        entries.flatten().filter(|entry| entry.path().extension().is_some_and(|ending| ending == ENDING)).count()
    }

    /// Whether nothing is there.
    pub fn is_empty(&self) -> bool {
        self.len() == 0
    }

    pub(super) fn path(&self, place: &BlockPlace) -> PathBuf {
        let BlockPlace { arm, typists } = place;
        self.folder.join(format!("arm-{arm}-typists-{}-{}.{ENDING}", typists.start, typists.end))
    }

    /// The block of a place; `None` when it has to be made.
    pub fn load(&self, study: &Study, place: &BlockPlace) -> Option<Block> {
        let bytes = fs::read(self.path(place)).ok()?;
        decode(&bytes, study, self.fingerprint, place).ok()
    }

    /// Keeps a block.
    pub fn save(&self, place: &BlockPlace, block: &Block) -> Result<(), FileError> {
        self.write(&self.path(place), &encode(self.fingerprint, place, block))
    }

    /// The block at a place, taken from here if it is there, else made and kept; and whether it was there. `progress` is
    /// called as by [`Block::make`], all at once for one that was there.
    ///
    /// # Errors
    /// The disk refuses.
    pub fn block(
        &self,
        engine: &Engine<'_>,
        place: &BlockPlace,
        buffers: &mut Buffers,
        progress: &(dyn Fn(u64) + Sync),
    ) -> Result<(Block, bool), FileError> {
        if let Some(block) = self.load(engine.study, place) {
            progress(block.steps());
            return Ok((block, true));
        }
        let block = Block::make(engine, place, buffers, progress);
        self.save(place, &block)?;
        Ok((block, false))
    }

    /// What was kept in `store` under `key`, if it is `sound`; else what `make` makes, which is kept if the disk has room.
    /// Without a store it is made.
    ///
    /// The key has to say all that decides what is made, beside the study: as the arm, the settings and the typists.
    pub fn take_up_or_make<T: Serialize + DeserializeOwned>(
        store: Option<&Self>,
        key: impl FnOnce() -> String,
        sound: impl Fn(&T) -> bool,
        make: impl FnOnce() -> T,
    ) -> T {
        let Some(store) = store else { return make() };
        let key = key();
        let path = store.folder.join(format!("{}.{ENDING}", &hex(&Sha256::digest(&key))[..32]));
        if let Some(there) = fs::read(&path).ok().and_then(|bytes| store.unpacked(&bytes, &key)).filter(sound) {
            return there;
        }
        let value = make();
        // Where it cannot be kept it may still be used; whether results can be written shows at the end.
        let _ = store.write(&path, &pack(store.fingerprint, &key, &value));
        value
    }

    fn unpacked<T: DeserializeOwned>(&self, bytes: &[u8], key: &str) -> Option<T> {
        let (fingerprint, place, content): (_, String, T) = unpack(bytes).ok()?;
        (fingerprint == self.fingerprint.0 && place == key).then_some(content)
    }

    fn write(&self, path: &Path, bytes: &[u8]) -> Result<(), FileError> {
        let draft = path.with_extension(DRAFT);
        let written = File::create(&draft).and_then(|mut file| {
            file.write_all(bytes)?;
            file.sync_all()?;
            fs::rename(&draft, path)
        });
        written.map_err(|source| {
            // On a full disk the draft would take the room that the next try needs.
            let _ = fs::remove_file(&draft);
            FileError::Unfinished { folder: self.folder.clone(), source }
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn study(seed: u64) -> Study {
        let spec = format!(
            "name = \"trial\"\nseed = {seed}\n[text]\nwords = \"High tide.\"\n[typists]\nnumber = 4\n\
             keys_each = 50\n[floor]\ntypists = 0\n[[policy]]\nrule = \"enclosed\"\n"
        );
        Study::read(&spec, Path::new(".")).unwrap()
    }

    #[test]
    fn what_is_kept_under_a_key_is_made_once_and_checked() {
        let folder = tempfile::tempdir().unwrap();
        let (study, other) = (study(1), study(2));
        let store = Store::open(&study, folder.path()).unwrap();
        let kept = |store: &Store, key: &str, sound: &dyn Fn(&u64) -> bool, make: &dyn Fn() -> u64| {
            Store::take_up_or_make(Some(store), || key.to_owned(), sound, make)
        };
        let never = || -> u64 { unreachable!("it is there") };
        assert_eq!(kept(&store, "a", &|_| true, &|| 7), 7);
        assert_eq!(kept(&store, "a", &|_| true, &never), 7);
        assert_eq!(kept(&store, "b", &|_| true, &|| 8), 8);
        assert_eq!(kept(&store, "a", &|value| *value > 7, &|| 9), 9);
        assert_eq!(kept(&Store::open(&other, folder.path()).unwrap(), "a", &|_| true, &|| 10), 10);
        // Where nothing can be kept, everything is made.
        let store = Store::of(Fingerprint::of(&study), &folder.path().join("missing"));
        assert_eq!([1, 2_u64].map(|value| kept(&store, "a", &|_| true, &|| value)), [1, 2]);
    }

    #[test]
    fn a_store_gives_back_what_it_keeps_and_forgets_what_is_damaged_or_foreign() {
        let folder = tempfile::tempdir().unwrap();
        let (study, other) = (study(1), study(2));
        let store = Store::open(&study, folder.path()).unwrap();
        let place = BlockPlace { arm: 0, typists: 0..4 };
        assert_eq!(store.load(&study, &place), None);
        let block = Block::make(&Engine::new(&study).unwrap(), &place, &mut Buffers::default(), &|_| ());
        store.save(&place, &block).unwrap();
        assert_eq!((store.load(&study, &place), store.len()), (Some(block), 1));
        assert_eq!(Store::open(&other, folder.path()).unwrap().load(&other, &place), None);
        // A torn file, and a draft that a killed run left.
        let path = store.path(&place);
        let bytes = fs::read(&path).unwrap();
        fs::write(&path, &bytes[..bytes.len() / 2]).unwrap();
        fs::write(path.with_extension(DRAFT), "half").unwrap();
        let store = Store::open(&study, folder.path()).unwrap();
        assert_eq!((store.load(&study, &place), store.len()), (None, 1));
        assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 1);
    }
}
