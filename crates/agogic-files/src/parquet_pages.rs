//! A look at the page headers of a Parquet file before anything is decoded.
//!
//! The decoder believes what headers claim and asks the system for as much memory; where that is refused the
//! whole process ends. So claims are held against one another, and against the size of the file, beforehand.

use std::io::{BufReader, Read, Seek, SeekFrom};
use std::ops::Range;

use crate::thrift::{I32, STRUCT, Thrift, broken};

/// Largest page that is read, in bytes as unpacked. Writers make pages of about a megabyte.
pub(crate) const LARGEST_PAGE: i64 = 1 << 28;

/// Longest page header, in bytes; statistics stand in it.
const LONGEST_HEADER: u64 = 1 << 20;

/// What the footer of a file says about one column of one row group.
pub(crate) struct Chunk {
    /// Where its pages lie.
    pub bytes: Range<u64>,
    /// Values in it.
    pub values: i64,
}

/// Checks every page of a chunk.
///
/// # Errors
/// What does not fit, for a message that begins with the file.
pub(crate) fn check(file: &mut (impl Read + Seek), size: u64, chunk: &Chunk) -> Result<(), String> {
    let Range { start, end } = chunk.bytes;
    if start > end || end > size {
        return Err(format!("a column lies from byte {start} to {end} of {size}"));
    }
    let (mut at, mut values) = (start, 0_i64);
    while at < end {
        let failed = |e: std::io::Error| format!("the page at byte {at}: {e}");
        file.seek(SeekFrom::Start(at)).map_err(failed)?;
        let mut thrift = Thrift::new(BufReader::with_capacity(256, (&mut *file).take(LONGEST_HEADER)));
        let page = Page::read(&mut thrift).map_err(failed)?;
        let data = at + thrift.read();
        let Page { packed, unpacked, values: found, levels } = page;
        let claims = |what: &str, claim: i64| format!("the page at byte {at} claims {claim} {what}");
        if packed < 0 || data + packed as u64 > end {
            return Err(claims("bytes that its column does not have", packed));
        }
        if !(0..=LARGEST_PAGE).contains(&unpacked) {
            return Err(claims("bytes; a page of a log has at most 2^28", unpacked));
        }
        if !(0..=unpacked).contains(&levels) {
            return Err(claims("bytes of levels", levels));
        }
        if let Some(found) = found {
            values += found;
            if found < 0 || values > chunk.values {
                return Err(claims("values, more than its column has", found));
            }
        }
        at = data + packed as u64;
    }
    if values == chunk.values {
        Ok(())
    } else {
        Err(format!("the pages of a column hold {values} values, and the footer claims {}", chunk.values))
    }
}

/// What a page header claims.
#[derive(Default)]
struct Page {
    packed: i64,
    unpacked: i64,
    /// Values of a data page; `None` for a dictionary.
    values: Option<i64>,
    /// Bytes of levels of a page of the second version.
    levels: i64,
}

impl Page {
    /// Reads the fields that matter here and skips the others.
    ///
    /// # Source
    /// `parquet.thrift` of the Parquet format, struct PageHeader (from memory).
    fn read(thrift: &mut Thrift<impl Read>) -> std::io::Result<Self> {
        let mut page = Self::default();
        let mut id = 0;
        while let Some((field, kind)) = thrift.field(&mut id)? {
            match (field, kind) {
                (2, I32) => page.unpacked = thrift.zigzag()?,
                (3, I32) => page.packed = thrift.zigzag()?,
                // A data page of either version: its first field counts the values.
                (5 | 8, STRUCT) => {
                    let mut inner = 0;
                    while let Some((field_of_page, kind)) = thrift.field(&mut inner)? {
                        match (field, field_of_page, kind) {
                            (_, 1, I32) => page.values = Some(thrift.zigzag()?),
                            (8, 5 | 6, I32) => {
                                let levels = thrift.zigzag()?;
                                page.levels = if levels < 0 { levels } else { page.levels.saturating_add(levels) };
                            }
                            _ => thrift.skip(kind, 0)?,
                        }
                    }
                }
                (7, STRUCT) => {
                    let mut inner = 0;
                    while let Some((field_of_page, kind)) = thrift.field(&mut inner)? {
                        if (field_of_page, kind) == (1, I32) && thrift.zigzag()? < 0 {
                            return Err(broken("a dictionary of less than nothing"));
                        } else if (field_of_page, kind) != (1, I32) {
                            thrift.skip(kind, 0)?;
                        }
                    }
                }
                _ => thrift.skip(kind, 0)?,
            }
        }
        Ok(page)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::io::Cursor;

    /// A header of a data page: type 0, sizes, and a struct that counts values; then its bytes.
    fn page(unpacked: i64, packed: i64, values: i64, bytes: usize) -> Vec<u8> {
        let zigzag = |number: i64| {
            let mut number = ((number << 1) ^ (number >> 63)) as u64;
            let mut out = Vec::new();
            while number >= 0x80 {
                out.push(number as u8 | 0x80);
                number >>= 7;
            }
            out.push(number as u8);
            out
        };
        let mut out = vec![0x15, 0];
        for number in [unpacked, packed] {
            out.push(0x15);
            out.extend(zigzag(number));
        }
        out.extend([0x2c, 0x15]);
        out.extend(zigzag(values));
        // Encoding, a text as statistics, and the ends of both structs.
        out.extend([0x15, 0, 0x18, 3, b'a', b'b', b'c', 0, 0]);
        out.extend(vec![7; bytes]);
        out
    }

    fn judge(bytes: Vec<u8>, values: i64) -> Result<(), String> {
        let size = bytes.len() as u64;
        check(&mut Cursor::new(bytes), size, &Chunk { bytes: 0..size, values })
    }

    #[test]
    fn sound_pages_pass_and_claims_are_held_against_one_another() {
        assert_eq!(judge([page(20, 10, 5, 10), page(9, 9, 4, 9)].concat(), 9), Ok(()));
        for (bytes, values, wanted) in [
            (page(20, 10, 5, 10), 6, "the footer claims 6"),
            (page(20, 10, 7, 10), 6, "claims 7 values"),
            (page(20, 10, -7, 10), 6, "claims -7 values"),
            (page(20, 11, 5, 10), 5, "claims 11 bytes"),
            (page(20, -11, 5, 10), 5, "claims -11 bytes"),
            (page(i64::from(i32::MAX), 10, 5, 10), 5, "claims 2147483647 bytes"),
            (vec![0x15], 5, "the page at byte 0"),
            (vec![0x1d; 40], 5, "no known type"),
            (vec![0x1c; 40], 5, "without end"),
        ] {
            let refused = judge(bytes, values).unwrap_err();
            assert!(refused.contains(wanted), "{refused}");
        }
        let outside = check(&mut Cursor::new(vec![0; 9]), 9, &Chunk { bytes: 4..10, values: 0 });
        assert!(outside.unwrap_err().contains("of 9"));
    }
}
