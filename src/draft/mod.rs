//! A first rig from a drawing: which layers are parts, what carries what and where it turns, each with the reason.

mod colours;
mod guides;
mod layers;
mod limits;
mod overlap;
mod part;
mod picture;
mod pivots;
mod place;
mod report;
mod settle;
mod trade;
mod tree;
mod update;
mod variants;
mod view;
mod words;
mod worn;
mod write;

use std::path::{Path, PathBuf};

pub use colours::Swatch;
pub use layers::Counts;
pub use part::{Decided, Drawing, Part, Shown, Sure, Turns};
pub use picture::picture;
pub use place::colour_name;
pub use report::{Line, Look, first, lines, summary};
pub use update::{Update, updated};
pub use variants::Variant;
pub use view::{Garment, Mask, Seam, View};
pub use write::texts;

use crate::art::{Fineness, Library, view_box, xml_options};
use crate::diag::{Place, Problem, Problems, Sources, Span, quoted};
use crate::files::Files;
use crate::geom::{Affine, Point};

/// A file larger than this is not part art.
const MOST_BYTES: u64 = 64 << 20;
/// What a figure is flattened for: so many pixels for the longer side of the canvas.
const PIXELS: f64 = 1000.0;

/// A rig as it is drafted.
#[derive(Clone, Debug)]
pub struct Draft {
    /// What the figure is called.
    pub name: String,
    /// Width and height.
    pub canvas: Point,
    /// Its colours.
    pub swatches: Vec<Swatch>,
    /// Colours that are hard to tell apart.
    pub near: Vec<[Swatch; 2]>,
    /// One for each figure.
    pub views: Vec<View>,
    /// What is wrong with the drawings, and could be drawn nevertheless.
    pub warnings: Problems,
    /// The drawings, for the places of these.
    pub sources: Sources,
    /// The ids in each drawing, in its order.
    ids: std::collections::BTreeMap<String, Vec<String>>,
}

/// The elements of a drawing.
struct Elements<'a>(Option<roxmltree::Document<'a>>);

impl Elements<'_> {
    /// Whether it has one that a rig names so.
    fn has(&self, name: &str) -> bool {
        let xml = self.0.as_ref();
        xml.is_some_and(|xml| crate::art::bytes_of(xml, name).is_some())
    }
}

impl Draft {
    fn elements(&self, file: &str) -> Elements<'_> {
        let source = self.sources.iter().find(|s| s.path.ends_with(file));
        let read = |text| roxmltree::Document::parse_with_options(text, xml_options()).ok();
        Elements(source.and_then(|s| read(s.text.as_str())))
    }
}

/// A drawing that was read.
struct Read {
    file: String,
    text: String,
    figures: Vec<layers::Figure>,
    counts: Counts,
    page: [f64; 4],
    ids: Vec<String>,
}

