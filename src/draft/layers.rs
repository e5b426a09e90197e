//! The layers of a drawing: which groups are pieces of the figure, and what lies around them.

use std::collections::BTreeSet;

use roxmltree::{Document, Node};

use super::trade::{said, trade};
use super::words::{Words, is_detail, is_empty, is_role, split};
use crate::art::{bytes_of, labels, unescaped};
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
    let reader = Reader {
        xml,
        unseen: classes_that_hide(xml),
    };
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

struct Reader<'a, 'i> {
    xml: &'a Document<'i>,
    /// Classes whose elements are not shown.
    unseen: BTreeSet<String>,
}

/// Classes with `display: none` in the style sheets of a file.
fn classes_that_hide(xml: &Document<'_>) -> BTreeSet<String> {
    let mut found = BTreeSet::new();
    let sheets = xml.descendants().filter(|n| n.has_tag_name((SVG, "style")));
    for text in sheets
        .flat_map(|n| n.descendants())
        .filter_map(|n| n.text())
    {
        for rule in text.split('}') {
            let Some((who, what)) = rule.split_once('{') else {
                continue;
            };
            let none = what.split(';').filter_map(|d| d.split_once(':'));
            if none
                .into_iter()
                .any(|(k, v)| k.trim() == "display" && v.trim() == "none")
            {
                let classes = who.split(',').filter_map(|s| s.trim().strip_prefix('.'));
                found.extend(classes.map(str::to_owned));
            }
        }
    }
    found
}

/// What is said of the pieces below an element.
#[derive(Clone, Default)]
struct Below {
    inside: Option<usize>,
    around: Vec<usize>,
    /// Words of the groups around.
    said: Vec<Words>,
    hidden: bool,
    clipped: Option<String>,
    role: bool,
    marks: bool,
}

