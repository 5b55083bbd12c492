//! Columns of `typists.parquet` read back.

use std::collections::BTreeMap;
use std::io::Cursor;
use std::sync::Arc;

use polars::prelude::*;

use crate::parquet_footer;
use crate::read::FolderError;

/// Columns of `typists.parquet`, cut by arm and policy.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct TypistColumns {
    /// Of each arm and policy the columns that were asked for, in their order; typists in theirs. What is the same for
    /// several policies, as the speed of the typists, is there once.
    of: BTreeMap<(String, String), Vec<Arc<[f64]>>>,
    names: Vec<String>,
}

/// Rows that are decoded at once: all of them would take several times the room of what is kept.
const ROWS: usize = 65_536;

impl TypistColumns {
    /// Reads columns of `typists.parquet`.
    ///
    /// # Errors
    /// This is no Parquet, or lacks a column.
    pub fn read(bytes: &[u8], names: &[&str]) -> Result<Self, FolderError> {
        let refused = |message: String| FolderError::File { file: "typists.parquet".into(), message };
        parquet_footer::check(&mut Cursor::new(bytes)).map_err(refused)?;
        Self::in_parts(bytes, names).map_err(|e| refused(e.to_string()))
    }

    fn in_parts(bytes: &[u8], names: &[&str]) -> PolarsResult<Self> {
        let metadata = ParquetReader::new(Cursor::new(bytes)).get_metadata()?.clone();
        let rows = metadata.num_rows;
        let part = |from: usize, names: &[&str]| {
            let names = names.iter().map(|name| (*name).to_owned()).collect();
            let mut reader = ParquetReader::new(Cursor::new(bytes)).with_columns(Some(names));
            reader.set_metadata(metadata.clone());
            reader.with_slice(Some((from, ROWS.min(rows - from)))).finish()
        };
        // First where each row belongs, so that every list has its room at once.
        let mut keys: BTreeMap<(String, String), u32> = BTreeMap::new();
        let mut places: Vec<u32> = Vec::with_capacity(rows);
        for from in (0..rows).step_by(ROWS) {
            let frame = part(from, &["arm", "policy"])?;
            let (arms, policies) = (frame.column("arm")?.str()?, frame.column("policy")?.str()?);
            let mut known: BTreeMap<(&str, &str), u32> = BTreeMap::new();
            for (arm, policy) in arms.iter().zip(policies.iter()) {
                let (arm, policy) = (arm.unwrap_or_default(), policy.unwrap_or_default());
                let place = known.entry((arm, policy)).or_insert_with(|| {
                    let next = keys.len() as u32;
                    *keys.entry((arm.to_owned(), policy.to_owned())).or_insert(next)
                });
                places.push(*place);
            }
        }
        let mut sizes = vec![0_usize; keys.len()];
        places.iter().for_each(|place| sizes[*place as usize] += 1);
        let mut of: BTreeMap<(String, String), Vec<Arc<[f64]>>> =
            keys.keys().map(|key| (key.clone(), Vec::new())).collect();
        for name in names {
            let mut cuts: Vec<Vec<f64>> = sizes.iter().map(|size| Vec::with_capacity(*size)).collect();
            for from in (0..rows).step_by(ROWS) {
                let column = part(from, &[name])?.column(name)?.cast(&DataType::Float64)?;
                for (place, value) in places[from..].iter().zip(column.f64()?.iter()) {
                    cuts[*place as usize].push(value.unwrap_or(f64::NAN));
                }
            }
            let mut last: Arc<[f64]> = Arc::new([]);
            for (columns, place) in of.values_mut().zip(keys.values()) {
                let cut = std::mem::take(&mut cuts[*place as usize]);
                if *last != *cut {
                    last = cut.into();
                }
                columns.push(Arc::clone(&last));
            }
        }
        Ok(Self { of, names: names.iter().map(|name| (*name).to_owned()).collect() })
    }

    /// A column of one policy of an arm, typist by typist; empty where there is no such arm, policy or column.
    pub fn get(&self, arm: &str, policy: &str, column: &str) -> &[f64] {
        let cut = self.of.get(&(arm.to_owned(), policy.to_owned()));
        let at = self.names.iter().position(|name| name == column);
        cut.zip(at).map_or(&[], |(cut, at)| &cut[at])
    }

    /// Typists of an arm.
    pub fn typists(&self, arm: &str) -> usize {
        self.of
            .iter()
            .find(|((own, _), _)| own == arm)
            .map_or(0, |(_, cut)| cut.first().map_or(0, |column| column.len()))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rows_of_several_parts_come_to_their_policies() {
        let rows = 2 * ROWS + 5;
        let all = 0..rows as u64;
        let mut frame = df!(
            "arm" => all.clone().map(|at| if at < 99_999 { "one" } else { "two" }).collect::<Vec<_>>(),
            "policy" => all.clone().map(|at| ["a", "b", "c"][at as usize % 3]).collect::<Vec<_>>(),
            "taps" => all.clone().map(|at| 7 * at).collect::<Vec<_>>(),
            "wpm" => all.clone().map(|at| at as f64 / 4.0).collect::<Vec<_>>(),
            "rollover" => all.clone().map(|at| (at / 3) as f64).collect::<Vec<_>>(),
            "left out" => all.collect::<Vec<_>>(),
        )
        .unwrap();
        let mut bytes = Vec::new();
        ParquetWriter::new(&mut bytes).with_row_group_size(Some(50_000)).finish(&mut frame).unwrap();
        let read = TypistColumns::read(&bytes, &["wpm", "taps"]).unwrap();
        for (arm, policy, first, count) in [("one", "b", 1, 33_333), ("two", "a", 99_999, rows.div_ceil(3) - 33_333)] {
            let wanted: Vec<f64> = (0..count).map(|at| (first + 3 * at) as f64).collect();
            assert_eq!(read.get(arm, policy, "taps"), wanted.iter().map(|at| 7.0 * at).collect::<Vec<_>>());
            assert_eq!(read.get(arm, policy, "wpm"), wanted.iter().map(|at| at / 4.0).collect::<Vec<_>>());
        }
        assert_eq!((read.typists("one"), read.typists("three")), (33_333, 0));
        let rollover = TypistColumns::read(&bytes, &["rollover"]).unwrap();
        let of = |policy| rollover.get("one", policy, "rollover");
        assert!(of("a") == of("b") && of("a").as_ptr() == of("b").as_ptr() && of("c")[33_332] == 33_332.0);
        assert!(read.get("one", "d", "taps").is_empty() && read.get("one", "a", "left out").is_empty());
        assert!(
            TypistColumns::read(&bytes, &["holds"]).is_err() && TypistColumns::read(&bytes[1..], &["taps"]).is_err()
        );
    }
}
