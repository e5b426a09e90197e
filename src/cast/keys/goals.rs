//! Where poses say that limbs go, feet stay and eyes look.

use super::{Key, Kind, LENGTHS, Usual, form};

const TO: Key = Key::new(
    "to",
    Kind::Any(&[Kind::Text(form::TARGET), Kind::Pair(LENGTHS)]),
    "\"crate.handle\"",
    "A part, a point of one, an element of a drawing, or, where one view is meant, a point",
)
.wrong(
    "write a part, \"crate.handle\", \"wear.svg#handle\", or two numbers where one view is meant",
);
const OFFSET: Key = Key::new(
    "offset",
    Kind::Pair(LENGTHS),
    "[0, -12]",
    "Added to where that is, in units of what it moves with",
)
.usual(Usual::Pair([0.0, 0.0]));
const BY: Key = Key::new(
    "by",
    Kind::Text(form::POINT),
    "\"palm\"",
    "The point of its own that comes there, or stays",
)
.usual(Usual::As("the first of its `points`, else its pivot"))
.wrong("write the name of one of its points");
const CHAIN: Key = Key::new(
    "chain",
    Kind::Any(&[Kind::Whole([1.0, 20.0]), Kind::Texts(form::PART, [1, 20])]),
    "2",
    "What turns for it: how many parts above it, or which",
)
.usual(Usual::As("the two limbs above it"))
.wrong("write how many parts above it turn, chain = 3, or their names");
const FOLD: Key = Key::new(
    "fold",
    Kind::Word(&["up", "down", "left", "right", "other"]),
    "\"down\"",
    "Where the middle joint goes, on the page as it is before `mirror`; `other`: not as the limb folds by itself",
)
.usual(Usual::As("as the limits let it, else as it is drawn"))
.wrong("write \"up\", \"down\", \"left\", \"right\" or \"other\"");
const LONGER: Key = Key::new(
    "stretch",
    Kind::Number([1.0, 100.0]),
    "1.2",
    "How long its limbs may become where they do not come there by themselves; 1 is as drawn",
)
.usual(Usual::Number(1.0));

pub(super) const REACH: &[Key] = &[
    TO.must(),
    OFFSET,
    BY,
    CHAIN,
    FOLD,
    Key::new(
        "keep_angle",
        Kind::Flag,
        "true",
        "It keeps the angle on the page that it has at rest",
    )
    .usual(Usual::Flag(false)),
    LONGER,
];

pub(super) const PLANT: &[Key] = &[
    Key::new(
        "at",
        Kind::Any(&[Kind::Word(&["rest", "ground"]), Kind::Pair(LENGTHS)]),
        "\"ground\"",
        "Where it stays: as at rest, at the height of the ground, or, where one view is meant, at a point",
    )
    .usual(Usual::Word("rest"))
    .wrong("write \"rest\", \"ground\", or two numbers where one view is meant"),
    BY,
    CHAIN,
    FOLD,
    LONGER,
];

pub(super) const LOOK: &[Key] = &[
    TO.without(&["turn", "up"]),
    OFFSET.beside(&["to"]),
    Key::new(
        "turn",
        Kind::Number([-90.0, 90.0]),
        "20",
        "Degrees to the character's own left",
    )
    .usual(Usual::Number(0.0)),
    Key::new("up", Kind::Number([-90.0, 90.0]), "10", "Degrees up").usual(Usual::Number(0.0)),
    Key::new(
        "share",
        Kind::Table(&[Key::new(
            "<part>",
            Kind::Number([0.0, 1.0]),
            "0.3",
            "How much of the angle it turns by",
        )]),
        "{ head = 0.3 }",
        "Parts that turn along, as the head and the neck",
    ),
];
