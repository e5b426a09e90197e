//! Drawings: paint without ink around it, ink and paint mixed up, pieces far off, pivots beside the join.

use super::finding::{Check, LintFinding};
use super::subject::Subject;
use crate::art::{ArtId, Outline, PartArt, Role};
use crate::cast::PartId;
use crate::geom::{Point, Region, bounds_of, flatten};

/// Ink this near to an edge closes it, units.
const NEAR: f64 = 1.0;
/// A drawing is outlined when ink runs along this share of its paint's edge.
const OUTLINED: f64 = 0.75;
/// Paint is this much thicker than the member's lines.
const THICK: f64 = 6.0;
/// Line along this share of an edge is the outline.
const ALONG: f64 = 0.3;
/// Paint over this share of an outline hides it.
const OVER: f64 = 0.4;

pub(super) fn check(subject: &Subject<'_>, found: &mut Vec<LintFinding>) {
    let line = line_width(subject);
    let mut seen = vec![false; subject.library.all().len()];
    for (view, declared) in subject.views() {
        let parts = &declared.parts;
        for (at, part) in parts.iter().enumerate() {
            let id = PartId::of(at);
            let own = std::iter::once(&part.art).chain(part.replacements.values());
            for (nth, drawing) in own.enumerate() {
                let Some(art) = drawing.art() else { continue };
                if nth == 0 {
                    open(subject, view, id, art, found);
                }
                if !std::mem::replace(&mut seen[art.at()], true) {
                    sorting(subject, view, id, art, line, found);
                    stray(subject, view, id, art, found);
                }
            }
        }
        pivots(subject, view, found);
    }
}

/// The middle one of all line widths of a member's ink, units.
fn line_width(subject: &Subject<'_>) -> f64 {
    let mut all: Vec<f64> = subject
        .library
        .all()
        .iter()
        .flat_map(|art| &art.shapes)
        .filter_map(|s| match &s.outline {
            Outline::Stroke { stroke, .. } if s.role == Role::Ink => {
                Some(f64::from(stroke.width) * s.to_canvas.max_scale())
            }
            _ => None,
        })
        .collect();
    all.sort_by(f64::total_cmp);
    all.get(all.len() / 2).copied().unwrap_or(2.0)
}

/// Points along a region's edge and how much of it each stands for.
fn along(region: &Region, step: f64) -> Vec<(Point, f64)> {
    let mut out = Vec::new();
    for (a, b) in region.edges() {
        let length = libm::hypot(b[0] - a[0], b[1] - a[1]);
        let n = libm::ceil(length / step).clamp(1.0, 500.0);
        let mut k = 0.5;
        while k < n {
            let t = k / n;
            out.push((
                [a[0] + (b[0] - a[0]) * t, a[1] + (b[1] - a[1]) * t],
                length / n,
            ));
            k += 1.0;
        }
    }
    out
}

fn drawing<'a>(subject: &'a Subject<'_>, art: ArtId) -> &'a PartArt {
    &subject.library.all()[art.at()]
}

