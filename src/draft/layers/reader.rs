//! The walk through a drawing's groups.

use std::collections::BTreeSet;

use roxmltree::{Document, Node};

use super::super::trade::{said, trade};
use super::super::words::{Words, is_detail, is_empty, is_role, split};
use super::{ASIDE, Counts, Figure, INKSCAPE, MARKS, Mark, Piece, SVG, merge_roles, view_name};
use crate::art::{labels, unescaped};

pub(super) struct Reader<'a, 'i> {
    pub(super) xml: &'a Document<'i>,
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
    pub fn new(xml: &'a Document<'i>) -> Self {
        Self {
            xml,
            unseen: classes_that_hide(xml),
        }
    }

    /// Whether an element draws, by itself or by what is in it.
    pub(super) fn drawable(&self, node: Node<'a, 'i>) -> bool {
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

    pub(super) fn counts(&self, root: Node<'a, 'i>) -> Counts {
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
    pub(super) fn label(&self, node: Node<'a, 'i>) -> Option<String> {
        let kept = labels(node).map(std::borrow::Cow::into_owned);
        let id = node.attribute("id").map(|id| unescaped(id).into_owned());
        kept.chain(id).find(|name| !is_empty(name))
    }

    fn says(&self, node: Node<'a, 'i>, words: &[&str]) -> bool {
        let label = self.label(node);
        label.is_some_and(|l| split(&l).iter().any(|w| words.contains(&w.as_str())))
    }

    pub(super) fn aside(&self, node: Node<'a, 'i>) -> bool {
        let label = self.label(node).map(|l| split(&l)).unwrap_or_default();
        label.iter().any(|w| ASIDE.contains(&w.as_str())) && label.len() < 3
    }

    /// A group that a person named, for a part.
    fn is_named(&self, node: Node<'a, 'i>) -> bool {
        Self::is_group(node) && self.label(node).is_some_and(|l| !is_detail(&l))
    }

    /// Named groups below an element, those below these aside.
    pub(super) fn named_groups(&self, node: Node<'a, 'i>) -> usize {
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
    pub(super) fn stage(&self, root: Node<'a, 'i>) -> Node<'a, 'i> {
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

    pub(super) fn figure(&self, node: Node<'a, 'i>) -> Figure {
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
                if let Some(label) = label.filter(|l| view_name(l).is_none() && !role) {
                    below.said.push(Words::new(&label));
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
