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

    /// Loads the element `id` of `file` as a part's drawing; it may be what the drawing program calls the element too.
    /// `folder` is the member's folder: images that the SVG refers to must lie in it. `asked` is where the rig asks for it.
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
        self.load_all(sources, problems, folder, file, &[id], asked)
    }

    /// Loads several elements of a file as one drawing, the last in front.
    pub fn load_all(
        &mut self,
        sources: &mut Sources,
        problems: &mut Problems,
        folder: &Path,
        file: &Path,
        ids: &[&str],
        asked: Span,
    ) -> Option<ArtId> {
        let key = (file.to_path_buf(), ids.join(super::types::BETWEEN));
        if let Some(&known) = self.loaded.get(&key) {
            return known;
        }
        let document = self.open(sources, problems, folder, file, asked)?;
        let mut all = Vec::new();
        for id in ids {
            all.push(self.shapes(problems, (folder, file), &document, id, asked));
        }
        let shapes: Option<Vec<_>> = all.into_iter().collect();
        let art = shapes.and_then(|shapes| {
            let next = ArtId(u32::try_from(self.art.len()).ok()?);
            self.art.push(Arc::new(PartArt {
                file: file.to_path_buf(),
                id: key.1.clone(),
                shapes: shapes.concat(),
            }));
            Some(next)
        });
        self.loaded.insert(key, art);
        art
    }

    /// The shapes of one element; what is wrong with it is reported.
    fn shapes(
        &self,
        problems: &mut Problems,
        (folder, file): (&Path, &Path),
        document: &Document,
        id: &str,
        asked: Span,
    ) -> Option<Vec<Shape>> {
        let shown = file.strip_prefix(folder).unwrap_or(file).display();
        let target = match document.find(id) {
            Ok(target) => target,
            Err(Some(problem)) => {
                problems.push(problem);
                return None;
            }
            Err(None) => {
                let problem = Problem::error(asked, format!("no element \"{id}\" in {shown}"));
                let names = document.names();
                problems.push(match nearest(id, names.iter().map(String::as_str)) {
                    Some(name) => problem.hint(format!("did you mean \"{name}\"?")),
                    None => problem.hint("give the group that holds the part's art this id"),
                });
                return None;
            }
        };
        document.check_element(problems, &target);
        let marks = self.marks.iter().filter(|(known, _)| known == file);
        let marks: BTreeSet<&str> = marks.map(|(_, id)| id.as_str()).collect();
        let shapes = document
            .visible(&target)
            .and_then(|shown| ingest::shapes(&shown, &target, &marks))
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::files::Files;

    /// SVG 2, 2.3: opacity is of the element that says it; a part takes none of what is around it.
    #[test]
    fn a_line_named_by_itself_keeps_its_own_opacity() {
        let text = r##"<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 9 9"><g opacity=".5">
            <rect id="a" width="9" height="9" opacity=".25"/><rect id="b" width="9" height="9" fill-opacity=".75"/></g>
            <g opacity=".5"><rect id="c" width="9" height="9"/></g></svg>"##;
        let mut sources = Sources::of(Files::memory([("a.svg", text)]).unwrap());
        let (mut problems, mut library) = (Problems::default(), Library::new());
        let asked = Span::of(sources.add("rig.toml", ""), 0..0);
        for (id, opacity) in [
            ("a", 0.25),
            ("b", 0.75),
            ("c", 1.0),
            ("element(/1/1/1)", 0.25),
        ] {
            let (folder, file) = (Path::new(""), Path::new("a.svg"));
            let art = library.load(&mut sources, &mut problems, folder, file, id, asked);
            let shape = &library.get(art.unwrap()).unwrap().shapes[0];
            assert!(
                (shape.opacity - opacity).abs() < 0.01,
                "{id}: {}",
                shape.opacity
            );
        }
    }
}
