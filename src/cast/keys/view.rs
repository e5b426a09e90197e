//! What describes a view: in `rig.toml`, or in a file of its own.

use super::check::CHECK;
use super::{ANGLES, FACTORS, Key, Kind, LENGTHS, SKEWS, TURNED, Usual, form, joined};

/// A file of its own says what a view in `rig.toml` has nobody to say of.
pub(super) const FILE: &[Key] = &joined::<{ LIKE.len() + VIEW.len() }>(LIKE, VIEW);

const LIKE: &[Key] = &[Key::new(
    "like",
    Kind::Text(form::FILE),
    "\"side.toml\"",
    "A view that this one is like: key by key, what is not said here is said there; `part.cap = false` leaves one out",
)];

pub(super) const VIEW: &[Key] = &[
    Key::new(
        "drawing",
        Kind::Text(form::FILE),
        "\"front.svg\"",
        "Its drawing: a part without `art` is the element of its own name, where there is one; `#id` is an element of it",
    ),
    Key::new(
        "axis",
        Kind::Number(LENGTHS),
        "450",
        "The line about which `mirror_of` mirrors: its x, canvas units",
    )
    .usual(Usual::As("the middle of the canvas")),
    Key::new(
        "place",
        Kind::Table(PLACE),
        "{ move = [12, -20] }",
        "Where its drawings go on the canvas, and marks in them, when their page does not begin at 0 0; a part's own `place` instead",
    ),
    CHECK,
    Key::table("part", PARTS, "", "Parts").must(),
    Key::table("seam", SEAMS, "", "Seams"),
    Key::table("mask", MASKS, "", "Masks"),
    Key::table("garment", GARMENTS, "", "Garments"),
    Key::table(
        "landmarks",
        LANDMARKS,
        "write [landmarks] and under it eyes = { part = \"eye\", at = \"middle\" }",
        "Heights that all views share",
    ),
    Key::table("crop", CROPS, "", "Crops"),
    Key::table("note", NOTES, "", "Call-outs"),
    Key::table("measure", MEASURES, "", "Lengths"),
    Key::table("chart", CHARTS, "", "Charts"),
];

const PARTS: &[Key] = &[Key::table(
    "<part>",
    PART,
    "",
    "A piece of art that moves as one; equal depths: declared later is in front",
)];

/// A drawing.
const fn art(name: &'static str, example: &'static str, about: &'static str) -> Key {
    Key::new(
        name,
        Kind::Texts(form::ART, [1, usize::MAX]),
        example,
        about,
    )
    .wrong("write a file and an element id, as in \"front.svg#hand\"")
}

/// The name of a part.
const fn part(name: &'static str, example: &'static str, about: &'static str) -> Key {
    Key::new(name, Kind::Text(form::PART), example, about).wrong("write a part's name")
}

/// Names of parts.
const fn parts(name: &'static str, example: &'static str, about: &'static str) -> Key {
    Key::new(
        name,
        Kind::Texts(form::PART, [1, usize::MAX]),
        example,
        about,
    )
}

