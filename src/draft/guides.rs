//! What sheets need besides: crown, ground, landmarks, crops, charts, from parts of those names.

use super::view::View;
use crate::geom::joined;

/// What is said of a figure as a whole.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Measures {
    /// y of the floor.
    pub ground: Option<f64>,
    /// y of the top of the head.
    pub crown: Option<f64>,
    /// Height in heads.
    pub heads: Option<f64>,
}

/// A height: its name, and the part's name and where on it.
pub type Landmark = (&'static str, String, &'static str);

/// Of all views together: the first that has a head.
#[must_use]
pub fn measures(views: &[View]) -> Measures {
    let stands = ["foot", "paw", "boot", "pincer", "wheel", "track", "base"];
    for view in views {
        let of = |names: &[&str]| {
            let parts = view.parts.iter().filter(|p| names.iter().any(|n| p.is(n)));
            parts.map(|p| p.shown.bounds).reduce(joined)
        };
        let head = of(&["head"]);
        let ground = stands.iter().find_map(|s| of(&[s])).map(|b| b[3]);
        let all = view.parts.iter().map(|p| p.shown.bounds).reduce(joined);
        let ground = ground.or(all.map(|b| b[3]));
        if let (Some(head), Some(ground)) = (head, ground) {
            let crown = of(&["head", "hat"]).map_or(head[1], |b| b[1]);
            let heads = (ground - crown) / (head[3] - crown);
            return Measures {
                ground: Some(ground),
                crown: Some(crown),
                heads: (heads > 1.0 && heads < 20.0).then_some((heads * 10.0).round() / 10.0),
            };
        }
    }
    let ground = views
        .iter()
        .flat_map(|v| &v.parts)
        .map(|p| p.shown.bounds[3]);
    Measures {
        ground: ground.reduce(f64::max),
        ..Measures::default()
    }
}

/// Heights of one view.
#[must_use]
pub fn landmarks(view: &View) -> Vec<Landmark> {
    let wanted = [
        ("crown", &["hat", "head"][..], "top"),
        ("eyes", &["eye", "lens"][..], "middle"),
        ("chin", &["head"][..], "bottom"),
        ("shoulders", &["upper arm", "arm"][..], "pivot"),
        ("hips", &["thigh", "leg"][..], "pivot"),
        ("knees", &["shin"][..], "pivot"),
    ];
    let find = |sorts: &[&str]| {
        sorts
            .iter()
            .find_map(|s| view.parts.iter().find(|p| p.is(s)))
    };
    wanted
        .iter()
        .filter_map(|(name, sorts, at)| Some((*name, find(sorts)?.name.clone(), *at)))
        .collect()
}

/// Parts that are shown on their own: heads, and what has replacements on what it lies on.
#[must_use]
pub fn crops(view: &View) -> Vec<(String, String)> {
    let mut found = Vec::new();
    if let Some(head) = view.parts.iter().find(|p| p.is("head")) {
        found.push(("head".to_owned(), head.name.clone()));
    }
    for part in view
        .parts
        .iter()
        .filter(|p| p.is("hand") && !p.replacements.is_empty())
    {
        found.push((part.name.clone(), part.name.clone()));
    }
    found
}

/// Charts: the name, the part, the crop.
#[must_use]
pub fn charts(view: &View) -> Vec<(String, String, Option<String>)> {
    let crops = crops(view);
    let worn = |k: usize| view.garments.iter().any(|g| g.part == k);
    let with = view
        .parts
        .iter()
        .enumerate()
        .filter(|(k, p)| !p.replacements.is_empty() && !worn(*k));
    with.map(|(k, part)| {
        let up = |k: &usize| view.parts[*k].parent.as_ref().map(|p| p.value);
        let mut above = std::iter::successors(Some(k), up);
        let crop = above.find_map(|k| {
            let name = &view.parts[k].name;
            crops
                .iter()
                .find(|(_, part)| part == name)
                .map(|(crop, _)| crop.clone())
        });
        (part.name.clone(), part.name.clone(), crop)
    })
    .collect()
}
