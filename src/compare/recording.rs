//! Records of a rig and a pose, as approved sets keep them.

use std::collections::BTreeMap;

use indexmap::IndexMap;
use serde_json::{Value, json};
use tiny_skia::{FillRule, LineCap, LineJoin, SpreadMode};

use super::goals::{look_record, reach_record};
use super::record::PoseEntryRecord;
use super::{
    Digest, DrawingRecord, GarmentRecord, MaskRecord, PartOfRig, PoseRecord, RigRecord, SeamRecord,
    SettingRecord,
};
use crate::art::{ArtId, Colour, Library, Outline, PartArt, RasterArt, Role, Shape, Source};
use crate::cast::{
    ColourName, Drawing, Flank, Keep, Member, NameId, Opens, Palette, Part, PartId, Pose, Said,
    Setting, Space, Zone,
};
use crate::diag::Span;
use crate::geom::Affine;

impl RigRecord {
    /// One view of a member as it is now. `None` where the member has no such view, or its drawings are in
    /// another library.
    #[must_use]
    pub fn of(member: &Member, view: usize, library: &Library) -> Option<Self> {
        let view = member.views.get(view)?;
        if !view.drawings().all(|id| library.get(id).is_some()) {
            return None;
        }
        let mut drawings = BTreeMap::new();
        let mut art = |id: ArtId| {
            let art = &library.all()[id.at()];
            let name = drawing_name(member, art);
            drawings.entry(name.clone()).or_insert_with(|| drawing(art));
            name
        };
        let mut shown = |drawing: Drawing| drawing.art().map(&mut art);
        let name = |id: PartId| member.names[view.parts[id.at()].name.at()].clone();
        let parts = view.parts.iter().map(|part| {
            let replacements = part.replacements.iter();
            let record = PartOfRig {
                art: shown(part.art),
                replacements: replacements.map(|(n, d)| (n.clone(), shown(*d))).collect(),
                parent: part.parent.map(name),
                pivot: part.pivot,
                depth: part.depth,
                limits: part.limits,
                place: (part.place != Setting::REST).then_some(SettingRecord {
                    turn: part.place.turn,
                    shift: part.place.shift,
                    scale: part.place.scale,
                    skew: part.place.skew,
                }),
                space: view.facing.and_then(|_| space_words(part)),
                tip: part.tip,
            };
            (member.names[part.name.at()].clone(), record)
        });
        let parts: IndexMap<String, PartOfRig> = parts.collect();
        let seams = view.seams.iter().map(|seam| {
            let record = SeamRecord {
                parts: [name(seam.parent), name(seam.child)],
                zone: match seam.zone {
                    Zone::Auto => "auto".to_owned(),
                    Zone::Radius(radius) => radius.to_string(),
                    Zone::Art(id) => art(id),
                },
                opens: match seam.opens {
                    Opens::Both => "both",
                    Opens::Parent => "parent",
                    Opens::Child => "child",
                }
                .to_owned(),
                patch: seam.patch.map(&mut art),
            };
            (seam.name.clone(), record)
        });
        let seams = seams.collect();
        let masks = view.masks.iter().map(|mask| {
            let record = MaskRecord {
                part: name(mask.part),
                keep: match mask.keep {
                    Keep::Inside => "inside",
                    Keep::Outside => "outside",
                }
                .to_owned(),
                of: mask.of.iter().map(|&p| name(p)).collect(),
            };
            (mask.name.clone(), record)
        });
        let garments = view.garments.iter().map(|garment| {
            let record = GarmentRecord {
                part: name(garment.part),
                on: garment.on.iter().map(|&p| name(p)).collect(),
                trim: garment.trim.as_ref().map(|trim| match trim {
                    ColourName::Swatch(name) => name.clone(),
                    ColourName::Plain(rgb) => rgb.to_string(),
                }),
            };
            (garment.name.clone(), record)
        });
        let swatches = |palette: &Palette| -> IndexMap<String, String> {
            let all = palette.swatches.iter();
            all.map(|(n, c)| (n.clone(), c.to_string())).collect()
        };
        let palettes = member.palettes.iter();
        let palettes = palettes.map(|palette| (palette.name.clone(), swatches(palette)));
        let first = member.palettes.first();
        let apart = first.is_some_and(|first| first.swatches != member.drawn.swatches);
        let drawn = if apart {
            swatches(&member.drawn)
        } else {
            IndexMap::default()
        };
        Some(Self {
            view: view.name.clone(),
            canvas: member.canvas,
            facing: view.facing,
            shortest: view.facing.map(|_| view.shortest),
            palettes: palettes.collect(),
            drawn,
            parts,
            seams,
            masks: masks.collect(),
            garments: garments.collect(),
            drawings,
        })
    }

