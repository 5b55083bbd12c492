//! Values of Parquet headers: a reader that keeps to what is there.

use std::io::Read;

/// A whole number of 32 bits.
pub(crate) const I32: u8 = 5;

/// Bytes, such as a text.
pub(crate) const BINARY: u8 = 8;

/// A list.
pub(crate) const LIST: u8 = 9;

/// A struct.
pub(crate) const STRUCT: u8 = 12;

/// The compact protocol of Thrift, read.
///
/// # Source
/// Apache Thrift, "Thrift compact protocol encoding" (from memory).
pub(crate) struct Thrift<R> {
    inner: R,
    read: u64,
}

/// An error of input that does not keep to the protocol.
pub(crate) fn broken(what: &str) -> std::io::Error {
    std::io::Error::new(std::io::ErrorKind::InvalidData, what)
}

impl<R: Read> Thrift<R> {
    pub fn new(inner: R) -> Self {
        Self { inner, read: 0 }
    }

    /// Bytes read so far.
    pub fn read(&self) -> u64 {
        self.read
    }

    fn byte(&mut self) -> std::io::Result<u8> {
        let mut byte = [0];
        self.inner.read_exact(&mut byte)?;
        self.read += 1;
        Ok(byte[0])
    }

    fn varint(&mut self) -> std::io::Result<u64> {
        let mut number = 0;
        for shift in (0..64).step_by(7) {
            let byte = self.byte()?;
            number |= u64::from(byte & 0x7f) << shift;
            if byte < 0x80 {
                return Ok(number);
            }
        }
        Err(broken("a number of more than 64 bits"))
    }

    /// A signed number.
    pub fn zigzag(&mut self) -> std::io::Result<i64> {
        let number = self.varint()?;
        Ok((number >> 1) as i64 ^ -((number & 1) as i64))
    }

    /// Number and type of the next field; `None` at the end of the struct.
    pub fn field(&mut self, before: &mut i64) -> std::io::Result<Option<(i64, u8)>> {
        let head = self.byte()?;
        if head == 0 {
            return Ok(None);
        }
        let id = match head >> 4 {
            0 => self.zigzag()?,
            step => before.saturating_add(i64::from(step)),
        };
        // Numbers of fields have 16 bits: another reader would take a larger one for a small one.
        if i16::try_from(id).is_err() {
            return Err(broken("a field of no possible number"));
        }
        *before = id;
        Ok(Some((id, head & 0x0f)))
    }

    /// Type of the elements of a list and how many there are.
    pub fn list(&mut self) -> std::io::Result<(u8, u64)> {
        let head = self.byte()?;
        Ok((head & 0x0f, if head >> 4 == 15 { self.varint()? } else { u64::from(head >> 4) }))
    }

    /// Passes over a value.
    pub fn skip(&mut self, kind: u8, depth: u8) -> std::io::Result<()> {
        if depth > 8 {
            return Err(broken("structs within structs without end"));
        }
        match kind {
            1 | 2 => {}
            3 => drop(self.byte()?),
            4..=6 => drop(self.varint()?),
            7 => (0..8).try_for_each(|_| self.byte().map(drop))?,
            BINARY => {
                let length = self.varint()?;
                let passed = std::io::copy(&mut (&mut self.inner).take(length), &mut std::io::sink())?;
                self.read += passed;
                if passed < length {
                    return Err(broken("a text longer than its header"));
                }
            }
            LIST | 10 => {
                let (kind, count) = self.list()?;
                // Booleans in a list take a byte each.
                let kind = if matches!(kind, 1 | 2) { 3 } else { kind };
                (0..count).try_for_each(|_| self.skip(kind, depth + 1))?;
            }
            STRUCT => {
                let mut id = 0;
                while let Some((_, kind)) = self.field(&mut id)? {
                    self.skip(kind, depth + 1)?;
                }
            }
            _ => return Err(broken("a field of no known type")),
        }
        Ok(())
    }
}
