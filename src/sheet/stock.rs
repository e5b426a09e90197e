//! Sizes that pages are printed on.

use super::grid::Look;
use super::heading::TitleBlock;
use super::layout::{LONGEST_SIDE, PageSize};
use crate::cast::{PageSetup, Stock, Way};

const MM: f64 = 72.0 / 25.4;

impl Stock {
    /// Short and long side, 1/72 inch.
    fn points(self) -> Option<[f64; 2]> {
        match self {
            Self::A4 => Some([210.0 * MM, 297.0 * MM]),
            Self::A3 => Some([297.0 * MM, 420.0 * MM]),
            Self::Letter => Some([612.0, 792.0]),
            Self::Tabloid => Some([792.0, 1224.0]),
            Self::Wide => Some([540.0, 960.0]),
            Self::Pixels(..) | Self::Fit => None,
        }
    }

    /// The size in pixels, and on paper where that is exact. A size in pixels keeps its own way.
    #[must_use]
    #[expect(clippy::cast_possible_truncation, reason = "clamped")]
    pub fn page(self, way: Way, dpi: f64) -> (PageSize, Option<[f64; 2]>) {
        match (self, self.points()) {
            (Self::Pixels(width, height), _) => (PageSize::Exactly { width, height }, None),
            (_, Some([short, long])) => {
                let points = match way {
                    Way::Landscape => [long, short],
                    Way::Portrait => [short, long],
                };
                let [width, height] = points.map(|v| {
                    let most = f64::from(LONGEST_SIDE);
                    libm::round(v * dpi / 72.0).clamp(1.0, most) as i32
                });
                (PageSize::Exactly { width, height }, Some(points))
            }
            _ => {
                let (width, height) = (2400, 3200);
                (PageSize::UpTo { width, height }, None)
            }
        }
    }
}

impl Look {
    /// Pages as somebody set them up, at so many pixels to the inch; `usual` is what they are cut to
    /// where nobody says.
    #[must_use]
    #[expect(clippy::cast_possible_truncation, reason = "margins are small")]
    pub fn of(setup: &PageSetup, usual: Stock, dpi: f64) -> Self {
        let way = setup.way.unwrap_or_default();
        let (page, points) = setup.stock.unwrap_or(usual).page(way, dpi);
        let said = |text: &Option<String>| text.clone().unwrap_or_default();
        Self {
            page,
            points,
            dpi,
            margin: setup.margin.map(|mm| libm::round(mm * dpi / 25.4) as i32),
            columns: setup.columns.map(i32::from),
            cell: setup.cell.map(i32::from),
            paper: setup.paper.unwrap_or_default(),
            title_block: TitleBlock {
                production: said(&setup.production),
                revision: said(&setup.revision),
                date: said(&setup.date),
            },
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn papers_have_their_published_sizes() {
        // ISO 216 and ANSI/ASME Y14.1; values from memory.
        for (stock, way, dpi, want) in [
            (Stock::A4, Way::Landscape, 254.0, [2970, 2100]),
            (Stock::A3, Way::Portrait, 254.0, [2970, 4200]),
            (Stock::Letter, Way::Portrait, 100.0, [850, 1100]),
            (Stock::Tabloid, Way::Landscape, 100.0, [1700, 1100]),
            (Stock::Wide, Way::Landscape, 144.0, [1920, 1080]),
        ] {
            let (size, points) = stock.page(way, dpi);
            let [width, height] = want;
            assert_eq!(size, PageSize::Exactly { width, height }, "{stock:?}");
            assert!(points.is_some());
        }
    }
}
