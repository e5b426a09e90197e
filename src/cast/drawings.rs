//! Where the drawings of a member come from, while its files are read.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use super::fields::Fields;
use super::file::exists;
use super::reference::{ArtRef, inside};
use super::report::Report;
use super::value::text;
use crate::art::{ArtId, Document, Library, Shape};
use crate::diag::{Problem, Problems, SourceId, Sources, Span, quoted};

/// The drawings of a member, and where what is wrong with them is told.
pub(super) struct Drawings<'a> {
    /// The member's folder.
    pub folder: &'a Path,
    pub sources: &'a mut Sources,
    pub problems: &'a mut Problems,
    pub library: &'a mut Library,
    /// The files of views that were read, relative to the member's folder.
    pub texts: BTreeMap<PathBuf, (SourceId, String)>,
}

impl Drawings<'_> {
    /// A file of drawings, relative to the member's folder; what is wrong with it is reported once.
    pub fn open(&mut self, file: &Path, asked: Span) -> Option<Arc<Document>> {
        let path = self.folder.join(file);
        let (sources, problems) = (&mut *self.sources, &mut *self.problems);
        self.library
            .open(sources, problems, self.folder, &path, asked)
    }

    /// A drawing; one that cannot be loaded is reported.
    pub fn load(&mut self, art: &ArtRef) -> Option<ArtId> {
        let file = self.folder.join(&art.file);
        let ids: Vec<&str> = art.ids.iter().map(String::as_str).collect();
        let (sources, problems) = (&mut *self.sources, &mut *self.problems);
        self.library
            .load_all(sources, problems, self.folder, &file, &ids, art.span)
    }

    /// The shapes of a mark, which is left out of the drawing that it stands in.
    pub fn mark(&mut self, mark: &ArtRef) -> Option<Vec<Shape>> {
        let file = self.folder.join(&mark.file);
        let (sources, problems) = (&mut *self.sources, &mut *self.problems);
        let of = (self.folder, file.as_path());
        self.library
            .mark(sources, problems, of, &mark.ids[0], mark.span)
    }

    /// The file that a key of a table names, relative to the member's folder; `base` is the folder of the naming file.
    pub fn file(
        &self,
        fields: &mut Fields<'_>,
        key: &str,
        base: &Path,
        report: &mut Report,
    ) -> Option<(PathBuf, Span)> {
        let value = fields.take(key)?;
        let text = text(&value, &quoted(key), report)?;
        match inside(base, text) {
            Err((message, hint)) => {
                let message = format!("{} {message}", quoted(key));
                report.push(Problem::error(value.span, message).hint(hint));
                None
            }
            Ok(file) => {
                let path = self.folder.join(&file);
                let there = exists(self.sources.files(), &path, text, value.span, report);
                there.then_some((file, value.span))
            }
        }
    }
}
