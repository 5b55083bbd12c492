//! A look at the footer of a Parquet file before the decoder sees it.
//!
//! The decoder asks for memory for as many elements as a list claims, and the whole process ends where that is refused. It
//! also reads a field as what it should be, whatever the file says it is. So both are checked beforehand.

use std::io::{Read, Seek, SeekFrom};

use crate::thrift::{BINARY, LIST, STRUCT, Thrift, broken};

/// What a field of a footer must be, where the decoder looks at it.
#[derive(Clone, Copy)]
enum Kind {
    /// A whole number of 16 to 64 bits.
    Number,
    /// A whole number of 8 bits.
    Byte,
    /// Yes or no.
    Flag,
    /// Bytes, such as a text.
    Text,
    Struct(Shape),
    List(&'static Kind),
}

impl Kind {
    /// Whether a value of this type on file is one.
    fn is(self, found: u8) -> bool {
        match self {
            Self::Number => matches!(found, 4..=6),
            Self::Byte => found == 3,
            Self::Flag => matches!(found, 1 | 2),
            Self::Text => found == BINARY,
            Self::Struct(_) => found == STRUCT,
            Self::List(_) => found == LIST,
        }
    }

    /// Fewest bytes of one in a list. A struct has a field that must be there, its value, and an end.
    fn least(self) -> u64 {
        if matches!(self, Self::Struct(_)) { 3 } else { 1 }
    }
}

/// Numbers of fields, from and to, and what they must be. Others are passed over.
type Shape = &'static [(i64, i64, Kind)];

/// The structs of a footer.
///
/// # Source
/// `parquet.thrift` of the Parquet format, struct FileMetaData and those within it (from memory).
const FILE: Shape = &[
    (1, 1, Kind::Number),
    (2, 2, Kind::List(&Kind::Struct(SCHEMA_ELEMENT))),
    (3, 3, Kind::Number),
    (4, 4, Kind::List(&Kind::Struct(ROW_GROUP))),
    (5, 5, Kind::List(&Kind::Struct(KEY_VALUE))),
    (6, 6, Kind::Text),
    (7, 7, Kind::List(&Kind::Struct(COLUMN_ORDER))),
];
const SCHEMA_ELEMENT: Shape =
    &[(1, 3, Kind::Number), (4, 4, Kind::Text), (5, 9, Kind::Number), (10, 10, Kind::Struct(LOGICAL_TYPE))];
const LOGICAL_TYPE: Shape = &[
    (1, 4, Kind::Struct(EMPTY)),
    (5, 5, Kind::Struct(&[(1, 2, Kind::Number)])),
    (6, 6, Kind::Struct(EMPTY)),
    (7, 8, Kind::Struct(TIME)),
    (10, 10, Kind::Struct(&[(1, 1, Kind::Byte), (2, 2, Kind::Flag)])),
    (11, 15, Kind::Struct(EMPTY)),
];
const TIME: Shape = &[(1, 1, Kind::Flag), (2, 2, Kind::Struct(&[(1, 3, Kind::Struct(EMPTY))]))];
const EMPTY: Shape = &[];
const ROW_GROUP: Shape = &[
    (1, 1, Kind::List(&Kind::Struct(COLUMN_CHUNK))),
    (2, 3, Kind::Number),
    (4, 4, Kind::List(&Kind::Struct(&[(1, 1, Kind::Number), (2, 3, Kind::Flag)]))),
    (5, 7, Kind::Number),
];
const COLUMN_CHUNK: Shape =
    &[(1, 1, Kind::Text), (2, 2, Kind::Number), (3, 3, Kind::Struct(COLUMN)), (4, 7, Kind::Number)];
const COLUMN: Shape = &[
    (1, 1, Kind::Number),
    (2, 2, Kind::List(&Kind::Number)),
    (3, 3, Kind::List(&Kind::Text)),
    (4, 7, Kind::Number),
    (9, 11, Kind::Number),
    (12, 12, Kind::Struct(STATISTICS)),
    (14, 15, Kind::Number),
];
const STATISTICS: Shape = &[(1, 2, Kind::Text), (3, 4, Kind::Number), (5, 6, Kind::Text), (7, 8, Kind::Flag)];
const KEY_VALUE: Shape = &[(1, 2, Kind::Text)];
const COLUMN_ORDER: Shape = &[(1, 2, Kind::Struct(EMPTY))];

/// Checks the footer of a file. A file without one passes: the decoder refuses it by itself.
///
/// # Errors
/// What does not fit, for a message that begins with the file.
pub(crate) fn check(file: &mut (impl Read + Seek)) -> Result<(), String> {
    let Some(footer) = footer(file).map_err(|e| e.to_string())? else { return Ok(()) };
    let mut thrift = Thrift::new(footer.as_slice());
    walk(&mut thrift, FILE, footer.len() as u64).map_err(|e| format!("the footer at byte {}: {e}", thrift.read()))
}

/// The bytes of the footer; `None` where the end of the file is not that of a Parquet file.
fn footer(file: &mut (impl Read + Seek)) -> std::io::Result<Option<Vec<u8>>> {
    let size = file.seek(SeekFrom::End(0))?;
    let Some(end) = size.checked_sub(8) else { return Ok(None) };
    file.seek(SeekFrom::Start(end))?;
    let mut tail = [0; 8];
    file.read_exact(&mut tail)?;
    let [a, b, c, d, magic @ ..] = tail;
    let length = u64::from(u32::from_le_bytes([a, b, c, d]));
    let Some(start) = end.checked_sub(length).filter(|_| magic == *b"PAR1") else { return Ok(None) };
    file.seek(SeekFrom::Start(start))?;
    let mut footer = vec![0; length as usize];
    file.read_exact(&mut footer)?;
    Ok(Some(footer))
}

/// Walks through a struct of a footer of so many bytes.
fn walk(thrift: &mut Thrift<&[u8]>, shape: Shape, bytes: u64) -> std::io::Result<()> {
    let mut id = 0;
    while let Some((field, found)) = thrift.field(&mut id)? {
        match shape.iter().find(|(from, to, _)| (*from..=*to).contains(&field)) {
            None => thrift.skip(found, 0)?,
            Some((.., kind)) if kind.is(found) => value(thrift, *kind, found, bytes)?,
            Some(_) => return Err(broken("a field is not of the type that it should be")),
        }
    }
    Ok(())
}

/// Walks through a value of a type that it should be, `found` on file.
fn value(thrift: &mut Thrift<&[u8]>, kind: Kind, found: u8, bytes: u64) -> std::io::Result<()> {
    match kind {
        Kind::Struct(shape) => walk(thrift, shape, bytes),
        Kind::List(element) => {
            let (found, count) = thrift.list()?;
            if count > 0 && !element.is(found) {
                return Err(broken("a list is not of the type that it should be"));
            }
            if count.checked_mul(element.least()).is_none_or(|wanted| wanted > bytes - thrift.read()) {
                return Err(broken(&format!("a list claims {count} elements, more than there is room for")));
            }
            (0..count).try_for_each(|_| value(thrift, *element, found, bytes))
        }
        Kind::Number | Kind::Byte | Kind::Flag | Kind::Text => thrift.skip(found, 0),
    }
}

#[cfg(test)]
mod tests {
    use std::io::Cursor;

