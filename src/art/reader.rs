//! How text becomes a resolved tree, and where a drawing finds its images.

use std::path::{Component, Path, PathBuf};
use std::sync::Arc;

use roxmltree::ParsingOptions;
use usvg::{ImageHrefResolver, ImageKind, Options, Tree};

use crate::files::Files;

/// More elements than this, `use` expanded, are not part art.
pub(super) const MOST_NODES: u32 = 1_000_000;

/// How a file's images are found.
#[derive(Clone, Debug, Default)]
pub(super) struct Reader {
    files: Files,
    folder: PathBuf,
    file: PathBuf,
}

impl Reader {
    /// For a file of a member's folder.
    pub fn new(files: Files, folder: &Path, file: &Path) -> Self {
        Self {
            files,
            folder: folder.to_path_buf(),
            file: file.to_path_buf(),
        }
    }

    /// The resolved tree of an SVG text.
    pub fn parse(&self, text: &str) -> Result<Tree, usvg::Error> {
        let xml = roxmltree::Document::parse_with_options(text, xml_options())?;
        self.resolve(&xml)
    }

    /// The same of text that is parsed already.
    pub fn resolve(&self, xml: &roxmltree::Document<'_>) -> Result<Tree, usvg::Error> {
        let reader = self.clone();
        let options = Options {
            image_href_resolver: ImageHrefResolver {
                resolve_data: ImageHrefResolver::default_data_resolver(),
                resolve_string: Box::new(move |href, _| image_kind(reader.bytes(href)?)),
            },
            ..Options::default()
        };
        Tree::from_xmltree(xml, &options)
    }

    fn base(&self) -> &Path {
        self.file.parent().unwrap_or(Path::new(""))
    }

    /// The file that `href` names, if it lies in the member's folder.
    pub fn inside(&self, href: &str) -> Option<PathBuf> {
        let path = Path::new(href);
        if href.contains("://")
            || !path.components().all(|c| {
                matches!(
                    c,
                    Component::Normal(_) | Component::CurDir | Component::ParentDir
                )
            })
        {
            return None;
        }
        let path = self.files.whole(&self.base().join(path))?;
        path.starts_with(self.files.whole(&self.folder)?)
            .then_some(path)
    }

    /// Whether anything is where `href` points, inside the member's folder or not.
    pub fn is_there(&self, href: &str) -> bool {
        self.files.kind(self.base().join(href)).is_ok()
    }

    /// The bytes that `href` names, if they lie in the member's folder; none of what cannot be read.
    pub fn bytes(&self, href: &str) -> Option<Vec<u8>> {
        let file = self.inside(href)?;
        Some(self.files.read(file, u64::MAX).unwrap_or_default())
    }
}

pub(crate) fn xml_options<'a>() -> ParsingOptions<'a> {
    ParsingOptions {
        allow_dtd: true,
        nodes_limit: MOST_NODES,
        ..ParsingOptions::default()
    }
}

/// A picture's kind by its first bytes; `None` for what is no picture.
pub(super) fn image_kind(bytes: Vec<u8>) -> Option<ImageKind> {
    let bytes = Arc::new(bytes);
    if bytes.starts_with(b"\x89PNG\r\n\x1a\n") {
        Some(ImageKind::PNG(bytes))
    } else if bytes.starts_with(b"\xff\xd8\xff") {
        Some(ImageKind::JPEG(bytes))
    } else if bytes.starts_with(b"GIF8") {
        Some(ImageKind::GIF(bytes))
    } else if bytes.starts_with(b"RIFF") && bytes.get(8..12) == Some(b"WEBP") {
        Some(ImageKind::WEBP(bytes))
    } else {
        None
    }
}
