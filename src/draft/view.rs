//! One figure of a drawing: its pieces loaded, and everything decided about them.

use std::path::Path;
use std::sync::Arc;

use super::layers::{Figure, Mark as PivotMark, Piece};
use super::overlap::Overlaps;
use super::part::{Decided, Drawing, Part, Shown, Sure, Turns};
use super::place::place_name;
use super::variants::{self, Variant};
use super::words::Words;
use super::{pivots, tree, worn};
use crate::art::{Fineness, Library};
use crate::diag::{Problems, Sources, Span};
use crate::geom::{Affine, Point, joined};

/// A view as it is drafted.
#[derive(Clone, Debug)]
pub struct View {
    /// What it is called; `None` for the only one.
    pub name: Option<String>,
    /// The drawing, from the rig's folder.
    pub file: String,
    /// The upper left corner of the drawing's own rectangle, user units.
    pub corner: Point,
    /// In drawing order.
    pub parts: Vec<Part>,
    /// Drawings taken for others of a part.
    pub variants: Vec<Variant>,
    /// Layers that are not used, and why.
    pub passed: Vec<(String, String)>,
    /// Marks that are for no part.
    pub strays: Vec<PivotMark>,
    /// Joins.
    pub seams: Vec<Seam>,
    /// What is seen only inside or outside others.
    pub masks: Vec<Mask>,
    /// What is worn.
    pub garments: Vec<Garment>,
    /// Two parts' common areas.
    pub(super) overlaps: Arc<Overlaps>,
}

/// A join of two parts.
#[derive(Clone, Debug, PartialEq)]
pub struct Seam {
    /// What carries the other.
    pub parent: usize,
    /// What turns.
    pub child: usize,
    /// Why.
    pub why: Decided<()>,
}

/// A part that is seen only inside, or outside, another.
#[derive(Clone, Debug, PartialEq)]
pub struct Mask {
    /// What is masked.
    pub part: usize,
    /// By what.
    pub of: Vec<usize>,
    /// Which side stays.
    pub inside: bool,
    /// Why.
    pub why: Decided<()>,
}

/// A part that is worn.
#[derive(Clone, Debug, PartialEq)]
pub struct Garment {
    /// What is worn.
    pub part: usize,
    /// On what.
    pub on: Vec<usize>,
    /// The colour of its lines.
    pub trim: Option<crate::art::Rgb>,
    /// Why.
    pub why: Decided<()>,
}

/// Where drawings are loaded from.
pub(super) struct Loading<'a> {
    pub sources: &'a mut Sources,
    pub problems: &'a mut Problems,
    pub library: &'a mut Library,
    pub folder: &'a Path,
    pub span: Span,
    pub fine: Fineness,
    /// From the drawing's user units to the canvas.
    pub shift: Affine,
}

impl Loading<'_> {
    fn shown(&mut self, file: &str, elements: &[String]) -> Option<Shown> {
        let path = self.folder.join(file);
        let ids: Vec<&str> = elements.iter().map(String::as_str).collect();
        let mut quiet = Problems::default();
        let id = self.library.load_all(
            self.sources,
            &mut quiet,
            self.folder,
            &path,
            &ids,
            self.span,
        );
        for problem in quiet.list() {
            // A drawing without anything in it is told as a layer that is not used.
            if id.is_some() || !problem.message.contains("draws nothing") {
                self.problems.push(problem.clone());
            }
        }
        let art = self.library.all().get(id?.at())?.clone();
        Shown::new(art, self.fine, &self.shift)
    }
}

/// A layer as people know it.
fn called(piece: &Piece) -> String {
    if piece.label.is_empty() {
        piece.art.first().cloned().unwrap_or_default()
    } else {
        piece.label.clone()
    }
}

/// Loads a figure and decides everything about it. `others` are drawings from files of replacements.
pub(super) fn view(
    figure: &Figure,
    file: &str,
    others: &[(String, Piece)],
    loading: &mut Loading<'_>,
) -> View {
    let mut passed: Vec<(String, String)> = figure
        .passed
        .iter()
        .map(|(label, why)| (label.clone(), (*why).to_owned()))
        .collect();
    let (mut parts, hidden) = pieces(figure, file, loading, &mut passed);
    let mut hidden = hidden;
    for (file, piece) in others {
        if parts.iter().any(|p| p.words == piece.words) {
            continue;
        }
        if let Some(shown) = loading.shown(file, &piece.art) {
            hidden.push(Part::new(piece, file, shown));
        }
    }
    let mut variants = variants::visible(&mut parts);
    let (more, left) = variants::hidden(&mut parts, hidden);
    variants.extend(more);
    passed.extend(
        left.into_iter()
            .filter(|p| p.drawing.file == file)
            .map(|p| {
                let label = if p.label.is_empty() {
                    p.drawing.elements.join(" + ")
                } else {
                    p.label
                };
                (label, "it is hidden, and no part is called so".to_owned())
            }),
    );
    let all = parts
        .iter()
        .map(|p| p.shown.bounds)
        .reduce(joined)
        .unwrap_or_default();
    names(&mut parts, all);
    let size = (all[2] - all[0]).max(all[3] - all[1]);
    let overlaps = Overlaps::new(&parts);
    tree::link(&mut parts, &overlaps, size);
    let marks: Vec<(PivotMark, Point)> = figure
        .marks
        .iter()
        .filter_map(|mark| {
            let shown = loading.shown(file, std::slice::from_ref(&mark.art))?;
            Some((mark.clone(), shown.middle()))
        })
        .collect();
    let strays = pivots::place(&mut parts, &marks);
    let mut view = View {
        name: figure.view.clone(),
        file: file.to_owned(),
        corner: [-loading.shift.e, -loading.shift.f].map(|v| v + 0.0),
        parts,
        variants,
        passed,
        strays,
        seams: Vec::new(),
        masks: Vec::new(),
        garments: Vec::new(),
        overlaps: Arc::new(overlaps),
    };
    view.garments = worn::garments(&view);
    for garment in &view.garments {
        // What is worn turns where its host does.
        let host = view.parts[garment.part].parent.as_ref().map(|p| p.value);
        if let Some(host) = host.filter(|&h| view.parts[h].parent.is_some()) {
            let at = view.parts[host].pivot.value;
            if view.parts[garment.part].pivot.sure < Sure::Certain {
                let why = format!("where {} turns", view.parts[host].name);
                view.parts[garment.part].pivot = Decided::new(at, Sure::Likely, why);
                view.parts[garment.part].turns = Turns::With(host);
            }
        }
    }
    view.seams = worn::seams(&view);
    view.masks = worn::masks(&view);
    let masked: Vec<usize> = view.masks.iter().map(|m| m.part).collect();
    for (k, part) in view.parts.iter_mut().enumerate() {
        part.lost |= part.clipped_around && !masked.contains(&k);
    }
    view
}

