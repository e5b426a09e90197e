//! Digests of inputs and of files.

use std::fmt;

use serde::{Deserialize, Serialize};

/// The first 128 bits of a BLAKE3 digest, as 32 hexadecimal digits.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Digest(String);

impl Digest {
    /// Of these bytes.
    #[must_use]
    pub fn of(bytes: &[u8]) -> Self {
        Self::from_hash(&blake3::hash(bytes))
    }

    fn from_hash(hash: &blake3::Hash) -> Self {
        Self(hash.to_hex()[..32].to_owned())
    }

    /// The digits.
    #[must_use]
    pub fn as_str(&self) -> &str {
        &self.0
    }

    /// The first digits: enough for people to tell nights apart.
    #[must_use]
    pub fn brief(&self) -> &str {
        self.0.get(..12).unwrap_or(&self.0)
    }
}

impl fmt::Display for Digest {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

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

    /// Numbers of drawings.
    pub fn singles(&mut self, numbers: &[f32]) {
        for number in numbers {
            self.0.update(&number.to_bits().to_le_bytes());
        }
    }

    /// A value that may not be there.
    pub fn maybe<T>(&mut self, value: Option<T>, put: impl FnOnce(&mut Self, T)) {
        self.count(usize::from(value.is_some()));
        if let Some(value) = value {
            put(self, value);
        }
    }

    /// Another digest.
    pub fn digest(&mut self, digest: &Digest) {
        self.0.update(digest.0.as_bytes());
    }

    /// The digest of all that was put in.
    #[must_use]
    pub fn done(&self) -> Digest {
        Digest::from_hash(&self.0.finalize())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_digest_is_blake3() {
        // The digest of the empty input as the BLAKE3 test vectors give it (value from memory).
        assert_eq!(Digest::of(b"").as_str(), "af1349b9f5f9a1a6a0404dea36dcc949");
    }

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