/// Drafts a rig from drawings, which lie in `folder`.
///
/// # Errors
///
/// When a drawing cannot be read, or nothing can be made of it: why, and what to do in the drawing.
pub fn draft(
    files: &Files,
    folder: &Path,
    drawings: &[PathBuf],
) -> Result<Draft, (Problems, Sources)> {
    let mut sources = Sources::of(files.clone());
    let mut problems = Problems::default();
    let mut read = Vec::new();
    for drawing in drawings {
        match open(files, folder, drawing) {
            Ok(one) => read.push(one),
            Err(problem) => problems.push(problem),
        }
    }
    for one in &read {
        problems.extend(unusable(one, folder));
    }
    if !problems.is_ok() {
        return Err((problems, sources));
    }
    let (views, others) = sorted(read);
    let extra: Vec<(String, layers::Piece)> = others
        .iter()
        .flat_map(|one| one.figures.iter().map(move |f| (one, f)))
        .flat_map(|(one, f)| f.pieces.iter().map(|p| (one.file.clone(), p.clone())))
        .collect();
    let pages = || views.iter().map(|one| one.page);
    let canvas = [2, 3].map(|k| pages().map(|p| p[k]).fold(1.0, f64::max));
    let fine = Fineness::new(PIXELS / canvas[0].max(canvas[1]));
    let mut library = Library::new();
    let mut made = Vec::new();
    let several = views.len() > 1 || views.iter().any(|one| one.figures.len() > 1);
    for one in &views {
        let source = sources.add(folder.join(&one.file), one.text.as_str());
        let mut loading = view::Loading {
            sources: &mut sources,
            problems: &mut problems,
            library: &mut library,
            folder,
            span: Span::of(source, 0..0),
            fine,
            shift: Affine::translate([-one.page[0], -one.page[1]]),
        };
        for figure in &one.figures {
            let mut view = view::view(figure, &one.file, &extra, &mut loading);
            if several {
                let stem = Path::new(&one.file)
                    .file_stem()
                    .unwrap_or_default()
                    .to_string_lossy();
                let by_file =
                    layers::view_name(&stem).unwrap_or_else(|| words::Words::new(&stem).name());
                let named = if one.figures.len() > 1 {
                    view.name.take()
                } else {
                    None
                };
                view.name = Some(named.unwrap_or(by_file));
            } else {
                view.name = None;
            }
            made.push(view);
        }
    }
    if !problems.is_ok() {
        return Err((problems, sources));
    }
    made.iter_mut().for_each(limits::limits);
    let mut named = std::collections::BTreeMap::new();
    for one in views.iter().rev() {
        named.extend(colours::of_classes(&one.text));
    }
    let (swatches, near) = colours::swatches(&made, &named);
    let mut draft = Draft {
        name: figure_name(files, folder, &views),
        swatches,
        near,
        canvas,
        views: made,
        warnings: problems,
        sources,
        ids: views
            .iter()
            .chain(&others)
            .map(|one| (one.file.clone(), one.ids.clone()))
            .collect(),
    };
    let all = views
        .iter()
        .chain(&others)
        .map(|one| (one.file.clone(), one.text.clone()));
    settle::settle(&mut draft, &all.collect::<Vec<_>>());
    Ok(draft)
}

/// The folder's name, or the only drawing's.
fn figure_name(files: &Files, folder: &Path, views: &[Read]) -> String {
    let stem = |path: &Path| path.file_stem().map(|s| s.to_string_lossy().into_owned());
    let alone = match views {
        [one] => stem(Path::new(&one.file)).filter(|s| layers::view_name(s).is_none()),
        _ => None,
    };
    let here = if folder.as_os_str().is_empty() {
        Path::new(".")
    } else {
        folder
    };
    let whole = || files.whole(here).and_then(|f| stem(&f));
    let name = alone.or_else(whole).unwrap_or_else(|| "figure".to_owned());
    let words = words::split(&name).join(" ");
    let mut letters = words.chars();
    letters
        .next()
        .map_or(name, |first| first.to_uppercase().chain(letters).collect())
}

/// Views, and files of replacements: those whose pieces are mostly called for parts of the views.
fn sorted(read: Vec<Read>) -> (Vec<Read>, Vec<Read>) {
    let stem = |one: &Read| {
        let stem = Path::new(&one.file).file_stem().unwrap_or_default();
        layers::view_name(&stem.to_string_lossy())
    };
    let is_view = |one: &Read| one.figures.len() > 1 || stem(one).is_some();
    if read.len() < 2 || !read.iter().any(is_view) {
        return (read, Vec::new());
    }
    read.into_iter().partition(is_view)
}

