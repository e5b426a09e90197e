//! Sheets of pose lists.

use super::poses::NOTE;
use super::{Key, Kind, Usual, form};
use crate::cast::sheet_kind::LISTED;

pub(super) const SHEET: &[Key] = &[
    Key::new("kind", Kind::Word(&LISTED), "\"pose\"", "What it shows").usual(Usual::As(
        "\"range\" where only sweeps are named, else \"pose\"",
    )),
    Key::new("title", Kind::Words, "\"Deck work\"", "Its heading")
        .usual(Usual::As("its name"))
        .more(", or leave it out"),
    NOTE,
    Key::new(
        "views",
        Kind::Any(&[
            Kind::Word(&["all"]),
            Kind::Texts(form::VIEW, [1, usize::MAX]),
        ]),
        "\"all\"",
        "The views it shows",
    )
    .usual(Usual::As("as --view says"))
    .wrong("write views = [\"front\", \"side\"], or \"all\""),
    Key::new(
        "poses",
        Kind::Texts(form::POSES, [1, usize::MAX]),
        "[\"rest\"]",
        "The poses it shows, in this order; names of stress tables, and * for anything",
    )
    .usual(Usual::As("all"))
    .wrong("write poses = [\"rest\", \"haul\"], or names with * for anything"),
    Key::new(
        "sweeps",
        Kind::Texts(form::SWEEPS, [1, usize::MAX]),
        "[\"elbow_near\"]",
        "The sweeps it shows",
    )
    .usual(Usual::As("all"))
    .more(", or names with * for anything"),
    Key::new(
        "charts",
        Kind::Texts(form::CHART, [1, usize::MAX]),
        "[\"hands\"]",
        "The charts of the rig that it shows",
    )
    .usual(Usual::As("all"))
    .more(", charts of the rig"),
    Key::new(
        "crop",
        Kind::Text(form::CROP),
        "\"head\"",
        "A crop of the rig",
    )
    .usual(Usual::As("what the figures cover"))
    .wrong("write the name of a crop"),
    Key::new("canvas", Kind::Flag, "true", "Cells show the whole canvas")
        .usual(Usual::Flag(false))
        .without(&["crop"]),
    Key::new(
        "targets",
        Kind::Flag,
        "true",
        "Cells tell where hands go, which feet stay and where the eyes turn",
    )
    .usual(Usual::Flag(false)),
    Key::new(
        "palette",
        Kind::Text(form::PALETTE),
        "\"dusk\"",
        "Draws everything in this palette",
    )
    .usual(Usual::As("as the poses say"))
    .wrong("write a palette's name"),
    Key::new(
        "page",
        Kind::Text(form::PAGE),
        "\"a3\"",
        "What its pages are cut to",
    )
    .usual(Usual::As("as --page says"))
    .wrong("write a4, a3, letter, tabloid, 16:9, fit, or pixels as 1920x1080"),
    Key::new(
        "orient",
        Kind::Word(&["landscape", "portrait"]),
        "\"landscape\"",
        "Which way pages are held",
    )
    .usual(Usual::As("as --orient says"))
    .more(" or \"portrait\""),
    Key::new(
        "paper",
        Kind::Word(&["light", "dark"]),
        "\"light\"",
        "What it is printed on",
    )
    .usual(Usual::As("as --paper says"))
    .more(" or \"dark\""),
    Key::new(
        "margin",
        Kind::Number([0.0, 60.0]),
        "12",
        "Around what pages hold, millimetres",
    )
    .usual(Usual::As("as --margin says"))
    .more(", millimetres"),
    Key::new("columns", Kind::Whole([1.0, 100.0]), "4", "Cells of a row")
        .usual(Usual::As("as many as fit")),
    Key::new(
        "cell",
        Kind::Whole([32.0, 6000.0]),
        "400",
        "Height of the figures, pixels",
    )
    .usual(Usual::As("as --cell says")),
    Key::new(
        "revision",
        Kind::Any(&[Kind::Words, Kind::Date]),
        "\"C\"",
        "Which state of the design, for the title block",
    ),
    Key::new(
        "date",
        Kind::Any(&[Kind::Date, Kind::Words]),
        "\"2031-05-02\"",
        "When, for the title block",
    ),
];
