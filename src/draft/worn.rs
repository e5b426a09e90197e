//! What is worn, what is seen only inside something else, and which outlines run into each other.

use super::part::{Decided, Part, Sure};
use super::trade::{Sort, about};
use super::view::{Garment, Mask, Seam, View};
use crate::art::{Rgb, Role, difference};
use crate::check::{Hidden, Joint};
use crate::geom::{Point, Region};

/// A host besides the first holds so much of a garment.
const HOST: f64 = 0.12;
/// What sticks out of its hosts by less, as a share of it, shows no difference.
const OUTSIDE: f64 = 0.03;
/// What sticks out by less is a guess, for its edge is drawn.
const A_LITTLE: f64 = 0.15;
/// What lies outside by more is not inside at all.
const AWAY: f64 = 0.97;
/// Cloth that is cut by its hosts has so much of the edge outside them without a line.
const BARE: f64 = 0.12;
/// A clip path and a part that cover each other so far are one.
const SAME: f64 = 0.75;
/// Paints nearer than this look the same.
const ALIKE: f64 = 3.0;
/// Below this a colour is no more than a detail, share of the paint at a joint.
const DETAIL: f64 = 0.12;
/// Lines across a joint are so long, as a share of the limb's width.
const ACROSS: f64 = 0.4;
/// The sides of a rod are straight and parallel to this, radians,
const BENT: f64 = 0.02;
/// and so long, as a share of its width,
const LONG: f64 = 0.45;
/// and would go on so far, as a share of their length.
const BEYOND: f64 = 0.15;

/// Which share of a part's edge outside a region has no line.
fn bare_outside(part: &Part, hosts: &Region) -> f64 {
    let ink = part.shown.art.shapes.iter().zip(&part.shown.shapes);
    let ink = Region::union_all(ink.filter(|(s, _)| s.role == Role::Ink).map(|(_, r)| r));
    let (mut all, mut bare) = (0.0, 0.0);
    for (a, b) in part.shown.paint.edges() {
        let middle = [f64::midpoint(a[0], b[0]), f64::midpoint(a[1], b[1])];
        if hosts.contains(middle) {
            continue;
        }
        let length = libm::hypot(b[0] - a[0], b[1] - a[1]);
        all += length;
        if !ink.contains(middle) {
            bare += length;
        }
    }
    if all > 0.0 { bare / all } else { 1.0 }
}

/// Whether a part can be seen only inside others and the drawing still looks as it does, or is drawn so that it must.
fn fits_inside(part: &Part, hosts: &Region) -> Option<Sure> {
    let outside = part.shown.silhouette.difference(hosts).area() / part.shown.area;
    if outside < OUTSIDE {
        Some(Sure::Certain)
    } else if outside < AWAY && bare_outside(part, hosts) > BARE {
        Some(Sure::Likely)
    } else if outside < A_LITTLE {
        Some(Sure::Guess)
    } else {
        None
    }
}

