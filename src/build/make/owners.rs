//! The part map: which part owns which pixel, for eyes and for programs.

use serde_json::{Value, json};
use tiny_skia::{Pixmap, PixmapMut};

use crate::art::Rgb;
use crate::draw::OwnerMap;
use crate::geom::join_to;
use crate::text::{self, Style};
use palette::{IntoColor as _, Oklch, Srgb};

const PAPER: Rgb = Rgb([0xf4, 0xf2, 0xed]);
const WORDS: Rgb = Rgb([0x20, 0x24, 0x2d]);
const QUIET: Rgb = Rgb([0x6a, 0x6d, 0x74]);

/// One part in a part map.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Owner {
    /// The part.
    pub name: String,
    /// Its flat colour in the map, unlike any other's.
    pub colour: Rgb,
    /// How many pixels it owns.
    pub pixels: u64,
    /// Left, top, right, bottom of those, pixels; one past the last on the right and below.
    pub area: Option<[u32; 4]>,
}

/// What each part owns of a picture.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PartMap {
    /// All parts of the view, in declaration order.
    pub owners: Vec<Owner>,
}

impl PartMap {
    /// Counts and boxes of a map whose parts have these names.
    #[must_use]
    pub fn new(map: &OwnerMap, names: &[&str]) -> Self {
        let colours = colours(names.len());
        let mut owners: Vec<Owner> = names
            .iter()
            .zip(colours)
            .map(|(name, colour)| Owner {
                name: (*name).to_owned(),
                colour,
                pixels: 0,
                area: None,
            })
            .collect();
        let width = map.width.max(1) as usize;
        for (y, row) in (0_u32..).zip(map.owners.chunks_exact(width)) {
            for (x, &number) in (0_u32..).zip(row) {
                let Some(owner) = usize::from(number)
                    .checked_sub(1)
                    .and_then(|at| owners.get_mut(at))
                else {
                    continue;
                };
                owner.pixels += 1;
                join_to(&mut owner.area, [x, y, x + 1, y + 1]);
            }
        }
        Self { owners }
    }

    /// As JSON: the name of the pose, the size of the map and its parts.
    #[must_use]
    pub fn json(&self, name: &str, map: &OwnerMap) -> String {
        let parts: Vec<Value> = self
            .owners
            .iter()
            .map(|o| {
                let [r, g, b] = o.colour.0;
                json!({
                    "name": o.name,
                    "colour": format!("#{r:02x}{g:02x}{b:02x}"),
                    "pixels": o.pixels,
                    "box": o.area,
                })
            })
            .collect();
        let all = json!({ "pose": name, "width": map.width, "height": map.height, "parts": parts });
        let mut text = format!("{all:#}");
        text.push('\n');
        text
    }

    /// The map in flat colours, its pixels where they are in the pose's own picture, with a legend
    /// on its right.
    #[must_use]
    pub fn picture(&self, map: &OwnerMap) -> Pixmap {
        let legend = Legend::new(self, map.height);
        let height = map.height.max(legend.height);
        let width = map.width.saturating_add(legend.width);
        let Some(mut pixels) = Pixmap::new(width.max(1), height.max(1)) else {
            // Only a map at the very limit has no room for its legend.
            let mut bare =
                Pixmap::new(map.width.max(1), map.height.max(1)).expect("the map is a picture");
            self.fill(&mut bare, map);
            return bare;
        };
        self.fill(&mut pixels, map);
        legend.set(&mut pixels.as_mut(), map.width);
        pixels
    }

    fn fill(&self, pixels: &mut Pixmap, map: &OwnerMap) {
        let [r, g, b] = PAPER.0;
        pixels.fill(tiny_skia::Color::from_rgba8(r, g, b, 255));
        let wide = pixels.width() as usize;
        for (y, row) in map
            .owners
            .chunks_exact(map.width.max(1) as usize)
            .enumerate()
        {
            for (x, &number) in row.iter().enumerate() {
                if let Some(owner) = usize::from(number)
                    .checked_sub(1)
                    .and_then(|at| self.owners.get(at))
                {
                    let [r, g, b] = owner.colour.0;
                    pixels.data_mut()[(y * wide + x) * 4..][..4].copy_from_slice(&[r, g, b, 255]);
                }
            }
        }
    }
}