fn open(files: &Files, folder: &Path, drawing: &Path) -> Result<Read, Problem> {
    let path = folder.join(drawing);
    let told = |message: String, hint: &str| {
        let problem = Problem::error(Place::File(path.clone()), message);
        if hint.is_empty() {
            problem
        } else {
            problem.hint(hint)
        }
    };
    let bytes = files.read(&path, MOST_BYTES).map_err(|e| match e.kind() {
        std::io::ErrorKind::NotFound => told("there is no such drawing".into(), ""),
        _ => told("the drawing cannot be read".into(), ""),
    })?;
    if bytes.is_empty() {
        return Err(told(
            "the drawing is empty".into(),
            "save it once more from the drawing program",
        ));
    }
    let svg = "save the drawing as plain SVG, with its layers";
    if bytes.starts_with(&[0x1f, 0x8b]) {
        return Err(told(
            "the drawing is compressed".into(),
            "save it as plain SVG, not SVGZ",
        ));
    }
    let Ok(text) = String::from_utf8(bytes) else {
        return Err(told("this is no SVG".into(), svg));
    };
    let xml = roxmltree::Document::parse_with_options(&text, xml_options())
        .map_err(|_| told("this is no SVG".into(), svg))?;
    if xml.root_element().tag_name().name() != "svg" {
        let message = format!(
            "this is no SVG: its root element is {}",
            quoted(xml.root_element().tag_name().name())
        );
        return Err(told(message, svg));
    }
    let page = page(&xml).ok_or_else(|| {
        told(
            "the drawing has no size".into(),
            "give the root element a viewBox, or a width and a height, above zero",
        )
    })?;
    let (figures, counts) = layers::read(&xml);
    let ids = xml.descendants().filter_map(|n| n.attribute("id"));
    let ids = ids.map(str::to_owned).collect();
    drop(xml);
    Ok(Read {
        ids,
        file: drawing.to_string_lossy().replace('\\', "/"),
        text,
        figures,
        counts,
        page,
    })
}

/// The drawing's own rectangle, user units: left, top, width, height.
fn page(xml: &roxmltree::Document<'_>) -> Option<[f64; 4]> {
    let root = xml.root_element();
    if root.has_attribute("viewBox") {
        return view_box(root);
    }
    let length = |name: &str| {
        let length: svgtypes::Length = root.attribute(name)?.trim().parse().ok()?;
        let unit = match length.unit {
            svgtypes::LengthUnit::None | svgtypes::LengthUnit::Px => 1.0,
            svgtypes::LengthUnit::In => 96.0,
            svgtypes::LengthUnit::Cm => 96.0 / 2.54,
            svgtypes::LengthUnit::Mm => 96.0 / 25.4,
            svgtypes::LengthUnit::Pt => 96.0 / 72.0,
            svgtypes::LengthUnit::Pc => 16.0,
            _ => return None,
        };
        Some(length.number * unit).filter(|v| *v > 0.0)
    };
    Some([0.0, 0.0, length("width")?, length("height")?])
}

/// What keeps a drawing from being taken apart, and what to do in the drawing program.
fn unusable(one: &Read, folder: &Path) -> Option<Problem> {
    let at = Place::File(folder.join(&one.file));
    let Counts {
        shapes,
        texts,
        images,
        groups,
    } = one.counts;
    let problem = |message: String, hint: &str| Some(Problem::error(at, message).hint(hint));
    let pieces: usize = one.figures.iter().map(|f| f.pieces.len()).sum();
    let cut = "cut the figure into its pieces in the drawing program, each a group or a layer with a name: torso, upper arm left ...";
    match (shapes, texts, images) {
        (0, 0, 0) => problem(
            "nothing is drawn in it".into(),
            "draw the figure, each piece in a group or a layer of its own",
        ),
        (0, _, 0) => problem(
            "the drawing is text alone, whose look depends on the fonts of the machine".into(),
            "turn the text into outlines in the drawing program, then group what moves together",
        ),
        (0, _, 1) => problem(
            "the drawing is one picture of pixels".into(),
            "cut the picture into its pieces, each an image in a layer with a name, or trace it first",
        ),
        (1, _, 0) => problem("the drawing is one single path".into(), cut),
        _ if groups == 0 && pieces < 2 => {
            let n = shapes + images;
            problem(
                format!(
                    "the drawing has no groups and no layers: {n} shapes lie side by side without names"
                ),
                cut,
            )
        }
        _ if pieces < 2 => problem("all of the drawing is one group".into(), cut),
        _ => None,
    }
}
