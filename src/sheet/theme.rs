//! Colours and sizes of a sheet.

use super::layout::{PageSize, Spacing};
use crate::art::Rgb;
use crate::cast::Paper;
use crate::text::Style;

/// Colours of a paper.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Colours {
    /// The page.
    pub paper: Rgb,
    /// Behind figures.
    pub panel: Rgb,
    /// Names and titles.
    pub text: Rgb,
    /// Notes and captions.
    pub quiet: Rgb,
    /// Rules and frames.
    pub rule: Rgb,
    /// Ground lines and guides.
    pub ground: Rgb,
    /// What must not be missed.
    pub alarm: Rgb,
}

impl Paper {
    /// Its colours.
    #[must_use]
    pub const fn colours(self) -> Colours {
        match self {
            Self::Light => Colours {
                paper: Rgb([0xf1, 0xee, 0xe7]),
                panel: Rgb([0xfb, 0xfa, 0xf6]),
                text: Rgb([0x20, 0x24, 0x2d]),
                quiet: Rgb([0x5d, 0x60, 0x68]),
                rule: Rgb([0xbf, 0xb9, 0xab]),
                ground: Rgb([0xb3, 0xab, 0x9a]),
                alarm: Rgb([0xb0, 0x34, 0x28]),
            },
            Self::Dark => Colours {
                paper: Rgb([0x24, 0x27, 0x2d]),
                panel: Rgb([0x5f, 0x65, 0x6f]),
                text: Rgb([0xf2, 0xef, 0xe8]),
                quiet: Rgb([0xb4, 0xb8, 0xbf]),
                rule: Rgb([0x54, 0x59, 0x62]),
                ground: Rgb([0x86, 0x8c, 0x97]),
                alarm: Rgb([0xff, 0x9a, 0x8a]),
            },
        }
    }
}

/// Sizes, which follow the size of the page: an A3 page is an A4 page seen larger.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sizes {
    unit: f32,
    margin: Option<i32>,
}

impl Sizes {
    /// For a page; `margin` in pixels, else what suits.
    #[must_use]
    pub fn for_page(page: PageSize, margin: Option<i32>) -> Self {
        let unit = match page {
            PageSize::UpTo { width, .. } => width as f32 / 2400.0,
            PageSize::Exactly { width, height } => {
                let side = (width as f32 * height as f32).sqrt() / 2020.0;
                side.min(width as f32 / 1650.0)
            }
        };
        Self {
            unit: unit.clamp(0.5, 3.4),
            margin,
        }
    }

    /// Pixels for a length that is meant for a page 2400 px wide.
    #[must_use]
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

    /// The member's name.
    #[must_use]
    pub fn member(self) -> Style {
        Style::bold(self.em(54.0))
    }

    /// What the sheet shows.
    #[must_use]
    pub fn list(self) -> Style {
        Style::regular(self.em(30.0))
    }

    /// Short facts.
    #[must_use]
    pub fn fact(self) -> Style {
        Style::regular(self.em(25.0))
    }

    /// A group's heading.
    #[must_use]
    pub fn heading(self) -> Style {
        Style::bold(self.em(30.0))
    }

    /// A figure's name.
    #[must_use]
    pub fn name(self) -> Style {
        Style::bold(self.em(27.0))
    }

    /// Notes.
    #[must_use]
    pub fn note(self) -> Style {
        Style::regular(self.em(23.0))
    }

    /// What a box of the title block is for.
    #[must_use]
    pub fn caption(self) -> Style {
        Style::regular(self.em(18.0))
    }

    /// What a box of the title block says.
    #[must_use]
    pub fn value(self) -> Style {
        Style::bold(self.em(23.0))
    }

    /// Width of rules.
    #[must_use]
    pub fn hairline(self) -> i32 {
        self.px(1.6)
    }

    /// Side of a swatch.
    #[must_use]
    pub fn chip(self) -> i32 {
        self.px(28.0)
    }

    /// Distances.
    #[must_use]
    pub fn spacing(self) -> Spacing {
        Spacing {
            margin: self.margin.unwrap_or_else(|| self.px(72.0)),
            gap: self.px(28.0),
            row_gap: self.px(40.0),
            group_gap: self.px(64.0),
            pad: self.px(14.0),
            label_gap: self.px(14.0),
            heading_gap: self.px(20.0),
            band_gap: self.px(36.0),
            narrowest_cell: self.px(210.0),
            narrowest_page: self.px(1240.0),
            beside: false,
        }
    }
}
