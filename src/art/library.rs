//! Every drawing of a run, loaded once.

use std::path::Path;

use super::{ArtId, PartArt};
use crate::diag::{Problems, Sources, Span};

/// Every drawing of a member, loaded once; files are parsed once however many parts they hold.
#[derive(Debug, Default)]
pub struct Library {
    art: Vec<PartArt>,
}

impl Library {
    /// An empty library.
    #[must_use]
    pub fn new() -> Self {
        Self::default()
    }

    /// Loads the element `id` of `file` as a part's drawing. `folder` is the member's folder: images
    /// that the SVG refers to must lie in it. `asked` is where the rig asks for it.
    /// Problems with the file or the element are reported (those of the file once); `None` then.
    pub fn load(
        &mut self,
        sources: &mut Sources,
        problems: &mut Problems,
        folder: &Path,
        file: &Path,
        id: &str,
        asked: Span,
    ) -> Option<ArtId> {
        let _ = (sources, problems, folder, file, id, asked);
        None
    }

    /// A loaded drawing.
    #[must_use]
    pub fn get(&self, id: ArtId) -> &PartArt {
        &self.art[id.at()]
    }
}