/// Names beside the map, in as many columns as its height asks for.
struct Legend {
    entries: Vec<(String, Option<Rgb>, u32, u32)>,
    style: Style,
    chip: u32,
    width: u32,
    height: u32,
}

impl Legend {
    fn new(map: &PartMap, height: u32) -> Self {
        let style = Style::regular((height as f32 / 55.0).round().clamp(13.0, 26.0));
        let leading = style.leading().unsigned_abs() + 4;
        let chip = leading - 6;
        let edge = leading;
        let mut lines: Vec<(String, Option<Rgb>)> = Vec::new();
        for owner in map.owners.iter().filter(|o| o.pixels > 0) {
            lines.push((owner.name.clone(), Some(owner.colour)));
        }
        let hidden: Vec<&str> = map
            .owners
            .iter()
            .filter(|o| o.pixels == 0)
            .map(|o| o.name.as_str())
            .collect();
        if !hidden.is_empty() {
            lines.push(("not seen:".to_owned(), None));
            lines.extend(hidden.into_iter().map(|n| (n.to_owned(), None)));
        }
        let rows = (height.saturating_sub(2 * edge) / leading).max(8) as usize;
        let mut entries = Vec::new();
        let (mut x, mut tallest) = (edge, 0);
        for column in lines.chunks(rows) {
            let mut widest = 0.0_f32;
            for (row, (name, colour)) in (0_u32..).zip(column) {
                widest = widest.max(text::width(name, style));
                entries.push((name.clone(), *colour, x, edge + row * leading));
                tallest = tallest.max(edge * 2 + (row + 1) * leading);
            }
            x += chip + chip / 2 + ceiling(widest) + edge;
        }
        Self {
            entries,
            style,
            chip,
            width: x,
            height: tallest,
        }
    }

    fn set(&self, pixels: &mut PixmapMut<'_>, left: u32) {
        let wide = pixels.width() as usize;
        for (name, colour, x, y) in &self.entries {
            let x = x + left;
            if let Some(Rgb([r, g, b])) = *colour {
                for row in *y..*y + self.chip {
                    let at = (row as usize * wide + x as usize) * 4;
                    for p in pixels.data_mut()[at..at + self.chip as usize * 4].chunks_exact_mut(4)
                    {
                        p.copy_from_slice(&[r, g, b, 255]);
                    }
                }
            }
            // The words are centred on the chip by the height of their capitals.
            let baseline = *y as f32 + ((self.chip as f32 + self.style.capital()) * 0.5).round();
            let (words, indent) = if colour.is_some() {
                (WORDS, self.chip + self.chip / 2)
            } else {
                (QUIET, 0)
            };
            text::draw(
                pixels,
                name,
                self.style,
                (x + indent) as f32,
                baseline,
                words,
            );
        }
    }
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "lettering is small"
)]
fn ceiling(v: f32) -> u32 {
    v.ceil().max(0.0) as u32
}

/// Flat colours that differ well from their neighbours in the list, and all from each other.
#[must_use]
fn colours(count: usize) -> Vec<Rgb> {
    let mut out: Vec<Rgb> = Vec::with_capacity(count);
    let mut n: u32 = 0;
    while out.len() < count {
        // The golden angle never comes back to a hue. It comes near one after 8, 13, 21, 34 steps,
        // so lightness goes in fives.
        let hue = libm::fmod(f64::from(n) * 137.507_764_05, 360.0);
        let (light, chroma) = [
            (0.68, 0.15),
            (0.87, 0.08),
            (0.52, 0.14),
            (0.78, 0.13),
            (0.42, 0.09),
        ][n as usize % 5];
        let colour = from_hue(light, chroma, hue);
        n += 1;
        // After some hundreds, colours of 8 bits come back; the next hue is tried then. With more
        // parts than that leaves, numbers are counted through instead.
        if n > 60_000 {
            let plain = Rgb([(n >> 16) as u8, (n >> 8) as u8, n as u8]);
            if !out.contains(&plain) {
                out.push(plain);
            }
        } else if colour != PAPER && !out.contains(&colour) {
            out.push(colour);
        }
    }
    out
}