const PART: &[Key] = &[
    Key::new("art", Kind::Any(&[Kind::Texts(form::ART, [1, usize::MAX]), Kind::No]), "\"front.svg#hand\"", "Its drawing: file and element, by id or as the drawing program calls it, or `#id` of the view's drawing; or a list of elements of one file; `false`: it has none")
        .wrong("write a file and an element id, as in \"front.svg#hand\"")
        .usual(Usual::As("the element of its name in the view's drawing, else none: it is drawn by replacements, or only carries")),
    Key::new("replacements", Kind::Any(&[Kind::Table(REPLACEMENTS), Kind::Text(form::EVERY)]), "{ fist = \"hands.svg#fist\" }", "Other drawings for it, by name; or every element of a name, `hands.svg#hand_*`, called what stands for the *"),
    part("mirror_of", "\"upper_arm\"", "The part of the other side that it takes from what it does not say itself: parent, pivot, limits, depth, seams, masks and garments, and the drawing unless it has one; see the topic sides"),
    part("parent", "\"torso\"", "The part that carries it"),
    Key::new("pivot", Kind::Any(&[Kind::Pair(LENGTHS), Kind::Text(form::ART), Kind::Table(PIVOT)]), "[412, 300]", "The point it turns about, canvas units; or a mark in the drawing, `#shoulder`, which is not drawn; or another part's")
        .usual(Usual::As("the middle of the largest circle in what it shares with its parent; of a part without a parent that of the canvas"))
        .more(", in canvas units"),
    Key::new("tip", Kind::Any(&[Kind::Pair(LENGTHS), Kind::Text(form::ART), Kind::Table(PIVOT)]), "[412, 380]", "Where its line ends, which begins at its pivot and along which `stretch` makes it longer, canvas units; or a mark in the drawing; or another part's pivot")
        .usual(Usual::As("the farthest pivot of what it carries and is joined to by a seam, else the middle of the far end of its paint"))
        .more(", in canvas units"),
    Key::new("depth", Kind::Number(FACTORS), "1", "Depth relative to the parent; more is further in front")
        .usual(Usual::Number(0.0))
        .more("; more is further in front"),
    Key::new("limits", RANGE, "[-60, 170]", "Least and greatest turn in degrees, positive clockwise; or a human joint, see `layfig joints`")
        .more(", least and greatest turn in degrees"),
    Key::new("place", Kind::Table(PLACE), "{ move = [120, -40] }", "Where the art goes on the canvas, when it is not drawn in its place"),
    Key::new("side", Kind::Word(&["left", "right"]), "\"left\"", "The side of the body that it is on, the character's own")
        .usual(Usual::As("what its name tells: left, right, l, r, or near and far by `[character] near`; else its parent's"))
        .more(" or side = \"right\", the character's own"),
    Key::new("drawn", Kind::Pair(TURNED), "[90, 0]", "Lift and bearing of its line in space as this view draws it, degrees, as of `aim`")
        .usual(Usual::As("hanging, [0, 0]"))
        .more(", lift and bearing"),
    Key::new("foreshortened", Kind::Table(FORESHORTENED), "{ fist = [0, 0.4] }", "Replacements that show where an aim leaves such a share of its drawn length"),
    Key::new("points", Kind::Table(POINTS), "{ palm = [420, 560] }", "Points of it by name, for poses that say where it goes or what goes there; the first is where it touches"),
    Key::new("look", Kind::Pair([0.0, 1e6]), "[6, 4]", "Of an iris: how far it goes within its eye when a pose looks somewhere, along x and along y")
        .more(", how far it goes along x and along y"),
];

const FORESHORTENED: &[Key] = &[Key::new(
    "<replacement>",
    Kind::Pair([0.0, 10.0]),
    "[0, 0.4]",
    "Least and greatest share of the drawn length",
)
.wrong("write two shares, [0, 0.4]")];

const POINTS: &[Key] = &[Key::new(
    "<point>",
    Kind::Any(&[Kind::Pair(LENGTHS), Kind::Text(form::ART)]),
    "[420, 560]",
    "Where it is as drawn, canvas units; or a mark in the drawing, `#palm`, which is not drawn",
)
.wrong("write two numbers, [420, 560], or a mark in the drawing, \"#palm\"")];

const PIVOT: &[Key] = &[part("of", "\"torso\"", "The part whose pivot it is").must()];

/// Two angles, or a human joint.
pub(super) const RANGE: Kind =
    Kind::Any(&[Kind::Pair(ANGLES), Kind::Word(JOINTS), Kind::Table(NORM)]);

/// The joints of the table of norms.
const JOINTS: &[&str] = &[
    "shoulder", "elbow", "forearm", "wrist", "hip", "knee", "ankle", "neck",
];

