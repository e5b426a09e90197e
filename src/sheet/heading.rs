//! What a sheet says of itself.

use crate::art::Rgb;

/// What a sheet says of itself.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Heading {
    /// Who.
    pub title: String,
    /// In what: the list, the view.
    pub subtitle: String,
    /// Short facts: how many poses, say.
    pub facts: Vec<String>,
    /// A palette's name and colours.
    pub palette: Option<(String, Vec<Rgb>)>,
    /// What the title block calls the sheet.
    pub sheet: String,
}

/// What only people know of a sheet; nothing of it comes from the clock.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct TitleBlock {
    /// The show.
    pub production: String,
    /// Which state of the design.
    pub revision: String,
    /// When.
    pub date: String,
}
