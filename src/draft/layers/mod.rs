//! The layers of a drawing: which groups are pieces of the figure, and what lies around them.

mod address;
mod reader;
#[cfg(test)]
mod tests;

use roxmltree::{Document, Node};

use self::reader::Reader;
use super::words::{Words, split};
use crate::geom::Point;

/// A piece of a drawing that may become a part.
#[derive(Clone, Debug, Default)]
pub struct Piece {
    /// As the drawing calls it; empty where it has no name.
    pub label: String,
    /// The same in words, with what the groups around it add.
    pub words: Words,
    /// Its elements, back to front, as a rig names them.
    pub art: Vec<String>,
    /// The drawing program does not show it.
    pub hidden: bool,
    /// The piece that it lies in, by its place in the list.
    pub inside: Option<usize>,
    /// The groups around it that are no pieces, from the outside in, by their first bytes.
    pub around: Vec<usize>,
    /// An element around it, or it, that the artist clipped.
    pub clipped: Option<String>,
    /// The drawing program's own centre of rotation, from the middle of its box: x, and y upwards.
    pub centre: Option<Point>,
    /// Its fills or its lines only.
    pub role: bool,
    /// Where in the file it begins.
    pub at: usize,
    /// Its elements that lie in front of pieces inside it begin here.
    pub runs: Vec<usize>,
    /// Its group has an effect that its elements alone do not have.
    pub effect: bool,
}

/// A mark for a pivot.
#[derive(Clone, Debug)]
pub struct Mark {
    /// What it is a mark for.
    pub words: Words,
    /// The element.
    pub art: String,
    /// Its place in the file.
    pub at: usize,
}

/// One figure of a drawing.
#[derive(Clone, Debug, Default)]
pub struct Figure {
    /// As a layer around it is called: `front`.
    pub view: Option<String>,
    /// In drawing order.
    pub pieces: Vec<Piece>,
    /// Marks for pivots.
    pub marks: Vec<Mark>,
    /// What was passed over, and why.
    pub passed: Vec<(String, &'static str)>,
}

/// What a drawing is made of.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Counts {
    /// Lines and areas.
    pub shapes: usize,
    /// Texts.
    pub texts: usize,
    /// Pictures of pixels.
    pub images: usize,
    /// Groups.
    pub groups: usize,
}

const SVG: &str = "http://www.w3.org/2000/svg";
const INKSCAPE: &str = "http://www.inkscape.org/namespaces/inkscape";

/// Words of layers that hold marks for pivots.
const MARKS: [&str; 10] = [
    "pivot", "pivots", "mark", "marks", "marker", "markers", "joints", "centres", "centers",
    "hinges",
];
/// Words of layers that are no part of the figure.
const ASIDE: [&str; 13] = [
    "background",
    "bg",
    "guide",
    "guides",
    "notes",
    "note",
    "sketch",
    "reference",
    "ref",
    "grid",
    "paper",
    "template",
    "construction",
];

/// What views are called.
#[must_use]
pub fn view_name(label: &str) -> Option<String> {
    let words = split(label);
    let said: Vec<&str> = words
        .iter()
        .map(String::as_str)
        .filter(|w| !matches!(*w, "view" | "layer" | "the"))
        .collect();
    let name = match said.as_slice() {
        ["front"] => "front",
        ["side" | "profile"] => "side",
        ["back" | "rear"] => "back",
        ["top"] => "top",
        ["three", "quarter" | "quarters"] | ["3", "4"] | ["threequarter" | "threequarters"] => {
            "three_quarter"
        }
        ["three", "quarter" | "quarters", "back" | "rear"]
        | ["back", "three", "quarter"]
        | ["3", "4", "back" | "rear"] => "three_quarter_back",
        ["three", "quarter" | "quarters", "front"]
        | ["front", "three", "quarter"]
        | ["3", "4", "front"] => "three_quarter",
        ["left", "side"] | ["side", "left"] => "side_left",
        ["right", "side"] | ["side", "right"] => "side_right",
        _ => return None,
    };
    Some(name.to_owned())
}

/// Reads what a drawing holds: its figures, one unless its outermost layers are views.
pub fn read(xml: &Document<'_>) -> (Vec<Figure>, Counts) {
    let reader = Reader::new(xml);
    let root = xml.root_element();
    let counts = reader.counts(root);
    let views: Vec<(String, Node<'_, '_>)> = reader
        .stage(root)
        .children()
        .filter(|n| reader.drawable(*n) && !reader.aside(*n))
        .filter_map(|n| Some((view_name(&reader.label(n)?)?, n)))
        .filter(|(_, n)| reader.named_groups(*n) > 1)
        .collect();
    let figures = if views.len() > 1 {
        let of = |(view, node): (String, Node<'_, '_>)| {
            let mut figure = reader.figure(node);
            figure.view = Some(view);
            figure
        };
        views.into_iter().map(of).collect()
    } else {
        let mut figure = reader.figure(root);
        let mut wrappers = reader.stage(root).ancestors();
        figure.view = wrappers.find_map(|n| view_name(&reader.label(n)?));
        vec![figure]
    };
    (figures, counts)
}

/// Fills and lines of one name become one piece, at the place of the first.
fn merge_roles(figure: &mut Figure) {
    let mut at = 0;
    while at < figure.pieces.len() {
        let piece = figure.pieces[at].clone();
        let same = |other: &Piece| {
            (piece.role || other.role)
                && other.words.all == piece.words.all
                && !piece.words.all.is_empty()
                && other.hidden == piece.hidden
                && !(other.label == piece.label && other.around == piece.around)
        };
        let Some(first) = figure.pieces[..at].iter().position(same) else {
            at += 1;
            continue;
        };
        let own = &mut figure.pieces[first];
        own.art.extend(piece.art);
        own.role = true;
        if own.centre.is_none() {
            own.centre = piece.centre;
        }
        figure.pieces.remove(at);
        for other in &mut figure.pieces {
            if let Some(inside) = &mut other.inside {
                if *inside == at {
                    *inside = first;
                } else if *inside > at {
                    *inside -= 1;
                }
            }
        }
    }
}
