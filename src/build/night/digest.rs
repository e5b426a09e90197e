//! One digest of many values.

use serde::Serialize;

pub use crate::compare::Digest;

/// Takes values in, one after the other, and makes one digest of them. Every value says how long it
/// is, so that no two lists of values run together.
#[derive(Debug)]
pub struct Stamp(blake3::Hasher);

impl Stamp {
    /// For values of one sort; the same values of another sort give another digest.
    #[must_use]
    pub fn new(sort: &str) -> Self {
        let mut stamp = Self(blake3::Hasher::new());
        stamp.text(sort);
        stamp
    }

    /// Bytes.
    pub fn bytes(&mut self, bytes: &[u8]) {
        self.count(bytes.len());
        self.0.update(bytes);
    }

    /// Words.
    pub fn text(&mut self, text: &str) {
        self.bytes(text.as_bytes());
    }

    /// A length, an index, the number of a case.
    pub fn count(&mut self, count: usize) {
        self.0.update(&(count as u64).to_le_bytes());
    }

    /// A number.
    pub fn number(&mut self, number: f64) {
        self.0.update(&number.to_bits().to_le_bytes());
    }

    /// Numbers, as many as the sort says.
    pub fn numbers(&mut self, numbers: &[f64]) {
        for &number in numbers {
            self.number(number);
        }
    }

    /// A value that may not be there.
    pub fn maybe<T>(&mut self, value: Option<T>, put: impl FnOnce(&mut Self, T)) {
        self.count(usize::from(value.is_some()));
        if let Some(value) = value {
            put(self, value);
        }
    }

    /// A value as JSON has it; one that cannot be written is another than all that can.
    pub fn value<T: Serialize + ?Sized>(&mut self, value: &T) {
        let written = serde_json::to_vec(value);
        self.count(usize::from(written.is_ok()));
        match written {
            Ok(bytes) => self.bytes(&bytes),
            Err(why) => self.text(&why.to_string()),
        }
    }

    /// Another digest.
    pub fn digest(&mut self, digest: &Digest) {
        self.text(digest.as_str());
    }

    /// The digest of all that was put in.
    #[must_use]
    pub fn done(&self) -> Digest {
        Digest::finish(&self.0)
    }
}

/// The first digits: enough for people to tell nights apart.
#[must_use]
pub fn brief(digest: &Digest) -> &str {
    digest.as_str().get(..12).unwrap_or(digest.as_str())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn values_do_not_run_together() {
        let of = |words: &[&str]| {
            let mut stamp = Stamp::new("words");
            words.iter().for_each(|w| stamp.text(w));
            stamp.done()
        };
        assert_ne!(of(&["ab", "c"]), of(&["a", "bc"]));
        assert_ne!(of(&["ab"]), of(&["ab", ""]));
        assert_ne!(Stamp::new("a").done(), Stamp::new("b").done());
    }
}
