//! What sheets are printed on, as files and arguments name it.

use std::str::FromStr;

use serde::Serialize;

/// Pages above this many pixels a side are not made.
pub const LONGEST_SIDE: i32 = 8000;
/// Pages below this many pixels a side hold nothing.
pub const SHORTEST_SIDE: i32 = 400;

/// What a page is cut to.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub enum Stock {
    /// 210 x 297 mm (ISO 216).
    A4,
    /// 297 x 420 mm (ISO 216).
    A3,
    /// 8.5 x 11 inches (ANSI/ASME Y14.1, size A).
    Letter,
    /// 11 x 17 inches (ANSI/ASME Y14.1, size B).
    Tabloid,
    /// 13 1/3 x 7.5 inches, a screen's 16:9.
    Wide,
    /// Pixels, as given.
    Pixels(i32, i32),
    /// 2400 px wide at most, and as high as the content needs up to 3200 px.
    Fit,
}

impl FromStr for Stock {
    type Err = String;

    /// `a4`, `a3`, `letter`, `tabloid`, `16:9`, `fit`, or pixels as `1920x1080`. The error says what to write.
    fn from_str(text: &str) -> Result<Self, String> {
        match text.to_ascii_lowercase().as_str() {
            "a4" => return Ok(Self::A4),
            "a3" => return Ok(Self::A3),
            "letter" => return Ok(Self::Letter),
            "tabloid" => return Ok(Self::Tabloid),
            "16:9" => return Ok(Self::Wide),
            "fit" => return Ok(Self::Fit),
            _ => {}
        }
        let wrong = "write a4, a3, letter, tabloid, 16:9, fit, or pixels as 1920x1080";
        let (width, height) = text.split_once(['x', 'X', '×']).ok_or(wrong)?;
        let side = |text: &str| text.trim().parse::<u32>().map_err(|_| wrong.to_owned());
        let within = |side: u32| {
            i32::try_from(side)
                .ok()
                .filter(|v| (SHORTEST_SIDE..=LONGEST_SIDE).contains(v))
        };
        let (width, height) = (side(width)?, side(height)?);
        match (within(width), within(height)) {
            (Some(width), Some(height)) => Ok(Self::Pixels(width, height)),
            _ => Err(format!(
                "pages are {SHORTEST_SIDE} to {LONGEST_SIDE} px a side"
            )),
        }
    }
}

/// Which way a page is held.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize)]
#[cfg_attr(feature = "cli", derive(clap::ValueEnum))]
pub enum Way {
    /// Wider than high.
    #[default]
    Landscape,
    /// Higher than wide.
    Portrait,
}

/// What a sheet is printed on.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize)]
pub enum Paper {
    /// Warm white.
    #[default]
    Light,
    /// Dark grey with mid-grey cells, so that dark ink still reads.
    Dark,
}

/// How the pages of a sheet are set up, as far as somebody says.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct PageSetup {
    /// What they are cut to.
    pub stock: Option<Stock>,
    /// Which way they are held.
    pub way: Option<Way>,
    /// What they are printed on.
    pub paper: Option<Paper>,
    /// Around what they hold, millimetres of paper.
    pub margin: Option<f64>,
    /// Cells of a row.
    pub columns: Option<u16>,
    /// Height of the figures, pixels.
    pub cell: Option<u16>,
    /// For the title block: the show.
    pub production: Option<String>,
    /// For the title block: which state of the design.
    pub revision: Option<String>,
    /// For the title block: when.
    pub date: Option<String>,
}

impl PageSetup {
    /// What this says, and where it says nothing what the other does.
    #[must_use]
    pub fn or(&self, other: &Self) -> Self {
        let text = |a: &Option<String>, b: &Option<String>| a.as_ref().or(b.as_ref()).cloned();
        Self {
            stock: self.stock.or(other.stock),
            way: self.way.or(other.way),
            paper: self.paper.or(other.paper),
            margin: self.margin.or(other.margin),
            columns: self.columns.or(other.columns),
            cell: self.cell.or(other.cell),
            production: text(&self.production, &other.production),
            revision: text(&self.revision, &other.revision),
            date: text(&self.date, &other.date),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn pages_are_named_or_measured() {
        assert_eq!("A3".parse(), Ok(Stock::A3));
        assert_eq!("16:9".parse(), Ok(Stock::Wide));
        assert_eq!("1920x1080".parse(), Ok(Stock::Pixels(1920, 1080)));
        for wrong in ["a5", "", "x", "1920", "1920xmany"] {
            assert!(wrong.parse::<Stock>().unwrap_err().starts_with("write a4"));
        }
        for wrong in ["399x500", "500x8001", "99999999999x500"] {
            assert!(wrong.parse::<Stock>().is_err(), "{wrong}");
        }
    }
}
