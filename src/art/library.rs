//! Every drawing of a run, loaded once.

use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};
use std::sync::Arc;

use super::document::Document;
use super::{ArtId, PartArt, Shape, ingest};
use crate::diag::{Problem, Problems, Sources, Span, nearest};

/// Every drawing of a member, loaded once; files are parsed once however many parts they hold.
#[derive(Debug, Default)]
pub struct Library {
    art: Vec<Arc<PartArt>>,
    /// `None` for a file that could not be read: it was reported then.
    documents: BTreeMap<PathBuf, Option<Arc<Document>>>,
    loaded: BTreeMap<(PathBuf, String), Option<ArtId>>,
    /// Elements that are marks.
    marks: BTreeSet<(PathBuf, String)>,
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
        let key = (file.to_path_buf(), id.to_owned());
        if let Some(&known) = self.loaded.get(&key) {
            return known;
        }
        let document = self.open(sources, problems, folder, file, asked)?;
        let shapes = self.shapes(problems, (folder, file), &document, id, asked);
        let art = shapes.and_then(|shapes| {
            let next = ArtId(u32::try_from(self.art.len()).ok()?);
            self.art.push(Arc::new(PartArt {
                file: file.to_path_buf(),
                id: id.to_owned(),
                shapes,
            }));
            Some(next)
        });
        self.loaded.insert(key, art);
        art
    }

    /// The shapes of an element; what is wrong with it is reported.
    fn shapes(
        &self,
        problems: &mut Problems,
        (folder, file): (&Path, &Path),
        document: &Arc<Document>,
        id: &str,
        asked: Span,
    ) -> Option<Vec<Shape>> {
        let shown = file.strip_prefix(folder).unwrap_or(file).display();
        if !document.ids().any(|known| known == id) {
            let mut problem = Problem::error(asked, format!("no element \"{id}\" in {shown}"));
            if let Some(name) = nearest(id, document.ids()) {
                problem = problem.hint(format!("did you mean \"{name}\"?"));
            } else {
                problem = problem.hint("give the group that holds the part's art this id");
            }
            problems.push(problem);
            return None;
        }
        document.check_element(problems, id);
        let marks = self.marks.iter().filter(|(known, _)| known == file);
        let marks: BTreeSet<&str> = marks.map(|(_, id)| id.as_str()).collect();
        let shapes = document
            .visible(id)
            .and_then(|shown| ingest::shapes(&shown, id, &marks))
            .unwrap_or_default();
        if shapes.is_empty() {
            problems.push(
                Problem::error(asked, format!("element \"{id}\" of {shown} draws nothing"))
                    .hint("it needs a visible fill or stroke; definitions (symbols, gradients) are not drawn by themselves"),
            );
            return None;
        }
        Some(shapes)
    }

    /// Leaves an element out of the drawings that it stands in: it is a mark for whoever reads them.
    pub(crate) fn leave_out(&mut self, file: &Path, id: &str) {
        self.marks.insert((file.to_path_buf(), id.to_owned()));
    }

    /// What a mark covers, which is no drawing.
    pub(crate) fn mark(
        &mut self,
        sources: &mut Sources,
        problems: &mut Problems,
        (folder, file): (&Path, &Path),
        id: &str,
        asked: Span,
    ) -> Option<Vec<Shape>> {
        let document = self.open(sources, problems, folder, file, asked)?;
        self.shapes(problems, (folder, file), &document, id, asked)
    }

    /// A file of drawings, read once; what is wrong with it is reported then.
    pub(crate) fn open(
        &mut self,
        sources: &mut Sources,
        problems: &mut Problems,
        folder: &Path,
        file: &Path,
        asked: Span,
    ) -> Option<Arc<Document>> {
        if !self.documents.contains_key(file) {
            let document = Document::read(sources, problems, folder, file, asked).map(Arc::new);
            self.documents.insert(file.to_path_buf(), document);
        }
        self.documents.get(file).and_then(Clone::clone)
    }

    /// A loaded drawing; `None` for an id of another library.
    #[must_use]
    pub fn get(&self, id: ArtId) -> Option<&PartArt> {
        self.art.get(id.at()).map(|art| &**art)
    }

    /// All drawings, by id.
    #[must_use]
    pub fn all(&self) -> &[Arc<PartArt>] {
        &self.art
    }
}