/// An OKLCH colour as sRGB, clipped to what sRGB has.
fn from_hue(light: f64, chroma: f64, hue: f64) -> Rgb {
    let colour: Srgb<f64> = Oklch::new(light, chroma, hue).into_color();
    let [r, g, b]: [u8; 3] = colour.into_format().into();
    Rgb([r, g, b])
}

#[cfg(test)]
mod tests {
    use super::*;
    fn map() -> OwnerMap {
        OwnerMap {
            width: 4,
            height: 3,
            owners: vec![0, 1, 1, 0, 0, 1, 3, 0, 0, 0, 3, 3],
        }
    }

    #[test]
    fn pixels_are_counted_and_boxed() {
        let parts = PartMap::new(&map(), &["torso", "arm", "hand"]);
        let found: Vec<_> = parts
            .owners
            .iter()
            .map(|o| (o.name.as_str(), o.pixels, o.area))
            .collect();
        assert_eq!(
            found,
            [
                ("torso", 3, Some([1, 0, 3, 2])),
                ("arm", 0, None),
                ("hand", 3, Some([2, 1, 4, 3]))
            ]
        );
    }

    #[test]
    fn the_picture_has_each_parts_colour_where_it_is() {
        let map = map();
        let parts = PartMap::new(&map, &["torso", "arm", "hand"]);
        let picture = parts.picture(&map);
        for y in 0..map.height {
            for x in 0..map.width {
                let p = picture.pixel(x, y).unwrap();
                let number = map.owners[(y * map.width + x) as usize];
                let want = if number == 0 {
                    PAPER
                } else {
                    parts.owners[usize::from(number) - 1].colour
                };
                assert_eq!(Rgb([p.red(), p.green(), p.blue()]), want);
            }
        }
    }

    #[test]
    fn every_part_has_a_colour_of_its_own() {
        for count in [0, 1, 30, 700] {
            let mut all = colours(count);
            assert_eq!(all.len(), count);
            assert!(!all.contains(&PAPER));
            all.sort();
            all.dedup();
            assert_eq!(all.len(), count);
        }
        assert_eq!(
            colours(5),
            colours(40)[..5],
            "more parts do not change the first"
        );
    }

    #[test]
    fn colours_of_forty_parts_are_told_apart() {
        let all = colours(40);
        for (at, one) in all.iter().enumerate() {
            for other in &all[at + 1..] {
                let apart: u32 = one
                    .0
                    .iter()
                    .zip(other.0)
                    .map(|(&a, b)| u32::from(a.abs_diff(b)))
                    .sum();
                assert!(apart >= 24, "{one:?} {other:?}");
            }
        }
    }

    #[test]
    fn colours_follow_the_published_transform() {
        // White, and sRGB red: L 0.62796, C 0.25768, h 29.234 degrees.
        assert_eq!(from_hue(1.0, 0.0, 0.0), Rgb([255, 255, 255]));
        let Rgb([r, g, b]) = from_hue(0.627_96, 0.257_68, 29.234);
        assert!(r >= 254 && g <= 2 && b <= 2, "{r} {g} {b}");
    }

    #[test]
    fn the_json_names_colours_counts_and_boxes() {
        let map = map();
        let parts = PartMap::new(&map, &["torso", "arm", "hand"]);
        let value: Value = serde_json::from_str(&parts.json("m/l/p", &map)).unwrap();
        assert_eq!(value["pose"], "m/l/p");
        assert_eq!(
            (value["width"].as_u64(), value["height"].as_u64()),
            (Some(4), Some(3))
        );
        assert_eq!(value["parts"][2]["box"], json!([2, 1, 4, 3]));
        assert_eq!(value["parts"][1]["box"], Value::Null);
        assert_eq!(value["parts"][0]["pixels"], 3);
        let [r, g, b] = parts.owners[0].colour.0;
        assert_eq!(
            value["parts"][0]["colour"],
            format!("#{r:02x}{g:02x}{b:02x}")
        );
    }
}