const NORM: &[Key] = &[
    Key::new("joint", Kind::Word(JOINTS), "\"elbow\"", "The human joint").must(),
    Key::new(
        "clockwise",
        Kind::Text(form::MOTION),
        "\"flexion\"",
        "What a positive turn does",
    )
    .usual(Usual::As("the joint's first motion"))
    .more(", what a positive turn does"),
    Key::new(
        "source",
        Kind::Word(&["AAOS", "CDC"]),
        "\"AAOS\"",
        "Whose norms",
    )
    .usual(Usual::Word("AAOS")),
    Key::new(
        "group",
        Kind::Text(form::GROUP),
        "\"adult\"",
        "Whom they are of",
    )
    .usual(Usual::Word("adult")),
    Key::new(
        "rest",
        Kind::Number([-360.0, 360.0]),
        "15",
        "How far the drawing is bent already, degrees",
    )
    .usual(Usual::Number(0.0))
    .more(", how far the drawing is bent already"),
];

const REPLACEMENTS: &[Key] = &[art(
    "<replacement>",
    "\"hands.svg#fist\"",
    "Its drawing; \"art\" and \"none\" every part has",
)];

const PLACE: &[Key] = &[
    Key::new("move", Kind::Pair(LENGTHS), "[120, -40]", "Units").usual(Usual::Pair([0.0, 0.0])),
    Key::new(
        "turn",
        Kind::Number(ANGLES),
        "90",
        "Degrees, positive clockwise",
    )
    .usual(Usual::Number(0.0)),
    Key::new("scale", Kind::Scale, "1.2", "A factor, or one for each way")
        .usual(Usual::Pair([1.0, 1.0]))
        .more(", or [1.2, 0.9] for each way"),
    Key::new(
        "skew",
        Kind::Pair(SKEWS),
        "[10, 0]",
        "Degrees along x and y",
    )
    .usual(Usual::Pair([0.0, 0.0])),
];

const SEAMS: &[Key] = &[Key::new(
    "<seam>",
    Kind::Any(&[Kind::Table(SEAM), Kind::Texts(form::PART, [2, 2]), Kind::No]),
    "[\"upper_arm\", \"forearm\"]",
    "A join: the inks of two parts open into each other; the two parts, or a table; `false`: none, though the other side has one",
)];

const SEAM: &[Key] = &[
    Key::new("parts", Kind::Texts(form::PART, [2, 2]), "[\"upper_arm\", \"forearm\"]", "The two parts that meet").must(),
    Key::new("zone", Kind::Any(&[Kind::Word(&["auto"]), Kind::Above(1e6), Kind::Text(form::ART)]), "\"auto\"", "Where inks open: a radius about the joint's pivot, or a drawing; by itself it covers all outline hidden at rest")
        .usual(Usual::Word("auto"))
        .wrong("write \"auto\", a radius, or a drawing such as \"front.svg#elbow_zone\""),
    Key::new("opens", Kind::Word(&["both", "parent", "child"]), "\"child\"", "Whose ink opens")
        .usual(Usual::Word("both"))
        .wrong("write \"both\", \"parent\" or \"child\""),
    art("patch", "\"front.svg#elbow_patch\"", "Paint laid over the seam"),
];

const MASKS: &[Key] = &[Key::new(
    "<mask>",
    Kind::Any(&[Kind::Table(MASK), Kind::No]),
    "",
    "Shows a part only inside, or only outside, others; `false`: none, though the other side has one",
)];

const MASK: &[Key] = &[
    part("part", "\"iris\"", "The part that is masked")
        .usual(Usual::As("the part that the mask is named for"))
        .more(", the part that is masked"),
    Key::new(
        "keep",
        Kind::Word(&["inside", "outside"]),
        "\"inside\"",
        "Which side stays",
    )
    .must()
    .more(" or keep = \"outside\"")
    .wrong("write \"inside\" or \"outside\""),
    parts("of", "[\"eye\"]", "The parts whose shape is the mask")
        .must()
        .more(", the parts whose shape is the mask"),
];

