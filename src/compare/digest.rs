//! Digests of files, pixels and records.

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
        Self::finish(&blake3::Hasher::new().update(bytes).clone())
    }

    /// Of a picture: its size, its straight RGBA bytes, whatever file they are kept in, and where the
    /// canvas's corner is in it.
    #[must_use]
    pub fn of_pixels(width: u32, height: u32, straight: &[u8], origin: [u32; 2]) -> Self {
        let mut hasher = blake3::Hasher::new();
        hasher.update(&width.to_le_bytes());
        hasher.update(&height.to_le_bytes());
        hasher.update(straight);
        if origin != [0, 0] {
            origin.iter().for_each(|side| {
                hasher.update(&side.to_le_bytes());
            });
        }
        Self::finish(&hasher)
    }

    /// Of what a hasher has heard.
    #[must_use]
    pub fn finish(hasher: &blake3::Hasher) -> Self {
        let hex = hasher.finalize().to_hex();
        Self(hex[..32].to_owned())
    }

    /// The digits.
    #[must_use]
    pub fn as_str(&self) -> &str {
        &self.0
    }

    /// True for 32 lower-case hexadecimal digits: anything else is no digest and no file name.
    #[must_use]
    pub fn is_sound(&self) -> bool {
        self.0.len() == 32
            && self
                .0
                .bytes()
                .all(|b| matches!(b, b'0'..=b'9' | b'a'..=b'f'))
    }
}

impl fmt::Display for Digest {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_digest_is_blake3() {
        // The empty input's digest, from the BLAKE3 test vectors (BLAKE3-team, test_vectors.json).
        assert_eq!(Digest::of(b"").as_str(), "af1349b9f5f9a1a6a0404dea36dcc949");
        assert!(Digest::of(b"x").is_sound());
        assert!(!Digest("../../etc".into()).is_sound());
    }

    #[test]
    fn the_size_is_part_of_a_picture() {
        let pixels = [0; 16];
        assert_ne!(
            Digest::of_pixels(4, 1, &pixels, [0, 0]),
            Digest::of_pixels(1, 4, &pixels, [0, 0])
        );
        assert_ne!(
            Digest::of_pixels(4, 1, &pixels, [0, 0]),
            Digest::of_pixels(4, 1, &pixels, [1, 0])
        );
    }
}