/// Finds garments and their hosts.
pub fn garments(view: &View) -> Vec<Garment> {
    let parts = &view.parts;
    let mut found: Vec<Garment> = Vec::new();
    let sort = |k: usize| parts[k].trade.map(|t| t.sort);
    let worn = |k: usize| {
        let of_garment = parts.iter().any(|p| {
            p.trade.is_some_and(|t| t.sort == Sort::Garment)
                && parts[k].words.beyond(&p.words).is_some()
        });
        sort(k) == Some(Sort::Garment) || of_garment && sort(k) == Some(Sort::Feature)
    };
    let host = |k: usize| {
        !worn(k) && matches!(sort(k), None | Some(Sort::Limb)) && about(&parts[k].words).is_none()
    };
    for k in 0..parts.len() {
        let Some(on) = parts[k].parent.as_ref().map(|p| p.value) else {
            continue;
        };
        if !worn(k) || !host(on) {
            continue;
        }
        let named = parts[k]
            .trade
            .is_some_and(|t| t.name.contains("sleeve") || t.name == "boot shaft");
        let mut hosts = vec![on];
        loop {
            let near = |j: usize| {
                let up = |k: usize| parts[k].parent.as_ref().map(|p| p.value);
                hosts.iter().any(|&h| up(j) == Some(h) || up(h) == Some(j))
            };
            let next = (0..parts.len()).find(|&j| {
                let share = view.overlaps.area(k, j) / parts[k].shown.area;
                !named
                    && j != k
                    && j < k
                    && host(j)
                    && !hosts.contains(&j)
                    && near(j)
                    && share > HOST
            });
            match next {
                Some(j) => hosts.push(j),
                None => break,
            }
        }
        let all = Region::union_all(hosts.iter().map(|&h| &parts[h].shown.silhouette));
        let Some(sure) = fits_inside(&parts[k], &all) else {
            continue;
        };
        let on: Vec<&str> = hosts.iter().map(|&h| parts[h].name.as_str()).collect();
        let beyond = match sure {
            Sure::Certain => "it lies within",
            Sure::Likely => "it has no line at its edge beyond",
            Sure::Guess => "little of it is beyond",
        };
        let why = format!("by its name it is worn, and {beyond} {}", on.join(" and "));
        found.push(Garment {
            part: k,
            on: hosts,
            trim: parts[k]
                .shown
                .colours(Role::Ink, None)
                .first()
                .map(|(rgb, _)| *rgb),
            why: Decided::new((), sure, why),
        });
    }
    // Cloth without lines takes the colour of other cloth on the same limb.
    let known: Vec<(Vec<usize>, Option<Rgb>)> =
        found.iter().map(|g| (g.on.clone(), g.trim)).collect();
    for garment in found.iter_mut().filter(|g| g.trim.is_none()) {
        let limb = |h: usize| {
            let up = |k: &usize| parts[*k].parent.as_ref().map(|p| p.value);
            std::iter::successors(Some(h), up)
                .take(2)
                .collect::<Vec<_>>()
        };
        let own = limb(garment.on[0]);
        let near = known.iter().find(|(on, trim)| {
            trim.is_some()
                && on
                    .iter()
                    .any(|h| own.contains(h) || limb(*h).contains(&garment.on[0]))
        });
        garment.trim = near.and_then(|(_, trim)| *trim);
    }
    found
}

/// Finds what is seen only inside another part, or only outside.
pub fn masks(view: &View) -> Vec<Mask> {
    let all = (0..view.parts.len()).filter_map(|k| {
        clipped(view, k)
            .or_else(|| inside(view, k))
            .or_else(|| slides(view, k))
    });
    all.collect()
}

/// What the artist clipped to the shape of another part, or away from it.
fn clipped(view: &View, k: usize) -> Option<Mask> {
    let parts = &view.parts;
    let own = &parts[k].shown.silhouette;
    let clip = parts[k].clip.as_ref()?;
    let alike = |a: &Region, b: &Region| {
        let common = a.intersection(b).area();
        common / (a.area() + b.area() - common).max(f64::MIN_POSITIVE)
    };
    let gone = own.difference(clip);
    let others = || (0..parts.len()).filter(|&j| j != k);
    let shape = |j: &usize| {
        let shown = &parts[*j].shown;
        alike(&shown.silhouette, clip).max(alike(&shown.paint, clip)) > SAME
    };
    let around = |j: &usize| {
        view.overlaps.area(k, *j) > 0.0
            && alike(&gone, &own.intersection(&parts[*j].shown.silhouette)) > SAME
    };
    let (of, inside) = match others().find(shape) {
        Some(of) => (of, true),
        None => (others().find(around)?, false),
    };
    let how = if inside { "to" } else { "away from" };
    let why = format!(
        "the artist clipped it {how} the shape of {}",
        parts[of].name
    );
    Some(Mask {
        part: k,
        of: vec![of],
        inside,
        why: Decided::new((), Sure::Certain, why),
    })
}

/// What by its name is seen inside an eye or a mouth.
fn inside(view: &View, k: usize) -> Option<Mask> {
    let parts = &view.parts;
    let trade = parts[k].trade.filter(|t| t.sort == Sort::Inside)?;
    let up = |k: &usize| parts[*k].parent.as_ref().map(|p| p.value);
    let mut above = std::iter::successors(up(&k), up);
    let of = above.find(|&j| ["eye", "lens", "mouth"].iter().any(|t| parts[j].is(t)))?;
    if parts[of].shown.paint.is_empty() {
        return None;
    }
    let sure = fits_inside(&parts[k], &parts[of].shown.silhouette)?;
    let why = format!("a {} is seen inside {}", trade.name, parts[of].name);
    Some(Mask {
        part: k,
        of: vec![of],
        inside: true,
        why: Decided::new((), sure, why),
    })
}