    /// Of the record, as the manifest names it.
    ///
    /// # Errors
    ///
    /// When it cannot be written as JSON.
    pub fn digest(&self) -> serde_json::Result<Digest> {
        Ok(Digest::of(&serde_json::to_vec(self)?))
    }
}

/// `front.svg#hand`, the file as it is called from the member's folder.
fn drawing_name(member: &Member, art: &PartArt) -> String {
    let file = art.file.strip_prefix(&member.folder).unwrap_or(&art.file);
    format!("{}#{}", slashed(file), art.id)
}

/// A path with `/` between folders on every platform.
pub(crate) fn slashed(path: &std::path::Path) -> String {
    let steps: Vec<_> = path.iter().map(|s| s.to_string_lossy()).collect();
    steps.join("/")
}

fn drawing(art: &PartArt) -> DrawingRecord {
    DrawingRecord {
        outlines: art.shapes.iter().map(outline).collect(),
        colours: art.shapes.iter().map(colours).collect(),
    }
}

/// Before the name of an expression, where that says what a pose says: no pose has such a name.
pub(super) const EXPRESSION: &str = "expression ";

/// A path as bytes for a digest.
fn hear_path(hasher: &mut blake3::Hasher, path: &tiny_skia::Path) {
    use tiny_skia::PathSegment;
    for segment in path.segments() {
        let (verb, points) = match segment {
            PathSegment::MoveTo(p) => (0, vec![p]),
            PathSegment::LineTo(p) => (1, vec![p]),
            PathSegment::QuadTo(p, q) => (2, vec![p, q]),
            PathSegment::CubicTo(p, q, r) => (3, vec![p, q, r]),
            PathSegment::Close => (4, vec![]),
        };
        hasher.update(&[verb]);
        for p in points {
            hasher.update(&p.x.to_le_bytes());
            hasher.update(&p.y.to_le_bytes());
        }
    }
}

/// Of a shape's geometry: what draws it but its colours, and what of raster art is put into the digest.
pub(crate) fn geometry(
    shape: &Shape,
    raster_art: impl FnOnce(&RasterArt, &mut blake3::Hasher),
) -> Digest {
    // A new field asks here whether pictures depend on it.
    let Shape {
        role: _,
        outline,
        to_canvas,
        source: _,
        opacity,
        clips,
        crisp,
        id: _,
    } = shape;
    let mut hasher = blake3::Hasher::new();
    match outline {
        Outline::Fill { path, rule } => {
            hasher.update(format!("fill {}", rule_word(*rule)).as_bytes());
            hear_path(&mut hasher, path);
        }
        Outline::Stroke { path, stroke, dash } => {
            let width = stroke.width;
            let (cap, join) = (cap_word(stroke.line_cap), join_word(stroke.line_join));
            let (limit, dash) = (stroke.miter_limit, dash_words(dash.as_ref()));
            hasher.update(format!("stroke {width} {cap} {join} {limit} {dash}").as_bytes());
            hear_path(&mut hasher, path);
        }
        Outline::Raster(raster) => {
            hasher.update(b"raster");
            raster_art(raster, &mut hasher);
        }
    }
    for (path, rule, to_canvas) in clips.iter().flat_map(|clip| &clip.paths) {
        let words = format!("clip {} {}", rule_word(*rule), affine_words(to_canvas));
        hasher.update(words.as_bytes());
        hear_path(&mut hasher, path);
    }
    let place = affine_words(to_canvas);
    hasher.update(format!("{place} {opacity} {crisp}").as_bytes());
    Digest::finish(&hasher)
}

/// How a part lies in space.
fn space_words(part: &Part) -> Option<String> {
    let Space {
        side,
        drawn,
        left,
        foreshortened,
    } = &part.space;
    let mut words = Vec::new();
    if let Some(side) = side {
        let side = match side {
            Flank::Left => "left",
            Flank::Right => "right",
        };
        words.push(format!("{side}, {} from the middle", left.abs()));
    }
    if let Some([lift, bearing]) = drawn {
        words.push(format!("drawn [{lift}, {bearing}]"));
    }
    for (name, [least, most]) in foreshortened {
        words.push(format!("{name} from {least} to {most}"));
    }
    (!words.is_empty()).then(|| words.join("; "))
}

