//! The files of a run and places in them.

use std::path::PathBuf;

use crate::files::Files;

/// A file that was read, by its place in [`Sources`].
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct SourceId(pub u32);

/// A stretch of a file, in bytes from its start; `end` is one past the last byte.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Span {
    /// Which file.
    pub source: SourceId,
    /// First byte.
    pub start: u32,
    /// One past the last byte.
    pub end: u32,
}

impl Span {
    /// A stretch given in `usize`, as parsers do; cut at 4 GiB.
    #[must_use]
    pub fn of(source: SourceId, range: std::ops::Range<usize>) -> Self {
        let cut = |at: usize| u32::try_from(at).unwrap_or(u32::MAX);
        Self {
            source,
            start: cut(range.start),
            end: cut(range.end),
        }
    }
}

/// The text of one file.
#[derive(Clone, Debug)]
pub struct Source {
    /// The path as it is shown to the user.
    pub path: PathBuf,
    /// The whole text.
    pub text: String,
    /// Where each line starts.
    lines: Vec<usize>,
}

impl Source {
    /// The index of the line that holds this byte.
    pub(super) fn line_at(&self, byte: usize) -> usize {
        self.lines.partition_point(|&start| start <= byte) - 1
    }

    /// The bytes of a line, without its line break.
    pub(super) fn line_range(&self, line: usize) -> std::ops::Range<usize> {
        let start = self.lines[line];
        let end = self
            .lines
            .get(line + 1)
            .map_or(self.text.len(), |next| next - 1);
        let text = &self.text[start..end];
        start..start + text.strip_suffix('\r').unwrap_or(text).len()
    }
}

/// All files read in a run, and where they come from: by default the disk.
#[derive(Clone, Debug, Default)]
pub struct Sources {
    from: Files,
    files: Vec<Source>,
}

impl Sources {
    /// None yet, to be read from these.
    #[must_use]
    pub fn of(from: Files) -> Self {
        let files = Vec::new();
        Self { from, files }
    }

    /// Where they come from.
    #[must_use]
    pub fn files(&self) -> &Files {
        &self.from
    }

    /// Keeps a file's text and returns its id.
    pub fn add(&mut self, path: impl Into<PathBuf>, text: impl Into<String>) -> SourceId {
        let text = text.into();
        let breaks = text.bytes().enumerate().filter(|&(_, b)| b == b'\n');
        let lines = std::iter::once(0)
            .chain(breaks.map(|(at, _)| at + 1))
            .collect();
        self.files.push(Source {
            path: path.into(),
            text,
            lines,
        });
        SourceId(u32::try_from(self.files.len() - 1).unwrap_or(u32::MAX))
    }

    /// The file with this path.
    #[must_use]
    pub fn find(&self, path: &std::path::Path) -> Option<SourceId> {
        let at = self.files.iter().position(|file| file.path == path)?;
        u32::try_from(at).ok().map(SourceId)
    }

    /// All files, in the order they were read.
    pub fn iter(&self) -> impl Iterator<Item = &Source> {
        self.files.iter()
    }

    /// The file with this id; `None` for an id of other sources.
    #[must_use]
    pub fn get(&self, id: SourceId) -> Option<&Source> {
        self.files.get(id.0 as usize)
    }
}
