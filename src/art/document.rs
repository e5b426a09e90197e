//! One SVG file, parsed and made safe.

use std::ops::Range;
use std::path::Path;
use std::sync::{Arc, OnceLock};

use roxmltree::Node;
use usvg::Tree;

use super::address::{Found, find, labels, with_ids};
use super::faults::faults;
use super::lift::{says_effect, unhidden, wrapped};
use super::place::{span, start_tag};
use super::reader::{MOST_NODES, Reader, xml_options};
use super::types::BETWEEN;
use crate::diag::{Problem, Problems, SourceId, Sources, Span};
use crate::files::Kind;
use crate::geom::Affine;

/// A file larger than this is not part art.
const MOST_BYTES: u64 = 64 << 20;
/// Elements nested deeper than this are not part art.
const MOST_DEPTH: usize = 256;

/// A parsed SVG file.
#[derive(Debug)]
pub(crate) struct Document {
    text: Arc<str>,
    reader: Reader,
    source: SourceId,
    /// Ids and the bytes of their elements.
    elements: Vec<(String, Range<usize>)>,
    /// What the drawing program calls elements.
    labels: Vec<String>,
    /// The same drawing with an id on every element, once one without is asked for.
    whole: OnceLock<Option<Whole>>,
    /// What elements ask for and will not get, by the first byte of the element.
    faults: Vec<(usize, Problem)>,
    tree: Arc<Tree>,
    to_user: Affine,
    view_box: Option<[f64; 4]>,
}

/// A drawing in which every element has an id.
#[derive(Debug)]
struct Whole {
    text: Arc<str>,
    tree: Arc<Tree>,
    /// By the first byte of the element in the text as it was read.
    ids: Vec<(usize, String)>,
}

/// An element that a rig names.
#[derive(Clone, Debug)]
pub(super) struct Target {
    /// Its bytes in the text.
    bytes: Range<usize>,
    /// Its id, in the text or in the one in which every element has one.
    pub id: String,
    /// It says an opacity, clip, mask or filter of its own.
    pub effect: bool,
    given: bool,
}

/// A tree in which a wanted element shows, and the text it was made from.
#[derive(Clone, Debug)]
pub(super) struct Shown {
    /// The resolved tree.
    pub tree: Arc<Tree>,
    /// The SVG text.
    pub text: Arc<str>,
    /// From the tree's pixels to user units of the root element.
    pub to_user: Affine,
    /// How to parse the text once more, for other colours.
    pub reader: Reader,
}

/// The first element nested deeper than the limit, if any. usvg recurses, the XML parser does not.
fn too_deep<'a, 'input>(xml: &'a roxmltree::Document<'input>) -> Option<Node<'a, 'input>> {
    let mut depth = 0_usize;
    let mut node = xml.root();
    loop {
        if depth > MOST_DEPTH {
            return Some(node);
        }
        if let Some(child) = node.first_child() {
            node = child;
            depth += 1;
            continue;
        }
        loop {
            if let Some(next) = node.next_sibling() {
                node = next;
                break;
            }
            node = node.parent()?;
            depth -= 1;
        }
    }
}

