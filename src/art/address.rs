//! How an element of a drawing is named: by its id, by what the drawing program calls it, by the names around it,
//! or by where it stands.

use std::borrow::Cow;
use std::ops::Range;

use roxmltree::Node;

/// Where drawing programs keep the names that people give.
const INKSCAPE: &str = "http://www.inkscape.org/namespaces/inkscape";
const SERIF: &str = "http://www.serif.com/";

/// What a name leads to.
pub(super) enum Found {
    /// One element: its bytes.
    One(Range<usize>),
    /// No element.
    None,
    /// Several elements of that name: the first two.
    Several(Range<usize>, Range<usize>),
}

/// What people call an element: the name that the drawing program keeps, and its id with escapes undone.
pub(crate) fn labels<'a>(node: Node<'a, '_>) -> impl Iterator<Item = Cow<'a, str>> {
    let kept = [
        node.attribute((INKSCAPE, "label")),
        node.attribute("data-name"),
        node.attribute((SERIF, "id")),
    ];
    let id = node.attribute("id").map(unescaped);
    let undone = id.filter(|name| matches!(name, Cow::Owned(_)));
    kept.into_iter().flatten().map(Cow::Borrowed).chain(undone)
}

/// An id as it was before it was made one: `left_x20_arm`, `left arm`.
pub(crate) fn unescaped(id: &str) -> Cow<'_, str> {
    let mut out = String::new();
    let mut rest = id;
    let escape = |from: &str| -> Option<(char, usize)> {
        let digits = from.strip_prefix("_x")?;
        let end = digits.find('_')?;
        let hex = digits
            .get(..end)
            .filter(|hex| (2..=6).contains(&hex.len()))?;
        let c = char::from_u32(u32::from_str_radix(hex, 16).ok()?)?;
        (!c.is_control()).then_some((c, end + 3))
    };
    while let Some(at) = rest.find("_x") {
        out.push_str(&rest[..at]);
        rest = &rest[at..];
        if let Some((c, length)) = escape(rest) {
            out.push(c);
            rest = &rest[length..];
        } else {
            out.push_str("_x");
            rest = &rest[2..];
        }
    }
    out.push_str(rest);
    if out == id {
        Cow::Borrowed(id)
    } else {
        Cow::Owned(out)
    }
}

/// The bytes of the element that a name means; `None` too where several have it.
pub(crate) fn bytes_of(xml: &roxmltree::Document<'_>, name: &str) -> Option<Range<usize>> {
    match find(xml, name) {
        Found::One(bytes) => Some(bytes),
        Found::None | Found::Several(..) => None,
    }
}

fn is_called(node: Node<'_, '_>, name: &str) -> bool {
    node.attribute("id") == Some(name) || labels(node).any(|label| label == name)
}

/// The element that a name means: an id, else a label, else names from the outside in with strokes between, else a
/// place as the `element()` scheme of XPointer (W3C, 2003) writes it: `element(/1/3)`, `element(arm/2)`.
pub(super) fn find(xml: &roxmltree::Document<'_>, name: &str) -> Found {
    if let Some(place) = name
        .strip_prefix("element(")
        .and_then(|rest| rest.strip_suffix(')'))
    {
        return at(xml, place).map_or(Found::None, |node| Found::One(node.range()));
    }
    let elements = || xml.descendants().filter(Node::is_element);
    let by_id = only(elements().filter(|n| n.attribute("id") == Some(name)));
    if !matches!(by_id, Found::None) {
        return by_id;
    }
    let by_label = only(elements().filter(|n| labels(*n).any(|label| label == name)));
    if !matches!(by_label, Found::None) {
        return by_label;
    }
    let Some((around, own)) = name.rsplit_once('/') else {
        return Found::None;
    };
    let within = |node: &Node<'_, '_>| {
        let mut outer = around.split('/').rev().peekable();
        for ancestor in node.ancestors().skip(1).filter(Node::is_element) {
            if outer.peek().is_some_and(|step| is_called(ancestor, step)) {
                outer.next();
            }
        }
        outer.peek().is_none()
    };
    only(elements().filter(|n| is_called(*n, own) && within(n)))
}

fn only<'a, 'i: 'a>(mut found: impl Iterator<Item = Node<'a, 'i>>) -> Found {
    match (found.next(), found.next()) {
        (None, _) => Found::None,
        (Some(one), None) => Found::One(one.range()),
        (Some(first), Some(second)) => Found::Several(first.range(), second.range()),
    }
}

/// The element at a child sequence, from the root or from an id.
fn at<'a, 'i>(xml: &'a roxmltree::Document<'i>, place: &str) -> Option<Node<'a, 'i>> {
    let mut steps = place.split('/');
    let start = steps.next()?;
    let mut node = if start.is_empty() {
        xml.root()
    } else {
        xml.descendants()
            .find(|n| n.attribute("id") == Some(start))?
    };
    for step in steps {
        let nth: usize = step.parse().ok()?;
        node = node
            .children()
            .filter(Node::is_element)
            .nth(nth.checked_sub(1)?)?;
    }
    node.is_element().then_some(node)
}