impl<'a, 'i: 'a> Reader<'a, 'i> {
    /// Whether an element draws, by itself or by what is in it.
    fn drawable(&self, node: Node<'a, 'i>) -> bool {
        if !node.is_element() || node.tag_name().namespace().is_some_and(|ns| ns != SVG) {
            return false;
        }
        match node.tag_name().name() {
            "g" | "svg" | "a" | "switch" => node.children().any(|n| self.drawable(n)),
            name => is_shape(name),
        }
    }

    fn is_group(node: Node<'a, 'i>) -> bool {
        matches!(node.tag_name().name(), "g" | "svg" | "a" | "switch")
    }

    fn counts(&self, root: Node<'a, 'i>) -> Counts {
        let mut counts = Counts::default();
        let mut wait = vec![root];
        while let Some(node) = wait.pop() {
            for child in node.children().filter(|n| self.drawable(*n)) {
                match child.tag_name().name() {
                    "text" => counts.texts += 1,
                    "image" => counts.images += 1,
                    _ if Self::is_group(child) => {
                        counts.groups += 1;
                        wait.push(child);
                    }
                    _ => counts.shapes += 1,
                }
            }
        }
        counts
    }

    fn hides(&self, node: Node<'a, 'i>) -> bool {
        let none = |text: &str| text.trim() == "none";
        let styled = node.attribute("style").is_some_and(|style| {
            let mut pairs = style.split(';').filter_map(|d| d.split_once(':'));
            pairs.any(|(k, v)| k.trim() == "display" && none(v))
        });
        let classed = node
            .attribute("class")
            .is_some_and(|c| c.split_whitespace().any(|c| self.unseen.contains(c)));
        styled || classed || node.attribute("display").is_some_and(none)
    }

    /// The best name that an element has; `None` where it says nothing.
    fn label(&self, node: Node<'a, 'i>) -> Option<String> {
        let kept = labels(node).map(std::borrow::Cow::into_owned);
        let id = node.attribute("id").map(|id| unescaped(id).into_owned());
        kept.chain(id).find(|name| !is_empty(name))
    }

    fn says(&self, node: Node<'a, 'i>, words: &[&str]) -> bool {
        let label = self.label(node);
        label.is_some_and(|l| split(&l).iter().any(|w| words.contains(&w.as_str())))
    }

    fn aside(&self, node: Node<'a, 'i>) -> bool {
        let label = self.label(node).map(|l| split(&l)).unwrap_or_default();
        label.iter().any(|w| ASIDE.contains(&w.as_str())) && label.len() < 3
    }

    /// A group that a person named, for a part.
    fn is_named(&self, node: Node<'a, 'i>) -> bool {
        Self::is_group(node) && self.label(node).is_some_and(|l| !is_detail(&l))
    }

    /// Named groups below an element, those below these aside.
    fn named_groups(&self, node: Node<'a, 'i>) -> usize {
        let kids = node.children().filter(|n| self.drawable(*n));
        kids.map(|n| {
            if self.is_named(n) {
                1
            } else if Self::is_group(n) {
                self.named_groups(n)
            } else {
                0
            }
        })
        .sum()
    }

    /// The group that holds the figure: inwards as long as all is in one group that is no part by itself.
    fn stage(&self, root: Node<'a, 'i>) -> Node<'a, 'i> {
        let mut node = root;
        loop {
            let mut kids = node
                .children()
                .filter(|n| self.drawable(*n) && !self.aside(*n) && !self.says(*n, &MARKS));
            let (Some(only), None) = (kids.next(), kids.next()) else {
                return node;
            };
            let below = only.children().filter(|n| self.drawable(*n)).count();
            if !Self::is_group(only) || below < 2 && self.named_groups(only) == 0 {
                return node;
            }
            node = only;
        }
    }

    fn figure(&self, node: Node<'a, 'i>) -> Figure {
        let mut figure = Figure::default();
        let stage = self.stage(node);
        let kept = self.clip_around(stage, node);
        let below = Below {
            clipped: kept,
            ..Below::default()
        };
        self.container(stage, &below, &mut figure);
        if stage != node {
            // What lies beside the figure: marks, guides.
            let mut at = stage;
            while let Some(outer) = at.parent().filter(|_| at != node) {
                for side in outer.children().filter(|n| *n != at && self.drawable(*n)) {
                    self.visit(side, &Below::default(), &mut figure);
                }
                at = outer;
            }
        }
        merge_roles(&mut figure);
        figure
    }

    fn clip_around(&self, stage: Node<'a, 'i>, node: Node<'a, 'i>) -> Option<String> {
        let mut around = stage.ancestors().take_while(|n| *n != node);
        around.find(|n| clips(*n)).map(|n| self.address(n))
    }

    /// All that is in a group which is no piece itself.
    fn container(&self, node: Node<'a, 'i>, below: &Below, figure: &mut Figure) {
        let mut loose: Vec<Node<'a, 'i>> = Vec::new();
        for child in node.children().filter(|n| self.drawable(*n)) {
            let plain = !Self::is_group(child) && self.label(child).is_none();
            if plain && !below.marks {
                loose.push(child);
                continue;
            }
            self.loose(&mut loose, below, figure);
            self.visit(child, below, figure);
        }
        self.loose(&mut loose, below, figure);
    }

    /// Shapes without a name that lie beside pieces: one piece.
    fn loose(&self, shapes: &mut Vec<Node<'a, 'i>>, below: &Below, figure: &mut Figure) {
        let Some(first) = shapes.first() else { return };
        let piece = Piece {
            art: shapes.iter().map(|n| self.address(*n)).collect(),
            at: first.range().start,
            hidden: below.hidden,
            inside: below.inside,
            around: below.around.clone(),
            clipped: below.clipped.clone(),
            ..Piece::default()
        };
        figure.pieces.push(piece);
        shapes.clear();
    }

    fn visit(&self, node: Node<'a, 'i>, below: &Below, figure: &mut Figure) {
        let label = self.label(node);
        if self.aside(node) {
            let label = label.unwrap_or_default();
            figure
                .passed
                .push((label, "its name says that it is no part of the figure"));
            return;
        }
        if let Some(mark) = self.mark(node, below) {
            figure.marks.extend(mark);
            return;
        }
        let mut below = below.clone();
        below.hidden |= self.hides(node);
        if Self::is_group(node) {
            let role = label.as_deref().is_some_and(is_role);
            let inner = self.named_groups(node);
            let own = self.own_shapes(node);
            let of_leaves = inner == 0 && self.leaves_are_parts(node, role);
            let unnamed = label.is_none();
            let folder =
                inner > 0 && (own.is_empty() || unnamed || role) || of_leaves || role && inner > 0;
            if folder || below.marks {
                below.around.push(node.range().start);
                if let Some(label) = label.filter(|l| view_name(l).is_none()) {
                    if !role {
                        below.said.push(Words::new(&label));
                    }
                }
                below.role |= role;
                if clips(node) {
                    below.clipped = Some(self.address(node));
                }
                self.container(node, &below, figure);
                return;
            }
            if inner > 0 {
                self.with_pieces(node, label.unwrap_or_default(), &below, figure);
                return;
            }
        }
        let piece = self.piece(node, label.unwrap_or_default(), &below);
        figure.pieces.push(piece);
    }

    /// A group whose shapes are parts, each with a name of its own.
    fn leaves_are_parts(&self, node: Node<'a, 'i>, role: bool) -> bool {
        let label = self.label(node).unwrap_or_default();
        if !role && trade(&Words::new(&label)).is_some() {
            return false;
        }
        let kids = || node.children().filter(|n| self.drawable(*n));
        let named = kids()
            .filter_map(|n| self.label(n))
            .filter(|l| !is_detail(l));
        let known = named
            .filter(|l| role || trade(&Words::new(l)).is_some())
            .count();
        known > usize::from(!role)
    }

    /// Shapes of a group that belong to no named group in it.
    fn own_shapes(&self, node: Node<'a, 'i>) -> Vec<Node<'a, 'i>> {
        let kids = node.children().filter(|n| self.drawable(*n));
        kids.filter(|n| !self.is_named(*n) && self.named_groups(*n) == 0 && !self.hides(*n))
            .collect()
    }

    fn piece(&self, node: Node<'a, 'i>, label: String, below: &Below) -> Piece {
        let centre = |axis: &str| {
            let text = node.attribute((INKSCAPE, axis))?;
            text.parse::<f64>().ok().filter(|v| v.is_finite())
        };
        let (x, y) = (centre("transform-center-x"), centre("transform-center-y"));
        let given = (x.is_some() || y.is_some()).then(|| [x.unwrap_or(0.0), y.unwrap_or(0.0)]);
        let own = split(&label);
        let bare: Vec<String> = own
            .iter()
            .rev()
            .skip_while(|w| is_role(w))
            .cloned()
            .collect();
        let role = bare.len() < own.len() && !bare.is_empty();
        let kept = if role {
            bare.into_iter().rev().collect::<Vec<_>>().join(" ")
        } else {
            label.clone()
        };
        Piece {
            words: within(Words::new(&kept), &below.said),
            art: vec![self.address(node)],
            hidden: below.hidden,
            inside: below.inside,
            around: below.around.clone(),
            clipped: if clips(node) {
                Some(self.address(node))
            } else {
                below.clipped.clone()
            },
            centre: given,
            role: role || below.role,
            at: node.range().start,
            label,
            ..Piece::default()
        }
    }

    /// A named group with shapes of its own and pieces in it.
    fn with_pieces(&self, node: Node<'a, 'i>, label: String, below: &Below, figure: &mut Figure) {
        let mut piece = self.piece(node, label, below);
        piece.art.clear();
        piece.effect = has_effect(node);
        let at = figure.pieces.len();
        let mut inner = below.clone();
        inner.inside = Some(at);
        inner.said.push(Words {
            base: Vec::new(),
            ..piece.words.clone()
        });
        figure.pieces.push(piece);
        let mut between = false;
        for child in node.children().filter(|n| self.drawable(*n)) {
            let is_piece =
                self.is_named(child) || self.named_groups(child) > 0 || self.hides(child);
            if is_piece {
                self.visit(child, &inner, figure);
                between = true;
                continue;
            }
            let own = &mut figure.pieces[at];
            if between {
                own.runs.push(own.art.len());
                between = false;
            }
            own.art.push(self.address(child));
        }
        figure.pieces[at].runs.retain(|&run| run > 0);
    }

    /// The marks that an element is, or holds.
    fn mark(&self, node: Node<'a, 'i>, below: &Below) -> Option<Vec<Mark>> {
        let label = self.label(node);
        let words = split(label.as_deref().unwrap_or_default());
        let is_mark = |w: &String| MARKS.contains(&w.as_str());
        if !below.marks && !words.iter().any(is_mark) {
            return None;
        }
        let named: Vec<String> = words.iter().filter(|w| !is_mark(w)).cloned().collect();
        let holds = Self::is_group(node)
            && node
                .children()
                .filter(|n| self.drawable(*n))
                .any(|n| self.label(n).is_some());
        if holds && (named.is_empty() || below.marks) {
            let inner = Below {
                marks: true,
                ..below.clone()
            };
            let kids = node.children().filter(|n| self.drawable(*n));
            return Some(
                kids.filter_map(|n| self.mark(n, &inner))
                    .flatten()
                    .collect(),
            );
        }
        if named.is_empty() {
            return Some(Vec::new());
        }
        Some(vec![Mark {
            words: within(Words::new(&named.join(" ")), &below.said),
            art: self.address(node),
            at: node.range().start,
        }])
    }

    /// How a rig names an element.
    fn address(&self, node: Node<'a, 'i>) -> String {
        let leads = |name: &str| {
            let safe = !name.contains(['#', '"', '\\']) && !name.chars().any(char::is_control);
            safe && !name.starts_with("element(")
                && name.trim() == name
                && bytes_of(self.xml, name) == Some(node.range())
        };
        let id = node.attribute("id");
        let said: Vec<String> = labels(node).map(std::borrow::Cow::into_owned).collect();
        let first = id.filter(|id| !is_empty(id)).map(str::to_owned);
        let names: Vec<String> = first
            .into_iter()
            .chain(said)
            .filter(|n| !is_empty(n))
            .collect();
        if let Some(name) = names.iter().find(|name| leads(name)) {
            return name.clone();
        }
        for outer in node.ancestors().skip(1) {
            if let Some(around) = self.label(outer) {
                let mut paths = names.iter().map(|name| format!("{around}/{name}"));
                if let Some(path) = paths.find(|path| leads(path)) {
                    return path;
                }
            }
        }
        if let Some(id) = id.filter(|id| leads(id)) {
            return id.to_owned();
        }
        let mut steps = Vec::new();
        for at in node.ancestors().filter(Node::is_element) {
            if let Some(id) = at
                .attribute("id")
                .filter(|id| at != node && leads_to(self.xml, id, at))
            {
                steps.push(id.to_owned());
                steps.reverse();
                return format!("element({})", steps.join("/"));
            }
            let before = at.prev_siblings().filter(Node::is_element).count();
            steps.push(before.to_string());
        }
        steps.reverse();
        format!("element(/{})", steps.join("/"))
    }
}

