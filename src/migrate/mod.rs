//! Rigs as they were written once, rewritten in the short spelling of today: text to text, what does not change keeps
//! every byte, comments and order stay.

mod drawing;
mod headers;
mod lines;
mod palettes;
mod text;

use std::path::{Path, PathBuf};
use std::sync::Arc;

use toml_edit::{Document, Item};

use crate::art::{self, Library};
use crate::diag::{Problem, Problems, Sources, Span};

pub use text::{Change, changes};

/// A file that is written otherwise today.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Migrated {
    /// Where it is.
    pub path: PathBuf,
    /// As it is.
    pub old: String,
    /// As it would be.
    pub new: String,
}

/// The drawings that a file names, by the words of the file.
struct Drawings<'a> {
    folder: &'a Path,
    /// Of the file, in the member's folder.
    base: PathBuf,
    asked: Span,
    sources: &'a mut Sources,
    library: &'a mut Library,
}

impl Drawings<'_> {
    fn open(&mut self, file: &str) -> Option<Arc<art::Document>> {
        let path = self.base.join(file);
        let told = &mut Problems::default();
        self.library
            .open(self.sources, told, self.folder, &path, self.asked)
    }
}

/// The files of a rig, its `rig.toml` and those of its views, that have a shorter spelling.
///
/// # Errors
///
/// When one of them cannot be read, or is no TOML.
pub fn rig(path: &Path, sources: &mut Sources) -> Result<Vec<Migrated>, Problem> {
    let path = if sources.files().is_folder(path) {
        path.join("rig.toml")
    } else {
        path.to_path_buf()
    };
    let folder = path.parent().unwrap_or(Path::new("")).to_path_buf();
    let old = read(&path, sources)?;
    let mut paths = vec![path.clone()];
    {
        let bare = old.strip_prefix('\u{feff}').unwrap_or(&old);
        let document = parsed(bare, &path)?;
        let views = document.get("views").and_then(Item::as_table_like);
        let files = views.iter().flat_map(|views| views.iter());
        let named = |view: &Item| {
            let whole = view.as_table_like().and_then(|view| view.get("file"));
            Some(folder.join(view.as_str().or_else(|| whole?.as_str())?))
        };
        paths.extend(files.filter_map(|(_, view)| named(view)));
    }
    let mut library = Library::new();
    let mut all = Vec::new();
    for path in paths {
        let old = read(&path, sources)?;
        let asked = Span::of(sources.add(&path, old.as_str()), 0..0);
        let mut drawings = Drawings {
            folder: &folder,
            base: path.parent().unwrap_or(Path::new("")).to_path_buf(),
            asked,
            sources,
            library: &mut library,
        };
        let new = file(&old, &path, &mut drawings)?;
        if new != old {
            all.push(Migrated { path, old, new });
        }
    }
    Ok(all)
}

fn file(old: &str, path: &Path, drawings: &mut Drawings<'_>) -> Result<String, Problem> {
    // A mark at the start is no TOML, and stays; so do the line ends of another system.
    let bare = old.strip_prefix('\u{feff}').unwrap_or(old);
    let mark = &old[..old.len() - bare.len()];
    let plain = bare.replace("\r\n", "\n");
    let new = palettes::as_drawn(&plain, &parsed(&plain, path)?);
    let new = drawing::named_once(&new, &parsed(&new, path)?, drawings);
    let new = headers::as_lines(&new, &parsed(&new, path)?, drawings);
    parsed(&new, path)?;
    Ok(if new == plain {
        old.to_owned()
    } else if plain.len() == bare.len() {
        format!("{mark}{new}")
    } else {
        format!("{mark}{}", new.replace('\n', "\r\n"))
    })
}

fn read(path: &Path, sources: &Sources) -> Result<String, Problem> {
    let failed = |why: String| Problem::error(path, format!("cannot be read: {why}"));
    let bytes = sources.files().read(path, 1 << 24);
    let bytes = bytes.map_err(|why| failed(why.to_string()))?;
    String::from_utf8(bytes).map_err(|_| failed("it is no UTF-8".to_owned()))
}

fn parsed(text: &str, path: &Path) -> Result<Document<String>, Problem> {
    Document::parse(text.to_owned()).map_err(|why| {
        let message = format!("cannot be read as TOML: {}", why.message());
        Problem::error(path, message).hint("layfig lint tells what is wrong with it, and where")
    })
}
