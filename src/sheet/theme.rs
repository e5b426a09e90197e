//! Colours and sizes of a sheet.

use super::layout::Spacing;
use super::text::Style;
use crate::art::Rgb;

/// What a sheet is printed on.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Paper {
    /// Warm white.
    #[default]
    Light,
    /// Dark grey with mid-grey cells, so that dark ink still reads.
    Dark,
}

/// Colours.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Colours {
    pub paper: Rgb,
    pub panel: Rgb,
    pub text: Rgb,
    pub quiet: Rgb,
    pub rule: Rgb,
    pub ground: Rgb,
    pub alarm: Rgb,
}

impl Paper {
    pub(super) const fn colours(self) -> Colours {
        match self {
            Self::Light => Colours {
                paper: Rgb([0xf1, 0xee, 0xe7]),
                panel: Rgb([0xfb, 0xfa, 0xf6]),
                text: Rgb([0x20, 0x24, 0x2d]),
                quiet: Rgb([0x6a, 0x6d, 0x74]),
                rule: Rgb([0xcf, 0xca, 0xbe]),
                ground: Rgb([0xc3, 0xbc, 0xad]),
                alarm: Rgb([0xb0, 0x34, 0x28]),
            },
            Self::Dark => Colours {
                paper: Rgb([0x24, 0x27, 0x2d]),
                panel: Rgb([0x5f, 0x65, 0x6f]),
                text: Rgb([0xf2, 0xef, 0xe8]),
                quiet: Rgb([0xa9, 0xad, 0xb5]),
                rule: Rgb([0x44, 0x49, 0x52]),
                ground: Rgb([0x7c, 0x82, 0x8c]),
                alarm: Rgb([0xff, 0x9a, 0x8a]),
            },
        }
    }
}

/// Sizes, which follow the width of the page.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Sizes {
    unit: f32,
}

impl Sizes {
    pub fn for_page(width: i32) -> Self {
        Self {
            unit: (width as f32 / 2400.0).clamp(0.5, 3.4),
        }
    }

    /// Pixels for a length that is meant for a page 2400 px wide.
    #[expect(
        clippy::cast_possible_truncation,
        reason = "lengths on a page are small"
    )]
    pub fn px(self, length: f32) -> i32 {
        (length * self.unit).round().max(1.0) as i32
    }

    fn em(self, size: f32) -> f32 {
        // Whole pixels keep lines of the same text alike; below this, letters clog.
        (size * self.unit).round().max(11.0)
    }

    pub fn member(self) -> Style {
        Style::bold(self.em(58.0))
    }

    pub fn list(self) -> Style {
        Style::regular(self.em(30.0))
    }

    pub fn fact(self) -> Style {
        Style::regular(self.em(24.0))
    }

    pub fn page(self) -> Style {
        Style::bold(self.em(24.0))
    }

    pub fn heading(self) -> Style {
        Style::bold(self.em(30.0))
    }

    pub fn name(self) -> Style {
        Style::bold(self.em(25.0))
    }

    pub fn note(self) -> Style {
        Style::regular(self.em(21.0))
    }

    pub fn footer(self) -> Style {
        Style::regular(self.em(20.0))
    }

    pub fn hairline(self) -> i32 {
        self.px(1.6)
    }

    pub fn chip(self) -> i32 {
        self.px(28.0)
    }

    pub fn spacing(self) -> Spacing {
        Spacing {
            margin: self.px(84.0),
            gap: self.px(28.0),
            row_gap: self.px(48.0),
            group_gap: self.px(72.0),
            pad: self.px(14.0),
            label_gap: self.px(14.0),
            heading_gap: self.px(20.0),
            band_gap: self.px(44.0),
            narrowest_cell: self.px(210.0),
            narrowest_page: self.px(1240.0),
        }
    }
}