    use polars::prelude::*;

    use super::*;

    fn judge(footer: &[u8]) -> Result<(), String> {
        let length = (footer.len() as u32).to_le_bytes();
        check(&mut Cursor::new([b"PAR1", footer, &length, b"PAR1"].concat()))
    }

    #[test]
    fn what_a_writer_writes_passes() {
        let mut frame = df!(
            "code" => ["KeyA", "KeyB"],
            "t_us" => [1_i64, 2],
            "target" => [Some(1.5), None],
            "known" => [true, false],
            "small" => [1_i32, 2],
        )
        .unwrap();
        let mut bytes = Vec::new();
        ParquetWriter::new(&mut bytes).with_row_group_size(Some(1)).finish(&mut frame).unwrap();
        assert_eq!(check(&mut Cursor::new(&bytes)), Ok(()));
        // Wherever one byte is another one, nothing panics here, nor does the process end.
        let start = bytes.len() - 8 - u32::from_le_bytes(bytes[bytes.len() - 8..][..4].try_into().unwrap()) as usize;
        let (mut refused, all) = (0, bytes.len() - 8 - start);
        for at in start..bytes.len() - 8 {
            let mut wrong = bytes.clone();
            wrong[at] ^= 0xf5;
            refused += usize::from(check(&mut Cursor::new(&wrong)).is_err());
        }
        assert!(refused > all / 20, "{refused} of {all}");
    }

    #[test]
    fn claims_without_room_and_fields_of_another_type_are_refused() {
        for (footer, wanted) in [
            // Field 5, a list of 2^31 - 1 structs; of 15 structs in 4 bytes.
            (&[0x59, 0xfc, 0xff, 0xff, 0xff, 0xff, 0x07, 0, 0, 0, 0][..], "claims 2147483647 elements"),
            (&[0x59, 0xfc, 0x0f, 0, 0, 0, 0], "claims 15 elements"),
            // Field 5 as a number; a list of numbers in its place.
            (&[0x55, 0x02, 0], "not of the type"),
            (&[0x59, 0x25, 2, 2, 0], "a list is not of the type"),
            // Field 65537, which is 1 in 16 bits.
            (&[0x09, 0x82, 0x80, 0x08, 0x1c, 0], "no possible number"),
            (&[0x15], "the footer at byte"),
        ] {
            let refused = judge(footer).unwrap_err();
            assert!(refused.contains(wanted), "{refused}");
        }
        // An empty list may have no type, and fields that nobody knows may be anything.
        assert_eq!(judge(&[0x59, 0x00, 0]), Ok(()));
        assert_eq!(judge(&[0x09, 0x40, 0x1c, 0x18, 1, b'a', 0, 0]), Ok(()));
        // No footer at all.
        assert_eq!(check(&mut Cursor::new(b"PAR1")), Ok(()));
        assert_eq!(check(&mut Cursor::new(b"PAR1\xff\xff\0\0PAR1")), Ok(()));
    }
}
