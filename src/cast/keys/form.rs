//! Forms of texts: what schemas can say of a name, a path, a colour. The parser reads them with code of
//! their own, and looks up what they name.

/// A form of text.
#[derive(Debug)]
pub struct Form {
    /// What it is: `the name of a part`.
    pub what: &'static str,
    /// A regular expression (ECMA 262) that every text of the form matches.
    pub pattern: &'static str,
}

const fn form(what: &'static str, pattern: &'static str) -> Form {
    Form { what, pattern }
}

/// Names that people choose: see `names::check`, which is stricter of what is not ASCII; not every reader of
/// schemas knows classes of Unicode.
pub(super) const NAME: &str =
    r"^[^\x00-\x2c./:-@\x5b-\x5e`\x7b-\xa0][^\x00-\x2c/:-@\x5b-\x5e`\x7b-\xa0]{0,99}$";
/// A line of text that says something: see `value::words`.
pub(super) const LINE: &str =
    r"^[^\x00-\x1f\x7f-\x9f]*[^\s\x00-\x1f\x7f-\x9f][^\x00-\x1f\x7f-\x9f]*$";
/// A name, or one with `*` for anything.
const GLOB: &str = r"^\S+$";
/// A relative path.
const PATH: &str = r"^(?![/]|.:|data:|file:|.*://)[^\\\x00-\x1f]*[^\\\x00-\x1f\s][^\\\x00-\x1f]*$";

pub(super) const PART: &Form = &form("the name of a part", NAME);
pub(super) const TARGET: &Form = &form(
    "a part, a point of one as \"crate.handle\", or a file and an element's id",
    r"^[^\x00-\x1f]+$",
);
pub(super) const POINT: &Form = &form("the name of a point", NAME);
pub(super) const POSE: &Form = &form("the name of a pose", NAME);
pub(super) const EXPRESSION: &Form = &form("the name of an expression", NAME);
pub(super) const POSES: &Form = &form("the name of a pose or a stress table, * for anything", GLOB);
pub(super) const SWEEPS: &Form = &form("the name of a sweep, * for anything", GLOB);
pub(super) const PALETTE: &Form = &form("the name of a palette", NAME);
pub(super) const REPLACEMENT: &Form = &form("the name of a replacement, \"art\" or \"none\"", NAME);
pub(super) const CROP: &Form = &form("the name of a crop", NAME);
pub(super) const CHART: &Form = &form("the name of a chart", NAME);
pub(super) const VIEW: &Form = &form("the name of a view", NAME);
pub(super) const SWATCH: &Form = &form("the name of a swatch", NAME);
pub(super) const MOTION: &Form = &form("a motion of the joint", "^[a-z ]+$");
pub(super) const GROUP: &Form = &form("whom it was measured on", "^.+$");
pub(super) const ABOUT: &Form = &form("a part, a palette, an element", "");
pub(super) const FILE: &Form = &form("a path, relative to this file", PATH);
pub(super) const DRAWING: &Form = &form(
    "a drawing's path, relative to this file",
    r"^(?![/]|.:|data:|file:|.*://)[^\\\x00-\x1f]+\.svg$",
);
/// A file and an element, or an element of the view's own drawing.
pub(super) const ART: &Form = &form(
    "a file and an element's id",
    r"^#[^#]+$|^(?![/]|.:|data:|file:|.*://)[^\\\x00-\x1f]*[^\\\x00-\x1f\s][^\\\x00-\x1f]*#[^#]+$",
);
/// Elements whose ids differ only where the star stands.
pub(super) const EVERY: &Form = &form(
    "a file and an id with one * in it",
    r"^(?![/]|.:|data:|file:|.*://)[^\\\x00-\x1f]*#[^#*]*\*[^#*]*$",
);
pub(super) const COLOUR: &Form = &form(
    "a colour, \"#rrggbb\" or \"#rgb\"",
    "^#([0-9A-Fa-f]{3}|[0-9A-Fa-f]{6})$",
);
pub(super) const HEIGHT: &Form = &form(
    "a number with its unit: mm, cm, m, in, ft",
    r"^\s*\+?([0-9]+\.?[0-9]*|\.[0-9]+)\s*(mm|cm|m|in|ft)\s*$",
);
pub(super) const PAGE: &Form = &form(
    "a4, a3, letter, tabloid, 16:9, fit, or pixels as 1920x1080",
    r"^([aA][34]|[lL][eE][tT][tT][eE][rR]|[tT][aA][bB][lL][oO][iI][dD]|16:9|[fF][iI][tT]|\s*[0-9]+\s*[xX×]\s*[0-9]+\s*)$",
);