/// The text with an id on every element that has none of its own, and those ids by the first byte of the element
/// before. Of several elements with one id the first keeps it.
pub(super) fn with_ids(
    text: &str,
    xml: &roxmltree::Document<'_>,
) -> (String, Vec<(usize, String)>) {
    let mut taken = std::collections::HashSet::new();
    let all: std::collections::HashSet<&str> = xml
        .descendants()
        .filter_map(|n| n.attribute("id"))
        .collect();
    let mut made = Vec::new();
    let mut edits: Vec<(Range<usize>, String)> = Vec::new();
    for (nth, node) in xml.descendants().filter(Node::is_element).enumerate() {
        let start = node.range().start;
        let own = node.attribute_node("id");
        if let Some(own) = own.filter(|own| taken.insert(own.value())) {
            made.push((start, own.value().to_owned()));
            continue;
        }
        let mut id = format!("element-{nth}");
        while all.contains(id.as_str()) {
            id.push('_');
        }
        match own {
            Some(own) => edits.push((own.range_value(), id.clone())),
            None => {
                let name = text[start + 1..]
                    .find(|c: char| c.is_whitespace() || c == '>' || c == '/')
                    .map_or(text.len(), |end| start + 1 + end);
                edits.push((name..name, format!(" id=\"{id}\"")));
            }
        }
        made.push((start, id));
    }
    let mut out = String::with_capacity(text.len() + edits.len() * 20);
    let mut from = 0;
    edits.sort_by_key(|(range, _)| range.start);
    for (range, new) in edits {
        out.push_str(&text[from..range.start]);
        out.push_str(&new);
        from = range.end;
    }
    out.push_str(&text[from..]);
    (out, made)
}

#[cfg(test)]
mod tests {
    use super::*;

    const DRAWING: &str = r#"<svg xmlns="http://www.w3.org/2000/svg" xmlns:inkscape="http://www.inkscape.org/namespaces/inkscape">
        <g inkscape:label="Fills" id="g1"><path id="arm"/><path inkscape:label="left hand" id="p7"/></g>
        <g inkscape:label="Lines"><path data-name="leg"/><path id="arm"/><g/></g>
        <g id="left_x20_ear"/></svg>"#;

    fn told(name: &str) -> String {
        let xml = roxmltree::Document::parse(DRAWING).unwrap();
        match find(&xml, name) {
            Found::One(range) => DRAWING[range].split(['>', '/']).next().unwrap().to_owned(),
            Found::None => "none".to_owned(),
            Found::Several(..) => "several".to_owned(),
        }
    }

    #[test]
    fn ids_go_before_labels_and_names_around_tell_twins_apart() {
        assert_eq!(told("p7"), told("left hand"));
        assert_eq!(told("leg"), "<path data-name=\"leg\"");
        assert_eq!(told("left ear"), "<g id=\"left_x20_ear\"");
        assert_eq!(told("arm"), "several");
        assert_eq!(told("Lines/arm"), "<path id=\"arm\"");
        assert_eq!(told("Lines/Fills/arm"), "none");
        assert_eq!(told("element(/1/2/3)"), "<g");
        assert_eq!(told("element(g1/2)"), told("p7"));
        for wrong in [
            "element()",
            "element(/0)",
            "element(/1/9)",
            "element(x/1)",
            "hand",
            "",
        ] {
            assert_eq!(told(wrong), "none", "{wrong}");
        }
    }

    #[test]
    fn every_element_gets_an_id_of_its_own() {
        let xml = roxmltree::Document::parse(DRAWING).unwrap();
        let (text, made) = with_ids(DRAWING, &xml);
        let new = roxmltree::Document::parse(&text).unwrap();
        let ids: Vec<_> = new
            .descendants()
            .filter_map(|n| n.attribute("id"))
            .collect();
        assert_eq!(
            ids,
            made.iter().map(|(_, id)| id.as_str()).collect::<Vec<_>>()
        );
        let unique: std::collections::BTreeSet<_> = ids.iter().collect();
        assert_eq!((unique.len(), ids.len()), (9, 9));
        assert_eq!(&DRAWING[made[1].0..][..3], "<g ");
    }

    #[test]
    fn escapes_are_undone_and_nothing_else() {
        for (id, name) in [
            ("left_x20_arm", "left arm"),
            ("_x31_st", "1st"),
            ("box_xy", "box_xy"),
            ("a_x00_b", "a_x00_b"),
            ("a_x2_b", "a_x2_b"),
            ("a_xé_", "a_xé_"),
        ] {
            assert_eq!(unescaped(id), name);
        }
    }
}