/// Paint that shows beyond its ink.
fn open(subject: &Subject<'_>, view: usize, part: PartId, id: ArtId, found: &mut Vec<LintFinding>) {
    let declared = &subject.member.views[view];
    if subject.garment(view, part).is_some() || declared.masks.iter().any(|m| m.part == part) {
        return;
    }
    let model = &subject.puppets[view].0;
    let detail = model.detail(1.0);
    let regions = detail.art(id);
    let art = drawing(subject, id);
    let place = &model.place[part.at()];
    let ink = Region::union_all(
        art.shapes
            .iter()
            .zip(&regions.shapes)
            .filter(|(s, _)| s.role == Role::Ink)
            .map(|(_, r)| r.as_ref()),
    )
    .transformed(place);
    let paint = regions.paint(art).transformed(place);
    if ink.is_empty() || paint.is_empty() {
        return;
    }
    let edge = along(&paint, 2.0);
    let total: f64 = edge.iter().map(|(_, l)| l).sum();
    let bare: Vec<(Point, f64)> = edge
        .into_iter()
        .filter(|&(p, _)| !ink.contains(p) && ink.distance_to_edge(p) > NEAR)
        .collect();
    let length: f64 = bare.iter().map(|(_, l)| l).sum();
    if length > total * (1.0 - OUTLINED) || length < subject.member.lint.open_paint {
        return;
    }
    // What lies inside another part at rest is a join's affair.
    let others: Vec<Region> = declared
        .ids()
        .filter(|&other| other != part)
        .map(|other| subject.silhouette(view, other))
        .collect();
    let seen: Vec<&(Point, f64)> = bare
        .iter()
        .filter(|(p, _)| !others.iter().any(|o| o.contains(*p)))
        .collect();
    let length: f64 = seen.iter().map(|(_, l)| l).sum();
    if length < subject.member.lint.open_paint {
        return;
    }
    let ([x, y], _) = seen[seen.len() / 2];
    let name = subject.name(view, part);
    found.push(LintFinding::error(
        Check::OpenPaint,
        name,
        subject.marks.element(&art.file, &art.id),
        format!(
            "paint of \"{name}\" shows {length:.0} units of edge without ink, at {x:.0}, {y:.0}"
        ),
        "close the ink over it, or draw the paint back under the ink",
    ));
}

fn sorting(
    subject: &Subject<'_>,
    view: usize,
    part: PartId,
    id: ArtId,
    line: f64,
    found: &mut Vec<LintFinding>,
) {
    let model = &subject.puppets[view].0;
    let detail = model.detail(1.0);
    let regions = detail.art(id);
    let art = drawing(subject, id);
    let name = subject.name(view, part);
    let paint = regions.paint(art);
    let edge = along(paint, 4.0);
    let mut told = |element: &str, message: String, hint: &str| {
        let element = if element.is_empty() { &art.id } else { element };
        let place = subject.marks.element(&art.file, element);
        found.push(LintFinding::error(
            Check::Sorting,
            name,
            place,
            message,
            hint,
        ));
    };
    let share = |region: &Region| {
        let met = edge.iter().filter(|(p, _)| region.contains(*p));
        met.map(|(_, l)| l).sum::<f64>() / edge.iter().map(|(_, l)| l).sum::<f64>().max(1e-9)
    };
    for (nth, (shape, region)) in art.shapes.iter().zip(&regions.shapes).enumerate() {
        let around = region.perimeter();
        let label = if shape.id.is_empty() {
            &art.id
        } else {
            &shape.id
        };
        let thick = if around > 0.0 {
            2.0 * region.area() / around
        } else {
            0.0
        };
        match (&shape.outline, shape.role) {
            (Outline::Fill { .. }, Role::Ink) if thick > THICK * line => told(
                &shape.id,
                format!("\"{label}\" is sorted as ink and is filled like paint"),
                "let its id end in paint",
            ),
            (Outline::Stroke { .. }, Role::Paint) if share(region) > ALONG => told(
                &shape.id,
                format!("\"{label}\" is sorted as paint and runs along the edge like ink"),
                "let its id end in ink",
            ),
            (_, Role::Ink) if share(region) > ALONG && thick < THICK * line => {
                let over = regions.later(art, nth);
                if region.intersection(over).area() > OVER * region.area() {
                    told(
                        &shape.id,
                        format!("paint lies over the ink \"{label}\""),
                        "draw ink after paint",
                    );
                }
            }
            _ => {}
        }
    }
}