impl Document {
    /// Reads and parses a file; what is wrong with it is reported.
    pub fn read(
        sources: &mut Sources,
        problems: &mut Problems,
        folder: &Path,
        file: &Path,
        asked: Span,
    ) -> Option<Self> {
        // As the rig writes it: what is told does not depend on how its path was typed.
        let shown = file.strip_prefix(folder).unwrap_or(file).display();
        let files = sources.files().clone();
        let size = match files.kind(file) {
            Ok(Kind::File(size)) => size,
            Ok(_) => {
                problems.push(Problem::error(asked, format!("{shown} is not a file")));
                return None;
            }
            Err(e) => {
                problems.push(
                    Problem::error(asked, format!("cannot read {shown}: {}", io_reason(&e)))
                        .hint("paths are relative to the file that names them"),
                );
                return None;
            }
        };
        if size > MOST_BYTES {
            problems.push(Problem::error(
                asked,
                format!("{shown} is over {} MiB", MOST_BYTES >> 20),
            ));
            return None;
        }
        let bytes = match files.read(file, MOST_BYTES) {
            Ok(bytes) => bytes,
            Err(e) => {
                problems.push(Problem::error(
                    asked,
                    format!("cannot read {shown}: {}", io_reason(&e)),
                ));
                return None;
            }
        };
        let text = match String::from_utf8(bytes) {
            Ok(text) => text,
            Err(e) => {
                let gzip = e.as_bytes().starts_with(&[0x1f, 0x8b]);
                let at = e.utf8_error().valid_up_to();
                problems.push(if gzip {
                    Problem::error(asked, format!("{shown} is compressed"))
                        .hint("save it as plain SVG, not SVGZ")
                } else {
                    Problem::error(asked, format!("{shown} is not UTF-8 text (byte {at})"))
                        .hint("save it as plain SVG in UTF-8")
                });
                return None;
            }
        };
        let source = sources.add(file, text.as_str());
        let xml = match roxmltree::Document::parse_with_options(&text, xml_options()) {
            Ok(xml) => xml,
            Err(e) => {
                let pos = e.pos();
                let at = offset_of(&text, pos.row, pos.col);
                let message = xml_message(&e);
                problems.push(Problem::error(span(source, at, at + 1), message));
                return None;
            }
        };
        let root = xml.root_element();
        if root.tag_name().name() != "svg" {
            problems.push(Problem::error(
                start_tag(&text, source, root),
                format!(
                    "the root element is \"{}\", not \"svg\"",
                    root.tag_name().name()
                ),
            ));
            return None;
        }
        if let Some(node) = too_deep(&xml) {
            problems.push(
                Problem::error(
                    start_tag(&text, source, node),
                    format!("elements are nested over {MOST_DEPTH} deep"),
                )
                .hint("ungroup what needs no group"),
            );
            return None;
        }
        let reader = Reader::new(files, folder, file);
        let tree = match reader.resolve(&xml) {
            Ok(tree) => tree,
            Err(e) => {
                let (message, hint) = match e {
                    usvg::Error::InvalidSize => (
                        "the drawing has no size",
                        "give the root element a viewBox, or a width and a height, above zero",
                    ),
                    usvg::Error::ElementsLimitReached
                    | usvg::Error::ParsingFailed(roxmltree::Error::NodesLimitReached) => (
                        "the drawing grows too large or too deep once \"use\" is expanded",
                        "draw repeated pieces once, or as fewer copies",
                    ),
                    _ => (
                        "the drawing cannot be read as SVG",
                        "open it in a drawing program and save it as plain SVG",
                    ),
                };
                problems.push(Problem::error(start_tag(&text, source, root), message).hint(hint));
                return None;
            }
        };
        let to_user = to_user_units(root, &tree);
        let elements: Vec<_> = xml
            .descendants()
            .filter_map(|n| Some((n.attribute("id")?.to_owned(), n.range())))
            .collect();
        let labels = xml
            .descendants()
            .flat_map(labels)
            .map(std::borrow::Cow::into_owned)
            .collect();
        let faults = faults(&xml, &text, source, &reader, &elements);
        Some(Self {
            text: text.as_str().into(),
            source,
            whole: OnceLock::new(),
            reader,
            elements,
            labels,
            faults,
            tree: Arc::new(tree),
            to_user,
            view_box: view_box(root),
        })
    }

    /// Every name in the file.
    pub fn names(&self) -> Vec<String> {
        let mut names: Vec<String> = self.elements.iter().map(|(id, _)| id.clone()).collect();
        if let Ok(xml) = roxmltree::Document::parse_with_options(&self.text, xml_options()) {
            let called = xml.descendants().flat_map(labels);
            names.extend(called.map(std::borrow::Cow::into_owned));
        }
        names
    }

