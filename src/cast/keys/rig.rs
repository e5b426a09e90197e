//! `rig.toml`.

use super::{Key, Kind, LENGTHS, TURNED, Usual, form, joined, poses, view};
use crate::cast::LINT_CHECKS;

const OWN: &[Key] = &[
    Key::table(
        "character",
        CHARACTER,
        "write [character] with name and canvas = [width, height]",
        "The member as a whole",
    )
    .must(),
    Key::table(
        "swatch",
        SWATCHES,
        "write [swatch] and under it skin = \"#d99c78\"",
        "Swatches and their colours as the art is drawn; palettes say what differs then",
    ),
    Key::table(
        "palette",
        &[Key::table(
            "<palette>",
            SWATCHES,
            "",
            "Swatches and their colours; without `[swatch]` the first is as the art is drawn",
        )],
        "",
        "Palettes",
    ),
    Key::table(
        "expression",
        &[Key::table(
            "<expression>",
            poses::EXPRESSION,
            "",
            "Drawings and small moves under one name, for poses: a face, a hand",
        )],
        "",
        "Expressions",
    ),
    Key::table(
        "lint",
        LINT,
        "write [[lint.allow]] and under it check = \"unpaired\", of = [\"hook_near\"], reason = \"...\"",
        "What `layfig lint` finds fault with",
    ),
    Key::table(
        "compare",
        COMPARE,
        "write [compare] and under it pixels = 20",
        "What counts as changed",
    ),
    Key::table(
        "views",
        &[Key::new(
            "<view>",
            Kind::Any(&[Kind::Text(form::FILE), Kind::Table(OF_VIEW)]),
            "\"front.toml\"",
            "The file of its parts; or a table with that and what it faces",
        )],
        "write [views] and under it front = \"front.toml\"",
        "The views of a member that has several: what describes a view stands in its file then, not here",
    ),
];

const FACING: Key = Key::new(
    "facing",
    Kind::Number(TURNED),
    "90",
    "Degrees that it shows the body turned from the viewer, to screen right: 45 three-quarter, 90 side, 180 back",
)
.more(", degrees turned from the viewer to screen right");

const OF_VIEW: &[Key] = &[
    Key::new(
        "file",
        Kind::Text(form::FILE),
        "\"front.toml\"",
        "The file of its parts",
    )
    .must(),
    FACING,
];

pub(super) const RIG: &[Key] = &joined::<{ OWN.len() + view::VIEW.len() }>(OWN, view::VIEW);

const CHARACTER: &[Key] = &[
    Key::new("name", Kind::Words, "\"Deckhand\"", "What sheets call it")
        .usual(Usual::As("the folder's name")),
    Key::new(
        "canvas",
        Kind::Any(&[Kind::Sides(65_000.0), Kind::Text(form::DRAWING)]),
        "[900, 1200]",
        "Art space of all parts, user units, or the drawing whose viewBox it is; the assembled drawing is the rest pose",
    )
    .must()
    .more(", width and height in user units"),
    Key::new(
        "grow",
        Kind::Flag,
        "true",
        "Pictures grow where the figure leaves the canvas",
    )
    .usual(Usual::Flag(false)),
    Key::new(
        "near",
        Kind::Word(&["left", "right"]),
        "\"right\"",
        "Which side of the body is near in names of parts",
    )
    .more(" or near = \"left\", the character's own"),
    FACING,
    Key::new(
        "shortest",
        Kind::Number([0.01, 1.0]),
        "0.4",
        "The least share of its drawn length that an aim leaves of a limb",
    )
    .usual(Usual::Number(0.4))
    .more(", a share of the drawn length"),
    Key::new("ground", Kind::Number(LENGTHS), "1130", "y of the floor"),
    Key::new(
        "crown",
        Kind::Number(LENGTHS),
        "110",
        "y of the top of the head, above the ground",
    ),
    Key::new(
        "heads",
        Kind::Number([0.1, 100.0]),
        "6.5",
        "Figure height in heads",
    )
    .more(", the figure's height in heads"),
    Key::new(
        "height",
        Kind::Text(form::HEIGHT),
        "\"168 cm\"",
        "Height in life, from ground to crown",
    )
    .beside(&["ground", "crown"])
    .more("; units are mm, cm, m, in and ft"),
    Key::new(
        "drift",
        Kind::Number([0.0, 100.0]),
        "1",
        "How far a landmark may drift between views, percent of the figure's height",
    )
    .usual(Usual::Number(1.0))
    .more(", percent of the figure's height"),
    Key::new(
        "palette",
        Kind::Text(form::PALETTE),
        "\"day\"",
        "The palette of poses that name none",
    )
    .usual(Usual::As("the colours of `[swatch]`, as a palette called drawn; without them the first palette")),
    Key::new(
        "poses",
        Kind::Texts(form::FILE, [0, 1000]),
        "[\"poses.toml\"]",
        "Pose lists that commands take where none is given",
    ),
];

const SWATCHES: &[Key] = &[Key::new(
    "<swatch>",
    Kind::Text(form::COLOUR),
    "\"#d99c78\"",
    "Its colour; art refers to it by the colour in `[swatch]`, or the first palette's, or by an id `swatch-<swatch>`",
)
.wrong("write \"#rrggbb\"")];

const ALLOW: &[Key] = &[
    Key::new(
        "check",
        Kind::Word(&LINT_CHECKS),
        "\"unpaired\"",
        "Which check",
    )
    .must()
    .more(", and reason = \"...\" for whoever reads it next")
    .wrong("write check = \"unpaired\""),
    Key::new(
        "of",
        Kind::Texts(form::ABOUT, [0, usize::MAX]),
        "[\"hook_near\"]",
        "What the findings are about: parts, palettes, `front.svg#group`",
    )
    .usual(Usual::As("all that the check finds"))
    .more(", what the findings are about"),
    Key::new(
        "reason",
        Kind::Words,
        "\"he has one hook\"",
        "Why it is meant",
    )
    .must()
    .more(", for whoever reads it next")
    .wrong("write why it is meant"),
];

/// The limits are ours, for a canvas of a thousand units; there is no source.
pub(in crate::cast) const LINT: &[Key] = &[
    Key::new("allow", Kind::List(&Kind::Table(ALLOW), [0, usize::MAX]), "[{ check = \"unpaired\", reason = \"he has one hook\" }]", "A finding that is meant")
        .wrong("write [[lint.allow]] and under it check = \"unpaired\", of = [\"hook_near\"], reason = \"...\""),
    Key::new("open-paint", Kind::Number([0.0, 1e6]), "12", "Paint's edge without ink, units").usual(Usual::Number(12.0)),
    Key::new("stray", Kind::Number([0.0, 100.0]), "20", "How far a piece lies from the rest, % of the canvas's diagonal").usual(Usual::Number(20.0)),
    Key::new("pivot-off", Kind::Number([0.0, 1e6]), "2", "How far a pivot lies outside its overlap, units").usual(Usual::Number(2.0)),
    Key::new("depth-tie", Kind::Number([0.0, 1e9]), "60", "What two parts of one depth share, square units").usual(Usual::Number(60.0)),
];

/// What a pose says too: CIEDE2000 between any two colours is about 120 at most; beyond a pixel it is no soft edge
/// any more.
const COMPARE: &[Key] = &joined::<{ poses::COMPARE_POSE.len() + 1 }>(
    poses::COMPARE_POSE,
    &[Key::new(
        "scale",
        Kind::Number([1e-3, 100.0]),
        "0.5",
        "Of the pictures, pixels to the canvas unit",
    )
    .usual(Usual::Number(1.0))
    .more(", pixels to the canvas unit")],
);
