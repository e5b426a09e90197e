//! Cast files.

use super::{Key, Kind, Usual, form};

pub(super) const CAST: &[Key] = &[
    Key::table(
        "cast",
        &[Key::new(
            "name",
            Kind::Words,
            "\"The Wenderquay Crossing\"",
            "The show, as line-ups and nights call it",
        )
        .usual(Usual::As("the file's name"))
        .wrong(SHOW)],
        SHOW,
        "The show",
    ),
    Key::table("member", MEMBERS, "", "The members").must(),
];

const SHOW: &str = "write [cast] and under it name = \"The Wenderquay Crossing\"";

const MEMBERS: &[Key] = &[Key::table(
    "<member>",
    &[Key::new(
        "rig",
        Kind::Text(form::FILE),
        "\"deckhand\"",
        "Where its rig is",
    )
    .usual(Usual::As("the folder of its name"))
    .more(", a folder or its rig.toml")],
    "",
    "A member: what files and commands call it",
)];
