//! Size and weight of letters.

/// How heavy letters are.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Weight {
    /// For reading.
    Regular,
    /// For names.
    Bold,
}

/// Size and weight of letters.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Style {
    /// Heavy or not.
    pub weight: Weight,
    /// Pixels to the em.
    pub size: f32,
}

impl Style {
    /// Regular letters.
    #[must_use]
    pub const fn regular(size: f32) -> Self {
        Self {
            weight: Weight::Regular,
            size,
        }
    }

    /// Bold letters.
    #[must_use]
    pub const fn bold(size: f32) -> Self {
        Self {
            weight: Weight::Bold,
            size,
        }
    }

    /// From one baseline to the next, whole pixels.
    #[must_use]
    pub fn leading(self) -> i32 {
        whole((self.size * 1.32).ceil())
    }

    /// From the top of a line of [`Style::leading`] height to its baseline, whole pixels. No letter
    /// of the fonts' European and symbol ranges rises above the line or hangs below it.
    #[must_use]
    pub fn baseline(self) -> i32 {
        whole((self.size * 1.0).round())
    }

    /// Height of a capital, pixels.
    #[must_use]
    pub fn capital(self) -> f32 {
        self.size * 0.729
    }
}

#[expect(
    clippy::cast_possible_truncation,
    reason = "lettering is far smaller than the range of i32"
)]
pub(super) fn whole(v: f32) -> i32 {
    v as i32
}