const GARMENTS: &[Key] = &[Key::new(
    "<garment>",
    Kind::Any(&[Kind::Table(GARMENT), Kind::No]),
    "",
    "Worn art: seen only inside its hosts, over their paint, under their ink; `false`: none, though the other side has one",
)];

const GARMENT: &[Key] = &[
    part("part", "\"cuff\"", "The part that is worn")
        .usual(Usual::As("the part that the garment is named for"))
        .more(", the part that is worn"),
    parts("on", "[\"forearm\"]", "The parts that wear it")
        .must()
        .more(", the parts that wear it"),
    Key::new(
        "trim",
        Kind::Any(&[Kind::Text(form::COLOUR), Kind::Text(form::SWATCH)]),
        "\"skin\"",
        "The colour that the hosts' ink takes where the garment covers it: a swatch or \"#rrggbb\"",
    )
    .wrong("write a swatch's name or \"#rrggbb\""),
];

const LANDMARKS: &[Key] = &[Key::new(
    "<landmark>",
    Kind::Any(&[Kind::Number(LENGTHS), Kind::Table(LANDMARK)]),
    "250",
    "A height: plain y, or where a part is",
)];

const LANDMARK: &[Key] = &[
    part("part", "\"eye\"", "The part").must(),
    Key::new(
        "at",
        Kind::Word(&["top", "middle", "bottom", "pivot"]),
        "\"top\"",
        "Which height of it",
    )
    .usual(Usual::Word("middle"))
    .wrong("write \"top\", \"middle\", \"bottom\" or \"pivot\""),
];

const CROPS: &[Key] = &[Key::table(
    "<crop>",
    CROP,
    "",
    "A window that follows a part",
)];

const CROP: &[Key] = &[
    Key::new(
        "area",
        Kind::List(&Kind::Pair(LENGTHS), [2, 2]),
        "[[300, 80], [600, 400]]",
        "Its top left and bottom right corner, canvas units",
    )
    .usual(Usual::As("what the part and all it carries cover"))
    .more(", its top left and bottom right corner"),
    part("part", "\"head\"", "The part that it follows")
        .must()
        .more(", the part that it follows"),
    Key::new(
        "margin",
        Kind::Number([0.0, 10.0]),
        "0.05",
        "Added on every side, a share of the longer side",
    )
    .usual(Usual::Number(0.0))
    .more(", a share of the longer side"),
];

const NOTES: &[Key] = &[Key::table(
    "<note>",
    NOTE,
    "",
    "A call-out of the model sheet",
)];

const NOTE: &[Key] = &[
    Key::new(
        "at",
        Kind::Pair(LENGTHS),
        "[430, 210]",
        "Where its line points, canvas units",
    )
    .usual(Usual::As("the middle of the part"))
    .more(", a place on the canvas"),
    part("part", "\"cap\"", "The part that it is about")
        .must()
        .more(", the part that it is about"),
    Key::new("text", Kind::Words, "\"soft wool\"", "What it says").must(),
];

const MEASURES: &[Key] = &[Key::table(
    "<measure>",
    MEASURE,
    "",
    "A length of the figure, for model sheets",
)];

const MEASURE: &[Key] = &[Key::new(
    "along",
    Kind::List(
        &Kind::Any(&[Kind::Text(form::PART), Kind::Pair(LENGTHS)]),
        [2, 100],
    ),
    "[\"upper_arm\", \"forearm\", [640, 500]]",
    "From place to place: pivots of parts, or points",
)
.must()
.more(", pivots of parts or points")];

const CHARTS: &[Key] = &[Key::table("<chart>", CHART, "", "A sheet of replacements")];

const CHART: &[Key] = &[
    parts(
        "parts",
        "[\"mouth\"]",
        "The parts whose replacements are shown",
    )
    .must()
    .more(", parts with replacements"),
    Key::new(
        "crop",
        Kind::Text(form::CROP),
        "\"head\"",
        "What each cell shows",
    )
    .usual(Usual::As("what all drawings of the part cover"))
    .wrong("write the name of a crop"),
];