fn leads_to(xml: &Document<'_>, id: &str, node: Node<'_, '_>) -> bool {
    let safe = !id.contains(['/', ')', '(', '#', '"', '\\']) && !id.is_empty();
    safe && bytes_of(xml, id) == Some(node.range())
}

fn is_shape(name: &str) -> bool {
    matches!(
        name,
        "path"
            | "rect"
            | "circle"
            | "ellipse"
            | "line"
            | "polyline"
            | "polygon"
            | "use"
            | "image"
            | "text"
    )
}

/// An attribute or a declaration of a style, if it is set to something.
fn sets(node: Node<'_, '_>, key: &str) -> bool {
    let set = |v: &str| !matches!(v.trim(), "none" | "1" | "");
    let styled = node.attribute("style").is_some_and(|style| {
        let mut pairs = style.split(';').filter_map(|d| d.split_once(':'));
        pairs.any(|(k, v)| k.trim() == key && set(v))
    });
    styled || node.attribute(key).is_some_and(set)
}

fn clips(node: Node<'_, '_>) -> bool {
    sets(node, "clip-path")
}

fn has_effect(node: Node<'_, '_>) -> bool {
    ["opacity", "filter", "mask", "mix-blend-mode"]
        .iter()
        .any(|key| sets(node, key))
}

