//! One picture with what it was made from: then or now.

use std::collections::BTreeMap;

use super::{ApprovedPose, RigRecord};
use crate::cast::swatch_of;
use crate::geom::{Affine, Point};

/// One picture with what it was made from.
#[derive(Clone, Copy, Debug)]
pub struct Shot<'a> {
    /// The rig.
    pub rig: &'a RigRecord,
    /// The pose and where its parts went.
    pub pose: &'a ApprovedPose,
    /// Owners by pixel, 0 for none, else one more than the place in [`RigRecord::parts`].
    pub owners: &'a [u16],
}

impl<'a> Shot<'a> {
    /// The part that owns a pixel.
    #[must_use]
    pub fn owner(&self, at: usize) -> Option<&'a str> {
        let number = usize::from(*self.owners.get(at)?);
        let (name, _) = self.rig.parts.get_index(number.checked_sub(1)?)?;
        Some(name)
    }

    /// How many pixels a part owns.
    #[must_use]
    pub fn pixels(&self, part: &str) -> u64 {
        self.pose.parts.get(part).map_or(0, |p| p.pixels)
    }

    /// The box of what a part owns.
    #[must_use]
    pub fn area(&self, part: &str) -> Option<[u32; 4]> {
        self.pose.parts.get(part)?.area
    }

    /// Where a part is carried, from the frame of what carries it.
    #[must_use]
    pub fn set(&self, part: &str) -> Affine {
        let set = self.pose.parts.get(part).and_then(|p| p.set);
        set.map_or(Affine::IDENTITY, |[a, b, c, d, e, f]| Affine {
            a,
            b,
            c,
            d,
            e,
            f,
        })
    }

    /// Where a part has gone: from the rest canvas to the posed one.
    #[must_use]
    pub fn world(&self, part: &str) -> Affine {
        let sets = self.rig.upwards(part).map(|part| self.set(part));
        sets.reduce(|world, set| set.after(world))
            .unwrap_or(Affine::IDENTITY)
    }

    /// Where a part's art has gone: the same, with the place of the art.
    #[must_use]
    pub fn art_world(&self, part: &str) -> Affine {
        let place = self.rig.parts.get(part).and_then(|p| p.place);
        let place = place.map_or(Affine::IDENTITY, |p| {
            let setting = crate::cast::Setting {
                turn: p.turn,
                shift: p.shift,
                scale: p.scale,
                skew: p.skew,
                ..crate::cast::Setting::REST
            };
            setting.in_place()
        });
        self.world(part).after(place)
    }

    /// The drawing that a part shows, `file#id`.
    #[must_use]
    pub fn drawing(&self, part: &str) -> Option<&'a str> {
        let of_rig = self.rig.parts.get(part)?;
        let replaced = self.pose.pose.get(&format!("replace.{part}"));
        match replaced.and_then(serde_json::Value::as_str) {
            None | Some("art") => of_rig.art.as_deref(),
            Some("none") => None,
            Some(other) => match of_rig.replacements.get(other) {
                Some(drawing) => drawing.as_deref(),
                None => of_rig.art.as_deref(),
            },
        }
    }

    /// The palette's name; empty where the rig has none.
    #[must_use]
    pub fn palette(&self) -> &'a str {
        let said = self.pose.pose.get("palette");
        said.and_then(serde_json::Value::as_str)
            .or_else(|| self.rig.palettes.keys().next().map(String::as_str))
            .unwrap_or_default()
    }

    /// The colours of a part in this picture, in the order of its shapes, trims last.
    #[must_use]
    pub fn colours(&self, part: &str) -> Vec<String> {
        let none = Vec::new();
        let drawing = self.drawing(part).and_then(|d| self.rig.drawings.get(d));
        let words = drawing.map_or(&none, |d| &d.colours);
        let mut out: Vec<String> = words.iter().map(|w| self.resolved(w)).collect();
        for garment in self.rig.garments.values() {
            if let Some(trim) = &garment.trim
                && garment.on.iter().any(|host| host == part)
                && self.drawing(&garment.part).is_some()
            {
                let palette = self.rig.palettes.get(self.palette());
                let swatch = palette.and_then(|p| p.get(trim));
                out.push(swatch.unwrap_or(trim).clone());
            }
        }
        out
    }

    /// A shape's colours as they are in this picture's palette.
    fn resolved(&self, words: &str) -> String {
        let first = self.rig.palettes.values().next();
        let now = self.rig.palettes.get(self.palette());
        let mut out: Vec<String> = Vec::new();
        for word in words.split(' ') {
            if let Some(id) = word.strip_prefix("swatch-") {
                let named = now.and_then(|p| {
                    let name = swatch_of(id, p.keys().map(String::as_str))?;
                    p.get(name)
                });
                if let (Some(colour), Some(last)) = (named, out.last_mut()) {
                    last.clone_from(colour);
                }
                continue;
            }
            let swatch = first.and_then(|p| p.iter().find(|(_, c)| c.as_str() == word));
            let found = swatch.and_then(|(name, _)| now.and_then(|p| p.get(name)));
            out.push(found.map_or_else(|| word.to_owned(), Clone::clone));
        }
        out.join(" ")
    }

    /// The part and all that it carries.
    #[must_use]
    pub fn carried(&self, part: &str) -> Vec<&'a str> {
        let all = self.rig.parts.keys().map(String::as_str);
        all.filter(|&name| self.rig.upwards(name).any(|at| at == part))
            .collect()
    }

    /// For each part that shows, how far in front it is.
    #[must_use]
    pub fn ranks(&self) -> BTreeMap<&'a str, usize> {
        let mut ranks = BTreeMap::new();
        for (rank, &number) in self.pose.order.iter().enumerate() {
            if let Some((name, _)) = self.rig.parts.get_index(number as usize) {
                // A garment is drawn once for each host; its last place counts.
                ranks.insert(name.as_str(), rank);
            }
        }
        ranks
    }
}

/// True when two transforms send everything near the canvas to the same places.
#[must_use]
pub fn alike(a: &Affine, b: &Affine) -> bool {
    let near = |a: f64, b: f64, by: f64| (a - b).abs() <= by;
    near(a.a, b.a, 1e-7)
        && near(a.b, b.b, 1e-7)
        && near(a.c, b.c, 1e-7)
        && near(a.d, b.d, 1e-7)
        && near(a.e, b.e, 1e-4)
        && near(a.f, b.f, 1e-4)
}

/// How far apart two points are.
pub(super) fn distance(a: Point, b: Point) -> f64 {
    libm::hypot(a[0] - b[0], a[1] - b[1])
}

/// A number for people: at most one digit after the point, two below 1.
pub(super) fn number(v: f64) -> String {
    let text = if v.abs() < 1.0 {
        format!("{v:.2}")
    } else {
        format!("{v:.1}")
    };
    let text = if text.contains('.') {
        text.trim_end_matches('0').trim_end_matches('.')
    } else {
        &text
    };
    if text == "-0" || text.is_empty() {
        "0".to_owned()
    } else {
        text.replace('-', "\u{2212}")
    }
}
