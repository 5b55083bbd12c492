//! Inputs changed at random, and what reads them.

use std::path::Path;

use agogic_keys::{Purpose, stream};
use agogic_sim::Engine;
use agogic_sim::blocks::{SHARD_FILE, ShardInfo, read_block, run_shard, with_block_digest};
use agogic_study::Study;
use rand::RngExt;

/// Words that mean something to one of the readers.
const WORDS: [&str; 40] = [
    "nan",
    "inf",
    "-1",
    "0",
    "1e308",
    "18446744073709551616",
    "\"\"",
    "[]",
    "{}",
    "[[policy]]\n",
    "[typists]\n",
    "[text]\n",
    "[keyboard]\n",
    "[stop]\n",
    "[rare]\n",
    "[floor]\n",
    "[[sweep]]\n",
    "[inference]\n",
    "[harm]\n",
    "[clock]\n",
    "[[population]]\n",
    "rule = \"enclosed\"\n",
    "values = { cutoff_ms = 1 }\n",
    "guards = { lull_ms = 5000 }\n",
    "over = { cutoff_ms = { from = 1, to = 2, steps = 3 } }\n",
    "words = \"a\"\n",
    "file = \"/dev/null\"\n",
    "number = 2\n",
    "keys_each = 1\n",
    "resting = [\"Shift\"]\n",
    "populations = [\"slow\"]\n",
    "versus = \"enclosed\"\n",
    "\u{0}",
    "\u{feff}",
    "é",
    "\\",
    "\"\"\"",
    "'",
    "#",
    "=",
];

/// The inputs that are changed.
pub struct Seeds {
    texts: Vec<String>,
    shard: String,
    block: Vec<u8>,
}

impl Seeds {
    /// Every study in `experiments`, a shard file and a block file.
    pub fn new() -> Self {
        let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/../../experiments");
        let mut paths: Vec<_> = std::fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path()).collect();
        paths.retain(|path| path.extension().is_some_and(|ending| ending == "toml"));
        paths.sort();
        let texts: Vec<String> = paths.iter().map(|path| std::fs::read_to_string(path).unwrap()).collect();
        let spec = "name = \"trial\"\nseed = 3\n[text]\nwords = \"High tide at noon. Ask Ada.\"\n[typists]\nnumber = 4\n\
            keys_each = 300\n[floor]\ntypists = 0\n[[policy]]\nrule = \"first-contact\"\n";
        let study = Study::read(spec, Path::new(".")).unwrap();
        let out = tempfile::tempdir().unwrap();
        run_shard(&Engine::new(&study).unwrap(), "1/1".parse().unwrap(), Path::new("."), out.path(), &|_| ()).unwrap();
        let mut blocks: Vec<_> = std::fs::read_dir(out.path()).unwrap().map(|entry| entry.unwrap().path()).collect();
        blocks.sort();
        let block = blocks.iter().find(|path| path.extension().is_some_and(|ending| ending == "block")).unwrap();
        let shard = std::fs::read_to_string(out.path().join(SHARD_FILE)).unwrap();
        Self { texts, shard, block: std::fs::read(block).unwrap() }
    }
}

/// Changes every kind of input once; `round` is the address of the changes. A reader that panics ends the program.
pub fn round(seeds: &Seeds, round: u64) {
    let mut rng = stream(20_260_601, Purpose::Design, round, 0);
    let below = |rng: &mut agogic_keys::Stream, n: usize| ((rng.random::<f64>() * n as f64) as usize).min(n.max(1) - 1);
    let text = &seeds.texts[below(&mut rng, seeds.texts.len())];
    for (which, base) in [(0, text.as_bytes()), (1, seeds.shard.as_bytes()), (2, &seeds.block[..])] {
        let mut bytes = base.to_vec();
        for _ in 0..1 + below(&mut rng, 6) {
            let at = below(&mut rng, bytes.len() + 1);
            let to = (at + below(&mut rng, 40)).min(bytes.len());
            match below(&mut rng, 6) {
                0 => bytes.truncate(at),
                1 => drop(bytes.drain(at..to)),
                2 => {
                    let piece = bytes[at..to].to_vec();
                    let there = below(&mut rng, bytes.len() + 1);
                    drop(bytes.splice(there..there, piece));
                }
                3 if at < bytes.len() => bytes[at] = (rng.random::<f64>() * 256.0) as u8,
                4 if at < bytes.len() => bytes[at] ^= 1 << below(&mut rng, 8),
                _ => drop(bytes.splice(at..at, WORDS[below(&mut rng, WORDS.len())].bytes())),
            }
        }
        let text = String::from_utf8_lossy(&bytes);
        match which {
            0 => drop(Study::read(&text, Path::new("/nonexistent"))),
            1 => drop(ShardInfo::read(&text)),
            _ => {
                let _ = read_block(&bytes);
                let _ = read_block(&with_block_digest(&bytes));
            }
        }
    }
}