/// A rod that goes into what lies in front of it: its straight sides run in there. No joint of a body does.
fn slides(view: &View, k: usize) -> Option<Mask> {
    let parts = &view.parts;
    let limb = |p: &Part| {
        p.trade
            .is_none_or(|t| t.sort == Sort::Limb && t.joint.is_none())
    };
    let on = parts[k].parent.as_ref()?.value;
    let tied = |j: usize| {
        let worn = view.garments.iter().any(|g| g.part == j || g.part == k);
        let joins = |s: &Seam| [s.parent, s.child] == [j, k] || [s.parent, s.child] == [k, j];
        worn || view.seams.iter().any(joins)
    };
    // A rod is solid. A layer that nobody named may be anything.
    let solid = parts[k].shown.silhouette.contours().len() == 1 && !parts[k].label.is_empty();
    if !limb(&parts[k]) || about(&parts[k].words).is_some() || parts[k].rigid || !solid {
        return None;
    }
    let of: Vec<usize> = (k + 1..parts.len())
        .filter(|&j| {
            let beside = parts[j].parent.as_ref().is_some_and(|p| p.value == on);
            let lies = parts[j].trade.is_some_and(|t| t.sort == Sort::Feature);
            (j == on || beside || lies)
                && !tied(j)
                && about(&parts[j].words).is_none()
                && view.overlaps.area(k, j) > 0.0
                && runs_into(&parts[k].shown.silhouette, &parts[j].shown.silhouette)
        })
        .collect();
    if of.is_empty() {
        return None;
    }
    let names: Vec<&str> = of.iter().map(|&j| parts[j].name.as_str()).collect();
    let why = format!(
        "its straight sides run into {}, in front of it",
        names.join(" and ")
    );
    Some(Mask {
        part: k,
        of,
        inside: false,
        why: Decided::new((), Sure::Likely, why),
    })
}

/// The straight runs of a region's border.
fn straight(region: &Region) -> Vec<[Point; 2]> {
    let along = |[a, b]: [Point; 2], [c, d]: [Point; 2]| {
        let (u, v) = ([b[0] - a[0], b[1] - a[1]], [d[0] - c[0], d[1] - c[1]]);
        let (cross, dot) = (u[0] * v[1] - u[1] * v[0], u[0] * v[0] + u[1] * v[1]);
        dot > 0.0 && cross.abs() < BENT * dot
    };
    let mut found: Vec<[Point; 2]> = Vec::new();
    for contour in region.contours() {
        let mut own: Vec<[Point; 2]> = Vec::new();
        for (k, &a) in contour.iter().enumerate() {
            let edge = [a, contour[(k + 1) % contour.len()]];
            match own.last_mut() {
                Some(last) if along(*last, edge) => last[1] = edge[1],
                _ => own.push(edge),
            }
        }
        // A run may go over the place where the contour begins.
        if let [first, .., last] = own[..]
            && along(last, first)
        {
            own[0][0] = last[0];
            own.pop();
        }
        found.extend(own);
    }
    found
}

/// Whether two straight and parallel sides of a region, one along each flank, cross the border of another.
fn runs_into(rod: &Region, sheath: &Region) -> bool {
    let length = |[a, b]: [Point; 2]| libm::hypot(b[0] - a[0], b[1] - a[1]);
    // A side may end a little inside: it is bent there, or its line is.
    let crosses = |[a, b]: &[Point; 2]| {
        let on = |t: f64| [a[0] + (b[0] - a[0]) * t, a[1] + (b[1] - a[1]) * t];
        sheath.contains(on(-BEYOND)) != sheath.contains(on(1.0 + BEYOND))
    };
    let sides: Vec<[Point; 2]> = straight(rod).into_iter().filter(crosses).collect();
    sides.iter().enumerate().any(|(k, &[a, b])| {
        let own = length([a, b]);
        sides[k + 1..].iter().any(|&[c, d]| {
            let (u, v) = ([b[0] - a[0], b[1] - a[1]], [d[0] - c[0], d[1] - c[1]]);
            let other = length([c, d]);
            let parallel = (u[0] * v[1] - u[1] * v[0]).abs() < BENT * own * other;
            let against = u[0] * v[0] + u[1] * v[1] < 0.0;
            let apart = (u[0] * (c[1] - a[1]) - u[1] * (c[0] - a[0])).abs() / own;
            parallel && against && own.min(other) > LONG * apart
        })
    })
}

