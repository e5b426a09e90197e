//! The colours of the art as swatches, with names.

use std::collections::BTreeMap;

use super::place::colour_name;
use super::view::View;
use super::words::{is_empty, split};
use crate::art::{Rgb, Role, difference};

/// Colours nearer than this are probably meant to be one.
const NEAR: f64 = 2.5;
/// The line's colour makes so much of all ink.
const LINE: f64 = 0.5;

/// A named colour.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Swatch {
    /// As the rig calls it.
    pub name: String,
    /// As drawn.
    pub rgb: Rgb,
}

/// Names of colours that a drawing's style sheets give: a class that says one fill.
#[must_use]
pub fn of_classes(text: &str) -> BTreeMap<Rgb, String> {
    let mut found = BTreeMap::new();
    let mut rest = text;
    while let Some(at) = rest.find("<style") {
        rest = &rest[at..];
        let end = rest.find("</style").unwrap_or(rest.len());
        for rule in rest[..end].split('}') {
            let Some((who, what)) = rule.rsplit_once('{') else {
                continue;
            };
            let class = who.rsplit('.').next().unwrap_or_default().trim();
            let generic = split(class)
                .first()
                .is_none_or(|w| matches!(w.as_str(), "st" | "cls" | "fil" | "str" | "s"));
            if generic
                || is_empty(class)
                || class.contains(char::is_whitespace)
                || !who.contains('.')
            {
                continue;
            }
            let fill = what
                .split(';')
                .filter_map(|d| d.split_once(':'))
                .find(|(k, _)| k.trim() == "fill");
            let rgb = fill.and_then(|(_, v)| v.trim().parse::<svgtypes::Color>().ok());
            if let Some(c) = rgb {
                found
                    .entry(Rgb([c.red, c.green, c.blue]))
                    .or_insert_with(|| split(class).join("_"));
            }
        }
        rest = &rest[end..];
    }
    found
}

/// The colours of all views, those that cover most first, and pairs that are hard to tell apart.
#[must_use]
pub fn swatches(views: &[View], named: &BTreeMap<Rgb, String>) -> (Vec<Swatch>, Vec<[Swatch; 2]>) {
    let mut area: BTreeMap<Rgb, f64> = BTreeMap::new();
    let mut ink: BTreeMap<Rgb, f64> = BTreeMap::new();
    for shown in views.iter().flat_map(|v| &v.parts).map(|p| &p.shown) {
        for (shape, region) in shown.art.shapes.iter().zip(&shown.shapes) {
            if matches!(shape.outline, crate::art::Outline::Raster(_)) {
                continue;
            }
            for rgb in shape.source.colours().into_iter().map(|c| c.rgb) {
                *area.entry(rgb).or_default() += region.area();
                if shape.role == Role::Ink {
                    *ink.entry(rgb).or_default() += region.area();
                }
            }
        }
    }
    let all: f64 = ink.values().sum();
    let line = ink
        .iter()
        .find(|(_, own)| **own > LINE * all)
        .map(|(rgb, _)| *rgb);
    let mut order: Vec<(Rgb, f64)> = area.into_iter().collect();
    order.sort_by(|a, b| b.1.total_cmp(&a.1).then(a.0.cmp(&b.0)));
    let mut found: Vec<Swatch> = Vec::new();
    for (rgb, _) in order {
        let plain = match named.get(&rgb) {
            Some(name) => name.clone(),
            None if line == Some(rgb) => "line".to_owned(),
            None => colour_name(rgb),
        };
        let mut name = plain.clone();
        let mut nth = 2;
        while found.iter().any(|s| s.name == name) {
            name = format!("{plain}_{nth}");
            nth += 1;
        }
        found.push(Swatch { name, rgb });
    }
    let mut near = Vec::new();
    for (k, a) in found.iter().enumerate() {
        for b in &found[k + 1..] {
            if difference(a.rgb, b.rgb) < NEAR {
                near.push([a.clone(), b.clone()]);
            }
        }
    }
    (found, near)
}
