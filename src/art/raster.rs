//! Art that only pixels can show.

/// A subtree drawn by resvg.
#[derive(Clone, Debug)]
pub struct RasterArt {}