    /// The element that a name means; the problem where several have it, nothing where none has.
    pub(super) fn find(&self, name: &str) -> Result<Target, Option<Problem>> {
        let mut own = self.elements.iter().filter(|(id, _)| id == name);
        if let (Some((id, bytes)), None) = (own.next(), own.next()) {
            return Ok(Target {
                bytes: bytes.clone(),
                id: id.clone(),
                effect: says_effect(&self.text[bytes.clone()]),
                given: true,
            });
        }
        let xml = roxmltree::Document::parse_with_options(&self.text, xml_options());
        let xml = xml.map_err(|_| None)?;
        match find(&xml, name) {
            Found::One(bytes) => {
                let whole = self.whole().ok_or(None)?;
                let known = whole.ids.iter().find(|(start, _)| *start == bytes.start);
                let (_, id) = known.ok_or(None)?;
                Ok(Target {
                    id: id.clone(),
                    effect: says_effect(&self.text[bytes.clone()]),
                    bytes,
                    given: false,
                })
            }
            Found::None => Err(None),
            Found::Several(first, second) => {
                let tag = |start: usize| {
                    let node = xml.descendants().find(|n| n.range().start == start);
                    node.map(|node| start_tag(&self.text, self.source, node))
                };
                let place = tag(second.start).ok_or(None)?;
                let own = self.elements.iter().any(|(id, _)| id == name);
                let problem = if own {
                    Problem::error(place, format!("two elements have the id \"{name}\""))
                        .hint("ids must be unique in a file")
                } else {
                    Problem::error(place, format!("two elements are called \"{name}\""))
                        .hint("put what is around it before it, as in \"Lines/hand\", or call one of them something else")
                };
                Err(Some(match tag(first.start) {
                    Some(first) => problem.also(first, "the first is here"),
                    None => problem,
                }))
            }
        }
    }

    /// The drawing with an id on every element.
    fn whole(&self) -> Option<&Whole> {
        let make = || {
            let xml = roxmltree::Document::parse_with_options(&self.text, xml_options()).ok()?;
            let (text, ids) = with_ids(&self.text, &xml);
            Some(Whole {
                tree: Arc::new(self.reader.parse(&text).ok()?),
                text: text.into(),
                ids,
            })
        };
        self.whole.get_or_init(make).as_ref()
    }

    /// Whether an element has this id, or is the only one that the drawing program calls so.
    pub fn has(&self, name: &str) -> bool {
        let labelled = self.labels.iter().filter(|label| *label == name);
        self.elements.iter().any(|(id, _)| id == name) || labelled.count() == 1
    }

    /// How many bytes a drawing of these elements has, if an element lies in it.
    pub fn around(&self, id: &str, drawing: &str) -> Option<usize> {
        let own = self.find(id).ok()?.bytes;
        let holds = |id: &str| self.find(id).ok().map(|target| target.bytes);
        let all = drawing.split(BETWEEN).filter_map(holds);
        let around = |bytes: &Range<usize>| bytes.start <= own.start && own.end <= bytes.end;
        all.filter(around).map(|bytes| bytes.len()).min()
    }

    /// The ids that are these texts with something between them, in the order of the file, with what lies between;
    /// those of elements inside one that is meant already are not meant.
    pub fn between(&self, before: &str, after: &str) -> Vec<(&str, &str)> {
        let mut inside = 0;
        let all = self.elements.iter().filter_map(|(id, bytes)| {
            let name = id.strip_prefix(before)?.strip_suffix(after)?;
            if bytes.start < inside || name.is_empty() {
                return None;
            }
            inside = bytes.end;
            Some((id.as_str(), name))
        });
        all.collect()
    }

    /// Corner and size of the page, user units.
    pub fn page(&self) -> [f64; 4] {
        let size = self.tree.size();
        let whole = [0.0, 0.0, size.width().into(), size.height().into()];
        self.view_box.unwrap_or(whole)
    }

    /// The tree with the element in it: drawing programs hide layers, and a part on a hidden layer is
    /// still a part, so `display: none` on the element and around it is lifted.
    pub(super) fn visible(&self, target: &Target) -> Option<Shown> {
        let shown = |tree: Arc<Tree>, text: Arc<str>| Shown {
            tree,
            text,
            to_user: self.to_user,
            reader: self.reader.clone(),
        };
        let id = target.id.as_str();
        let (tree, text) = if target.given {
            (&self.tree, &self.text)
        } else {
            let whole = self.whole()?;
            (&whole.tree, &whole.text)
        };
        if tree.node_by_id(id).is_some() {
            return Some(shown(Arc::clone(tree), Arc::clone(text)));
        }
        let text = unhidden(text, id).or_else(|| wrapped(text, id))?;
        let tree = self.reader.parse(&text).ok()?;
        Some(shown(Arc::new(tree), text.into()))
    }