/// The figure's pieces as parts, and its hidden ones.
fn pieces(
    figure: &Figure,
    file: &str,
    loading: &mut Loading<'_>,
    passed: &mut Vec<(String, String)>,
) -> (Vec<Part>, Vec<Part>) {
    let (mut parts, mut hidden): (Vec<Part>, Vec<Part>) = (Vec::new(), Vec::new());
    let mut place: Vec<Option<usize>> = vec![None; figure.pieces.len()];
    let mut later: Vec<(usize, Piece, Shown)> = Vec::new();
    for (k, piece) in figure.pieces.iter().enumerate() {
        let split = piece.runs.first().copied();
        let first = Piece {
            art: piece.art[..split.unwrap_or(piece.art.len())].to_vec(),
            ..piece.clone()
        };
        let Some(shown) = loading.shown(file, &first.art) else {
            passed.push((called(piece), "nothing of it is seen".to_owned()));
            continue;
        };
        if let Some(split) = split {
            let over = Piece {
                art: piece.art[split..].to_vec(),
                ..piece.clone()
            };
            if let Some(shown) = loading.shown(file, &over.art) {
                later.push((k, over, shown));
            }
        }
        let mut part = Part::new(&first, file, shown);
        if let Some(at) = &piece.clipped {
            part.clip = clip(at, file, loading);
            part.clipped_around = !first.art.contains(at);
        }
        if piece.hidden {
            hidden.push(part);
        } else {
            part.inside = piece.inside.and_then(|at| place[at]);
            place[k] = Some(parts.len());
            parts.push(part);
        }
    }
    for (k, over, shown) in later {
        let Some(at) = place[k] else { continue };
        // In front of what is drawn in it only where it lies over that.
        let inside: Vec<usize> = (at + 1..parts.len())
            .filter(|&j| is_inside(&parts, j, at))
            .collect();
        let covers = inside
            .iter()
            .any(|&j| parts[j].shown.silhouette.touches(&shown.silhouette));
        if covers {
            let mut part = Part::new(&over, file, shown);
            part.words.all.push("over".to_owned());
            part.words.base.push("over".to_owned());
            part.name = part.words.name();
            part.inside = Some(at);
            part.rigid = true;
            let after = inside.last().map_or(at, |j| *j) + 1;
            for other in &mut parts {
                other.inside = other.inside.map(|i| if i >= after { i + 1 } else { i });
            }
            for known in place.iter_mut().flatten() {
                *known += usize::from(*known >= after);
            }
            parts.insert(after, part);
        } else {
            let mut elements = parts[at].drawing.elements.clone();
            elements.extend(over.art);
            if let Some(shown) = loading.shown(file, &elements) {
                parts[at].drawing = Drawing {
                    file: file.to_owned(),
                    elements,
                };
                parts[at].shown = shown;
            }
        }
    }
    (parts, hidden)
}

fn is_inside(parts: &[Part], part: usize, of: usize) -> bool {
    std::iter::successors(Some(part), |k| parts[*k].inside).any(|k| k == of)
}

/// What an element is clipped to.
fn clip(element: &str, file: &str, loading: &mut Loading<'_>) -> Option<crate::geom::Region> {
    let shown = loading.shown(file, &[element.to_owned()])?;
    let clips = shown.art.shapes.first()?.clips.clone();
    let mut all: Option<crate::geom::Region> = None;
    for clip in clips {
        let paths = clip.paths.iter().map(|(path, rule, to)| {
            let contours =
                crate::geom::flatten(path, &loading.shift.after(*to), loading.fine.tolerance);
            crate::geom::Region::from_contours(&contours, *rule)
        });
        let paths: Vec<_> = paths.collect();
        let region = crate::geom::Region::union_all(&paths);
        all = Some(all.map_or_else(|| region.clone(), |all| all.intersection(&region)));
    }
    all
}

/// Names for what has none, and different ones for what is called the same.
fn names(parts: &mut [Part], figure: [f64; 4]) {
    for k in 0..parts.len() {
        if parts[k].words.all.is_empty() {
            let name = place_name(&parts[k].shown, figure);
            parts[k].words = Words {
                all: vec![name.clone()],
                base: vec![name.clone()],
                ..Words::default()
            };
            parts[k].name = name;
        }
        let own = parts[k].name.clone();
        let mut nth = 2;
        while parts[..k]
            .iter()
            .any(|p| p.name.eq_ignore_ascii_case(&parts[k].name))
        {
            parts[k].name = format!("{own}_{nth}");
            nth += 1;
        }
    }
}
