//! What is read of small drawings.

use roxmltree::Document;

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