/// A piece's words, with the side and the limb that the groups around it say.
fn within(mut words: Words, around: &[Words]) -> Words {
    for outer in around.iter().rev() {
        if said(&words).is_none() && !outer.base.is_empty() && !words.all.is_empty() {
            let mut all = outer.base.clone();
            all.extend(words.all.iter().cloned());
            let joined = Words::new(&all.join(" "));
            let reaches =
                said(&joined).is_some_and(|s| s.to == joined.base.len() && s.to > outer.base.len());
            if reaches && trade(&joined).is_some() && trade(&joined) != trade(outer) {
                words = joined;
            }
        }
        let outer_side = outer.all.iter().find(|w| Words::new(w).side.is_some());
        if let (None, Some(side)) = (words.side, outer_side) {
            let mut all = words.all.clone();
            all.push(side.clone());
            words = Words::new(&all.join(" "));
        }
        if let (None, Some(pair)) = (words.pair, outer.pair) {
            words.pair = Some(pair);
        }
    }
    words
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

#[cfg(test)]
mod tests {
    use super::*;

    fn pieces(body: &str) -> Vec<(String, Vec<String>, bool, Option<usize>)> {
        let text = format!(
            r#"<svg xmlns="http://www.w3.org/2000/svg" xmlns:inkscape="http://www.inkscape.org/namespaces/inkscape">{body}</svg>"#
        );
        let xml = Document::parse(&text).unwrap();
        let (figures, _) = read(&xml);
        let found = figures[0].pieces.iter();
        found
            .map(|p| (p.words.name(), p.art.clone(), p.hidden, p.inside))
            .collect()
    }

    fn told(body: &str) -> Vec<String> {
        let all = pieces(body).into_iter();
        all.map(|(name, art, hidden, inside)| {
            format!(
                "{name}={}{}{}",
                art.join("+"),
                if hidden { " hidden" } else { "" },
                inside.map_or(String::new(), |k| format!(" in {k}"))
            )
        })
        .collect()
    }

    #[test]
    fn layers_by_label_and_groups_by_id() {
        let layers = r#"<g id="layer1" inkscape:groupmode="layer" inkscape:label="Torso"><path id="path1"/></g>
            <g id="layer2" inkscape:groupmode="layer" inkscape:label="Left Arm"><path/><path/></g>"#;
        assert_eq!(told(layers), ["torso=Torso", "left_arm=Left Arm"]);
        let nested = r#"<g id="torso"><path/><path/><g id="arm_l"><path/><g id="hand_l"><path/></g></g><path id="x"/></g><g id="head"><path/></g>"#;
        assert_eq!(
            told(nested),
            [
                "torso=element(torso/1)+element(torso/2)+x",
                "arm_l=element(arm_l/1) in 0",
                "hand_l=hand_l in 1",
                "head=head"
            ]
        );
    }

    #[test]
    fn folders_lend_their_side_and_limb() {
        let body = r#"<g id="left_arm"><g id="upper"><path/></g><g id="lower"><path/></g><g id="hand"><path/></g></g>
            <g id="body"><path/></g>"#;
        assert_eq!(
            told(body),
            [
                "arm_upper_left=upper",
                "arm_lower_left=lower",
                "hand_left=hand",
                "body=body"
            ]
        );
    }

    #[test]
    fn fills_and_lines_of_one_name_are_one_piece() {
        let body = r#"<g id="Fills"><path id="torso"/><path id="arm"/></g><g id="Lines"><path data-name="torso" id="torso-2"/><path data-name="arm" id="arm-2"/></g>"#;
        assert_eq!(told(body), ["torso=torso+torso-2", "arm=arm+arm-2"]);
        let by_name =
            r#"<g id="arm_fill"><path/></g><g id="leg"><path/></g><g id="arm_line"><path/></g>"#;
        assert_eq!(told(by_name), ["arm=arm_fill+arm_line", "leg=leg"]);
    }

    #[test]
    fn marks_and_guides_are_no_pieces() {
        let body = r#"<g id="arm"><path/></g><g id="body"><path/></g><circle id="pivot_arm"/><g id="pivots"><circle id="leg"/></g>
            <g id="guides"><path/></g><g id="hand_fist" style="display:none"><path/></g>"#;
        assert_eq!(
            told(body),
            ["arm=arm", "body=body", "hand_fist=hand_fist hidden"]
        );
        let text = format!(r#"<svg xmlns="http://www.w3.org/2000/svg">{body}</svg>"#);
        let xml = Document::parse(&text).unwrap();
        let (figures, _) = read(&xml);
        let marks: Vec<_> = figures[0]
            .marks
            .iter()
            .map(|m| (m.words.name(), m.art.clone()))
            .collect();
        assert_eq!(
            marks,
            [
                ("arm".into(), "pivot_arm".into()),
                ("leg".into(), "leg".to_owned())
            ]
        );
        assert_eq!(figures[0].passed[0].0, "guides");
    }

    #[test]
    fn views_are_layers_of_those_names() {
        let body = r#"<g id="front"><g id="a"><path/></g><g id="b"><path/></g></g><g id="Side-view"><g id="c"><path/></g><g id="d"><path/></g></g>"#;
        let text = format!(r#"<svg xmlns="http://www.w3.org/2000/svg">{body}</svg>"#);
        let xml = Document::parse(&text).unwrap();
        let (figures, _) = read(&xml);
        let views: Vec<_> = figures
            .iter()
            .map(|f| (f.view.clone().unwrap(), f.pieces.len()))
            .collect();
        assert_eq!(views, [("front".into(), 2), ("side".to_owned(), 2)]);
        assert_eq!(view_name("3/4 view").as_deref(), Some("three_quarter"));
    }

    #[test]
    fn unnamed_groups_are_pieces_and_wrappers_are_not() {
        let body = r#"<g><g><path/><path/></g><g><path/></g><path/><path/></g>"#;
        assert_eq!(
            told(body),
            [
                "part=element(/1/1/1)",
                "part=element(/1/1/2)",
                "part=element(/1/1/3)+element(/1/1/4)"
            ]
        );
    }
}