pub(crate) const fn role_word(role: Role) -> &'static str {
    match role {
        Role::Ink => "ink",
        Role::Paint => "paint",
    }
}

fn outline(shape: &Shape) -> String {
    let digest = geometry(shape, |raster, hasher| {
        raster.put_look_into(&mut |bytes| {
            hasher.update(bytes);
        });
    });
    let words = format!("{} {}", role_word(shape.role), &digest.as_str()[..12]);
    if shape.id.is_empty() {
        words
    } else {
        format!("{words} {}", shape.id)
    }
}

// What digests in approved sets are made of: these words stay, whatever the types are called.

const fn rule_word(rule: FillRule) -> &'static str {
    match rule {
        FillRule::Winding => "Winding",
        FillRule::EvenOdd => "EvenOdd",
    }
}

const fn cap_word(cap: LineCap) -> &'static str {
    match cap {
        LineCap::Butt => "Butt",
        LineCap::Round => "Round",
        LineCap::Square => "Square",
    }
}

const fn join_word(join: LineJoin) -> &'static str {
    match join {
        LineJoin::Miter => "Miter",
        LineJoin::MiterClip => "MiterClip",
        LineJoin::Round => "Round",
        LineJoin::Bevel => "Bevel",
    }
}

fn dash_words(dash: Option<&(Vec<f32>, f32)>) -> String {
    let some = |(lengths, offset): &(Vec<f32>, f32)| {
        format!("Some(({}, {}))", numbers(lengths), number(*offset))
    };
    dash.map_or_else(|| "None".to_owned(), some)
}

fn affine_words(t: &Affine) -> String {
    let values = [t.a, t.b, t.c, t.d, t.e, t.f].map(|v| format!("{v:?}"));
    fields("Affine", ["a", "b", "c", "d", "e", "f"], values)
}

fn fields(name: &str, keys: [&str; 6], values: [String; 6]) -> String {
    let pairs = keys.iter().zip(values).map(|(k, v)| format!("{k}: {v}"));
    format!("{name} {{ {} }}", pairs.collect::<Vec<_>>().join(", "))
}

/// With a point, also where it is whole.
fn number(v: f32) -> String {
    format!("{v:?}")
}

fn numbers(all: &[f32]) -> String {
    let all: Vec<String> = all.iter().map(|v| number(*v)).collect();
    format!("[{}]", all.join(", "))
}

/// The colours of a shape, and for a gradient what else makes it.
fn colours(shape: &Shape) -> String {
    if matches!(shape.outline, Outline::Raster(_)) {
        return String::new();
    }
    let (mut words, gradient) = colour_words(&shape.source);
    words.extend(gradient.map(|all| {
        let digest = Digest::of(all.as_bytes());
        format!("gradient-{}", &digest.as_str()[..8])
    }));
    words.join(" ")
}

/// The colours of a source, and all else of a gradient.
pub(crate) fn colour_words(source: &Source) -> (Vec<String>, Option<String>) {
    let one = |colour: &Colour| match &colour.swatch {
        Some(name) => format!("{} swatch-{name}", colour.rgb),
        None => colour.rgb.to_string(),
    };
    let (gradient, made) = match source {
        Source::Solid(colour) => return (vec![one(colour)], None),
        Source::Linear(gradient, along) => (gradient, numbers(along)),
        Source::Radial(gradient, along) => (gradient, numbers(along)),
    };
    let stops = gradient.stops.iter();
    let offsets = stops.map(|(o, _, a)| format!("({}, {})", number(*o), number(*a)));
    let offsets = offsets.collect::<Vec<_>>().join(", ");
    let spread = match gradient.spread {
        SpreadMode::Pad => "Pad",
        SpreadMode::Reflect => "Reflect",
        SpreadMode::Repeat => "Repeat",
    };
    let t = &gradient.transform;
    let place = fields(
        "Transform",
        ["sx", "kx", "ky", "sy", "tx", "ty"],
        [t.sx, t.kx, t.ky, t.sy, t.tx, t.ty].map(number),
    );
    let stops = gradient.stops.iter();
    let words = stops.map(|(_, colour, _)| one(colour)).collect();
    (words, Some(format!("[{offsets}] {spread} {place} {made}")))
}