fn stray(
    subject: &Subject<'_>,
    view: usize,
    part: PartId,
    id: ArtId,
    found: &mut Vec<LintFinding>,
) {
    let model = &subject.puppets[view].0;
    let detail = model.detail(1.0);
    let regions = detail.art(id);
    let art = drawing(subject, id);
    let name = subject.name(view, part);
    let [w, h] = subject.member.canvas;
    let far = subject.member.lint.stray / 100.0 * libm::hypot(w, h);
    let pieces: Vec<(&str, &Vec<Point>, [f64; 4])> = art
        .shapes
        .iter()
        .zip(&regions.shapes)
        .flat_map(|(s, r)| {
            let all = r.contours().iter();
            all.filter_map(|c| Some((s.id.as_str(), c, bounds_of(c.iter().copied())?)))
        })
        .collect();
    // The largest piece and all that is near to what is near to it.
    let area = |b: &[f64; 4]| (b[2] - b[0]) * (b[3] - b[1]);
    let mut largest = 0;
    for (k, piece) in pieces.iter().enumerate() {
        if area(&piece.2) > area(&pieces[largest].2) {
            largest = k;
        }
    }
    let mut near = vec![false; pieces.len()];
    let mut wait = vec![largest];
    while let Some(at) = wait.pop() {
        if at >= pieces.len() || std::mem::replace(&mut near[at], true) {
            continue;
        }
        let close = |k: &usize| !near[*k] && apart(&pieces[at].2, &pieces[*k].2) < far;
        wait.extend((0..pieces.len()).filter(close));
    }
    let mut told = |element: &str, [x, y]: Point, what: &str| {
        let element = if element.is_empty() { &art.id } else { element };
        found.push(LintFinding::error(
            Check::Stray,
            name,
            subject.marks.element(&art.file, element),
            format!("{what} of \"{name}\" lies far off the rest, at {x:.0}, {y:.0}"),
            "delete it, or draw it nearer",
        ));
    };
    for ((element, contour, _), near) in pieces.iter().zip(near) {
        if !near {
            told(element, contour[0], "a piece");
            return;
        }
    }
    // On the lines as they are drawn: a spike without area is no part of any region.
    for shape in &art.shapes {
        // A line may turn round at its ends; a fill joins them.
        let (path, ends) = match &shape.outline {
            Outline::Fill { path, .. } => (path, true),
            Outline::Stroke { path, .. } => (path, false),
            Outline::Raster(_) => continue,
        };
        for contour in flatten(path, &shape.to_canvas, 0.5) {
            if let Some(p) = spike(&contour, ends, far) {
                told(&shape.id, p, "a point");
                return;
            }
        }
    }
}

/// A point far from both its neighbours, which lie the same way; the first and the last too where they
/// are joined. Contours have three points at least.
fn spike(contour: &[Point], ends: bool, far: f64) -> Option<Point> {
    let n = contour.len();
    let mut inner = if ends { 0..n } else { 1..n - 1 };
    inner.find_map(|k| {
        let (a, p, b) = (contour[(k + n - 1) % n], contour[k], contour[(k + 1) % n]);
        let (u, v) = ([a[0] - p[0], a[1] - p[1]], [b[0] - p[0], b[1] - p[1]]);
        let (lu, lv) = (libm::hypot(u[0], u[1]), libm::hypot(v[0], v[1]));
        let same_way = u[0] * v[0] + u[1] * v[1] > 0.94 * lu * lv;
        (lu > far && lv > far && same_way).then_some(p)
    })
}

fn apart(a: &[f64; 4], b: &[f64; 4]) -> f64 {
    let x = (a[0] - b[2]).max(b[0] - a[2]).max(0.0);
    let y = (a[1] - b[3]).max(b[1] - a[3]).max(0.0);
    libm::hypot(x, y)
}

fn pivots(subject: &Subject<'_>, view: usize, found: &mut Vec<LintFinding>) {
    let declared = &subject.member.views[view];
    for seam in &declared.seams {
        let part = &declared.parts[seam.child.at()];
        let silhouettes = [seam.parent, seam.child].map(|p| subject.silhouette(view, p));
        let [a, b] = &silhouettes;
        if a.is_empty() || b.is_empty() {
            continue;
        }
        let overlap = a.intersection(b);
        let off = overlap.distance(part.pivot);
        if off > subject.member.lint.pivot_off {
            let name = subject.name(view, seam.child);
            let message = if overlap.is_empty() {
                format!("the parts of seam \"{}\" do not overlap", seam.name)
            } else {
                format!(
                    "the pivot of \"{name}\" is {off:.1} units outside its overlap with \"{}\"",
                    subject.name(view, seam.parent)
                )
            };
            found.push(LintFinding::error(
                Check::PivotOff,
                name,
                part.span,
                message,
                "move it into the overlap; `layfig fit` finds where it holds best",
            ));
        }
    }
}