    /// Reports what an element asks for and will not get: text, images and links outside, ends of broken paths.
    pub(super) fn check_element(&self, problems: &mut Problems, target: &Target) {
        let of_it = |(at, _): &&(usize, Problem)| target.bytes.contains(at);
        for (_, fault) in self.faults.iter().filter(of_it) {
            problems.push(fault.clone());
        }
    }
}

fn io_reason(e: &std::io::Error) -> &'static str {
    match e.kind() {
        std::io::ErrorKind::NotFound => "no such file",
        std::io::ErrorKind::PermissionDenied => "permission denied",
        _ => "the system refused",
    }
}

fn xml_message(e: &roxmltree::Error) -> String {
    match e {
        roxmltree::Error::EntityReferenceLoop(_) => {
            "entities refer to each other without end, or too often".into()
        }
        roxmltree::Error::NodesLimitReached => format!("the file has over {MOST_NODES} nodes"),
        other => {
            let text = other.to_string();
            // The place is said by the span already.
            let end = text.rfind(" at ").unwrap_or(text.len());
            format!("not well-formed XML: {}", &text[..end])
        }
    }
}

/// The byte at a 1-based row and column of characters.
fn offset_of(text: &str, row: u32, col: u32) -> usize {
    let mut start = 0;
    for (i, line) in text.split_inclusive('\n').enumerate() {
        if i + 1 == row as usize {
            let within = line
                .char_indices()
                .nth(col.saturating_sub(1) as usize)
                .map_or(line.len(), |(b, _)| b);
            return (start + within).min(text.len().saturating_sub(1));
        }
        start += line.len();
    }
    text.len().saturating_sub(1)
}

/// Corner and size of the root's viewBox.
pub(crate) fn view_box(root: Node<'_, '_>) -> Option<[f64; 4]> {
    let numbers = root.attribute("viewBox")?;
    let numbers = numbers.split([' ', ',', '\t', '\n', '\r']);
    let numbers: Vec<f64> = numbers.filter_map(|n| n.parse().ok()).collect();
    let [x, y, w, h] = numbers[..] else {
        return None;
    };
    (w > 0.0 && h > 0.0).then_some([x, y, w, h])
}

/// From the pixels that usvg resolves to, back to the user units that the rigger draws in.
fn to_user_units(root: Node<'_, '_>, tree: &Tree) -> Affine {
    let Some([x, y, w, h]) = view_box(root) else {
        return Affine::IDENTITY;
    };
    let (width, height) = (
        f64::from(tree.size().width()),
        f64::from(tree.size().height()),
    );
    let (sx, sy) = (width / w, height / h);
    let aspect = root
        .attribute("preserveAspectRatio")
        .unwrap_or("xMidYMid meet");
    let mut words = aspect.split_whitespace();
    let align = words.next().unwrap_or("xMidYMid");
    let s = if words.next() == Some("slice") {
        sx.max(sy)
    } else {
        sx.min(sy)
    };
    let place = |min: bool, max: bool, room: f64| {
        if min {
            0.0
        } else if max {
            room
        } else {
            room / 2.0
        }
    };
    let to_pixels = if align == "none" {
        Affine {
            a: sx,
            b: 0.0,
            c: 0.0,
            d: sy,
            e: -x * sx,
            f: -y * sy,
        }
    } else {
        let e = place(
            align.contains("xMin"),
            align.contains("xMax"),
            width - w * s,
        );
        let f = place(
            align.contains("YMin"),
            align.contains("YMax"),
            height - h * s,
        );
        Affine {
            a: s,
            b: 0.0,
            c: 0.0,
            d: s,
            e: e - x * s,
            f: f - y * s,
        }
    };
    to_pixels.inverse().unwrap_or(Affine::IDENTITY)
}