impl PoseRecord {
    /// A pose as it is now; `list` is the list that it is in, to tell which pose says what.
    /// Parts that the member has not are left out.
    #[must_use]
    pub fn of(pose: &Pose, list: &[Pose], member: &Member) -> Self {
        let mut says = BTreeMap::new();
        // A value stands in the pose whose header is the last before it.
        let origin = |span: Option<Span>| {
            let after = |head: &Pose| {
                let (head, span) = (head.span?, span?);
                (head.source == span.source && head.start <= span.start).then_some(head.start)
            };
            let last = list.iter().filter(|p| after(p).is_some());
            let last = last.max_by_key(|p| after(p))?;
            (after(last) > after(pose)).then(|| last.name.clone())
        };
        // Expressions stand in the rig.
        let worn = |span: Option<Span>| {
            let span = span?;
            let all = member.expressions.values();
            let heads = all.filter_map(|one| Some((one.span?, &one.name)));
            let before =
                heads.filter(|(head, _)| head.source == span.source && head.start <= span.start);
            let last = before.max_by_key(|(head, _)| head.start)?;
            Some(format!("{EXPRESSION}{}", last.1))
        };
        let origin = |span| worn(span).or_else(|| origin(span));
        let mut put = |table: &str, part: Option<&str>, span: Option<Span>, value: Value| {
            let key = part.map_or_else(|| table.to_owned(), |part| format!("{table}.{part}"));
            let from = origin(span).filter(|from| *from != pose.name);
            says.insert(key, PoseEntryRecord { value, from });
        };
        let name = |part: NameId| member.names.get(part.at()).map(String::as_str);
        for (table, part, span, said) in pose.entries() {
            let value = match said {
                Said::Number(number) => json!(number),
                Said::Pair(pair) => json!(pair),
                Said::Three(three) => json!(three),
                Said::Nothing => json!(false),
                Said::Part(of) => json!(name(of)),
                Said::Drawing(drawing) => json!(drawing),
                Said::Reach(reach) => reach_record(reach, member),
            };
            if let (Some(part), false) = (name(part), value.is_null()) {
                put(table, Some(part), span, value);
            }
        }
        if let Some((Some(look), span)) = &pose.look {
            put("look", None, *span, look_record(look, member));
        }
        if pose.palette > 0
            && let Some(palette) = member.palettes.get(pose.palette)
        {
            put("palette", None, pose.span, json!(palette.name));
        }
        if pose.mirror {
            put("mirror", None, pose.span, json!(true));
        }
        Self { says }
    }

    /// What the pose says under this key.
    #[must_use]
    pub fn get(&self, key: &str) -> Option<&Value> {
        Some(&self.says.get(key)?.value)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Approved sets hold digests of these texts. Rust's own texts of the same values are what the
    /// first sets were made with.
    #[test]
    fn words_are_those_of_the_first_sets() {
        let t = Affine {
            a: 1.0,
            b: -0.25,
            c: 1e-9,
            d: 2.5,
            e: 1e20,
            f: 0.1,
        };
        assert_eq!(affine_words(&t), format!("{t:?}"));
        let dash = Some((vec![4.0, 1.5], 0.5_f32));
        assert_eq!(dash_words(dash.as_ref()), format!("{dash:?}"));
        assert_eq!(dash_words(None), "None");
        assert_eq!(rule_word(FillRule::EvenOdd), "EvenOdd");
        assert_eq!(cap_word(LineCap::Round), "Round");
        assert_eq!(join_word(LineJoin::MiterClip), "MiterClip");
        let t = tiny_skia::Transform::from_row(1.0, 2.0, 3.0, 4.0, 5.5, 6.0);
        let words = fields(
            "Transform",
            ["sx", "kx", "ky", "sy", "tx", "ty"],
            [t.sx, t.kx, t.ky, t.sy, t.tx, t.ty].map(number),
        );
        assert_eq!(words, format!("{t:?}"));
        let stops = [(0.0_f32, 1.0_f32), (0.5, 0.25)];
        let offsets = stops.map(|(o, a)| format!("({}, {})", number(o), number(a)));
        assert_eq!(format!("[{}]", offsets.join(", ")), format!("{stops:?}"));
    }
}