/// The paint of a part within a region with what it wears, colours with areas, largest first.
fn dressed(view: &View, part: usize, within: &Region) -> Vec<(Rgb, f64)> {
    let mut left = within.intersection(&view.parts[part].shown.paint);
    let mut all: Vec<(Rgb, f64)> = Vec::new();
    let worn = view
        .garments
        .iter()
        .filter(|g| g.on.contains(&part))
        .map(|g| g.part);
    let mut layers: Vec<usize> = worn.collect();
    layers.sort_unstable_by(|a, b| b.cmp(a));
    layers.push(part);
    for layer in layers {
        let shown = &view.parts[layer].shown;
        for (rgb, area) in shown.colours(Role::Paint, Some(&left)) {
            match all.iter_mut().find(|(known, _)| *known == rgb) {
                Some((_, sum)) => *sum += area,
                None => all.push((rgb, area)),
            }
        }
        left = left.difference(&shown.silhouette);
    }
    let sum: f64 = all.iter().map(|(_, area)| area).sum();
    all.retain(|(_, area)| *area >= DETAIL * sum);
    all.sort_by(|a, b| b.1.total_cmp(&a.1));
    all
}

/// Finds joins: a part and what carries it, of one colour, with the lines of both across the overlap.
pub fn seams(view: &View) -> Vec<Seam> {
    let parts = &view.parts;
    let mut found = Vec::new();
    for (k, child) in parts.iter().enumerate() {
        let Some(on) = child.parent.as_ref().map(|p| p.value) else {
            continue;
        };
        let parent = &parts[on];
        let limb = |p: &Part| {
            p.trade.is_none_or(|t| t.sort == Sort::Limb) && about(&p.words).is_none() && !p.rigid
        };
        let worn = view.garments.iter().any(|g| g.part == k || g.part == on);
        if !limb(child) || !limb(parent) || worn || view.overlaps.area(k, on) <= 0.0 {
            continue;
        }
        let pivot = child.pivot.value;
        let (p, c) = (&parent.shown, &child.shown);
        let Some(joint) = Joint::new(&p.silhouette, &c.silhouette, pivot, Hidden::BOTH) else {
            continue;
        };
        let near = Region::disc(pivot, joint.width * 0.75, joint.width * 0.01);
        let across = |line: &Region, over: &Region, wide: f64| {
            let ink = line.intersection(over).intersection(&near).area();
            if wide > 0.0 { ink / wide } else { 0.0 }
        };
        let least = joint.width * ACROSS;
        if across(&p.outline, &c.inner, p.line) < least
            || across(&c.outline, &p.inner, c.line) < least
        {
            continue;
        }
        let close = Region::disc(pivot, joint.width * 0.6, joint.width * 0.01);
        let (a, b) = (dressed(view, on, &close), dressed(view, k, &close));
        let pairs = a
            .iter()
            .take(1)
            .flat_map(|x| b.iter().map(move |y| (x.0, y.0)));
        let pairs = pairs.chain(
            b.iter()
                .take(1)
                .flat_map(|y| a.iter().map(move |x| (x.0, y.0))),
        );
        let apart = pairs
            .map(|(x, y)| difference(x, y))
            .fold(f64::INFINITY, f64::min);
        if apart > ALIKE {
            continue;
        }
        let sure = if child.trade.is_some() {
            Sure::Likely
        } else {
            Sure::Guess
        };
        let why = "both are of one colour, and the lines of both run across the overlap";
        found.push(Seam {
            parent: on,
            child: k,
            why: Decided::new((), sure, why),
        });
    }
    found
}
