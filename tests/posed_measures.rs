//! The measures of `check` that look at poses, against closed forms of small figures. Each is written beside its
//! check; they are plain lengths and shares, derived for this project.

use crate::support::Staged;
use layfig::cast::{Measure, PoseList};
use layfig::check::{Finding, check};

/// Canvas of 400 by 300; a rig of `parts`, `art` and `poses`, all findings of one measure as text and value.
fn found(art: &str, rig: &str, poses: &str, measure: Measure) -> Vec<Finding> {
    let svg =
        format!(r#"<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 400 300">{art}</svg>"#);
    let rig = format!(
        "[character]\nname = \"figure\"\ncanvas = [400, 300]\nposes = [\"poses.toml\"]\n{rig}"
    );
    let staged = Staged::write(&[("rig.toml", &rig), ("art.svg", &svg), ("poses.toml", poses)]);
    let lists: Vec<&PoseList> = staged.lists.iter().collect();
    let list = check(&staged.puppets[0], &lists).list.into_iter();
    list.filter(|f| f.measure == measure).collect()
}

/// Values of one measure.
fn values(art: &str, rig: &str, poses: &str, measure: Measure) -> Vec<f64> {
    let all = found(art, rig, poses, measure);
    all.iter().map(|f| f.value).collect()
}

/// A box with ink of width 4 all about it, or along a line of its own.
fn plate(name: &str, [x, y, w, h]: [f64; 4], line: Option<&str>) -> String {
    let own = format!("M{x} {y}h{w}v{h}h{}Z", -w);
    let line = line.unwrap_or(&own);
    format!(
        r##"<g id="{name}"><path id="{name}_paint" fill="#e8b288" d="{own}"/>
<path id="{name}_ink" fill="none" stroke="#000" stroke-width="4" d="{line}"/></g>"##
    )
}

fn part(name: &str, extra: &str) -> String {
    format!("[part.{name}]\nart = \"art.svg#{name}\"\n{extra}\n")
}

fn near(got: f64, want: f64, by: f64) {
    assert!((got - want).abs() <= by, "{got}, not {want}");
}

/// Two halves of a bar; the right one has no ink along its left end, which lies over the other at rest.
fn bar() -> (String, String) {
    let art = plate("a", [50.0, 130.0, 110.0, 40.0], None)
        + &plate(
            "b",
            [140.0, 130.0, 100.0, 40.0],
            Some("M140 130H240V170H140"),
        )
        + &plate("board", [20.0, 60.0, 360.0, 200.0], None);
    let rig = part("board", "pivot = [200, 150]\ndepth = -3")
        + &part("a", "pivot = [60, 150]")
        + &part("b", "parent = \"a\"\npivot = [150, 150]\ndepth = 2")
        + "[seam.elbow]\nparts = [\"a\", \"b\"]\nzone = 30\n";
    (art, rig)
}

#[test]
fn a_bare_edge_is_as_long_as_the_paint_that_has_no_ink() {
    let (art, rig) = bar();
    // Drawn 40 high, less what the two lines of width 4 cover of it at its ends: 36 units, 9 line widths. The
    // marks are half a width apart, and the line's mean width counts its two ends: 4 x 240 / (240 + 4).
    let want = 36.0 / (960.0 / 244.0);
    let moved = "[pose.apart]\nmove = { b = [60, 0] }\n";
    for board in [true, false] {
        let poses = if board {
            moved.to_owned()
        } else {
            format!("{moved}replace = {{ board = \"none\" }}\n")
        };
        let all = found(&art, &rig, &poses, Measure::BareEdge);
        assert_eq!(all.len(), 1, "{all:?}");
        near(all[0].value, want, 0.75);
        assert_eq!(all[0].parts[0], "b");
        assert_eq!(
            all[0].parts.get(1).map(String::as_str),
            board.then_some("board")
        );
        let place = all[0].place.unwrap();
        near(place.centre[0], 200.0, 1.0);
        near(place.centre[1], 150.0, 1.5);
    }
    // On its partner, and as drawn at rest, it is none.
    let joined = "[pose.rest]\n[pose.on]\nmove = { b = [-10, 0] }\n";
    assert!(values(&art, &rig, joined, Measure::BareEdge).is_empty());
}

#[test]
fn an_edge_that_is_drawn_bare_and_seen_at_rest_is_meant() {
    let (art, rig) = bar();
    let rig = rig.replace("depth = 2", "depth = 2\nplace = { move = [60, 0] }");
    let poses = "[pose.rest]\n[pose.low]\nmove = { b = [0, 20] }\n";
    assert!(values(&art, &rig, poses, Measure::BareEdge).is_empty());
}

#[test]
fn a_hidden_bare_edge_is_none() {
    let (art, rig) = bar();
    let poses = "[pose.apart]\nmove = { b = [60, 0] }\nin_front = { board = \"b\" }\n";
    assert!(values(&art, &rig, poses, Measure::BareEdge).is_empty());
}

#[test]
fn an_island_is_measured_by_the_side_of_its_square() {
    // A box of 60 with ink of width 4 reaches 2 beyond; so does the screen's ink beyond its inner corner at (200, 200).
    // Moved so that it goes s beyond that, s x s of it is seen: s / 4 line widths across.
    let screen = "M20 20H380V200H200V280H20Z";
    let art = plate("box", [100.0, 100.0, 60.0, 60.0], None)
        + &format!(
            r##"<g id="screen"><path id="screen_paint" fill="#2f4565" d="{screen}"/>
<path id="screen_ink" fill="none" stroke="#000" stroke-width="4" d="{screen}"/></g>"##
        );
    let rig = part("box", "pivot = [130, 130]") + &part("screen", "pivot = [100, 100]\ndepth = 2");
    let seen = |s: f64| {
        let by = 40.0 + s;
        format!("[pose.out]\nmove = {{ box = [{by}, {by}] }}\n")
    };
    for s in [4.5, 5.0, 5.5] {
        let all = found(&art, &rig, &seen(s), Measure::Island);
        assert_eq!(all.len(), 1, "{s}: {all:?}");
        near(all[0].value, s / 4.0, 0.02);
        assert_eq!(all[0].parts, ["box"]);
        let place = all[0].place.unwrap();
        near(place.centre[0], 202.0 + s / 2.0, 0.1);
        near(place.centre[1], 202.0 + s / 2.0, 0.1);
    }
    // Ink alone that is thinner than a line, sensible peeking, and a box that is seen whole or not at all.
    for s in [3.5, 20.0, 70.0, -30.0] {
        assert!(
            values(&art, &rig, &seen(s), Measure::Island).is_empty(),
            "{s}"
        );
    }
}

#[test]
fn what_shows_no_contact_floats() {
    let (art, rig) = bar();
    let at = |dx: f64, more: &str| format!("[pose.p]\nmove = {{ b = [{dx}, 0] }}\n{more}");
    let values = |poses: &str| values(&art, &rig, poses, Measure::Floating);
    // b's edge begins at 140, a's ink ends at 162: they are apart from 22 on.
    assert!(values(&at(0.0, "")).is_empty());
    assert!(values(&at(20.0, "")).is_empty());
    assert_eq!(values(&at(60.0, "")), [100.0]);
    // Nobody can tell behind something.
    assert!(values(&at(60.0, "in_front = { board = \"b\" }\n")).is_empty());
    // Nor is a part that is not shown apart from anything.
    assert!(values(&at(60.0, "replace = { a = \"none\" }\n")).is_empty());
}

#[test]
fn a_part_behind_something_that_its_partner_is_in_front_of_floats() {
    // The board comes between: b is seen on it, a behind it is not. Its border over a: both sides of the overlap
    // from 140 to 162, and the end of 44.
    let (art, rig) = bar();
    let poses = "[pose.p]\nbehind = { a = \"board\" }\nin_front = { b = \"board\" }\n";
    let all = found(&art, &rig, poses, Measure::Floating);
    assert_eq!(all.len(), 1);
    near(all[0].value, 100.0, 0.0);
    assert_eq!(all[0].parts, ["b", "a"]);
    // The board over a part of the place alone: up to x of the end's side. What is not covered touches.
    let narrow = art.replace("M20 60h360v200h-360Z", "M20 60h360v88h-360Z");
    let poses = poses.replace("behind = { a = \"board\" }", "in_front = { board = \"a\" }");
    let poses = poses.replace("in_front = { b = \"board\" }", "");
    assert!(values(&narrow, &rig, &poses, Measure::Floating).is_empty());
}

/// A line of a that a drawn zone opens: from `cut` on, its edge leaning by so much for each unit up.
fn cut(lean: f64) -> Vec<f64> {
    let (x, d) = (200.0, lean * 20.0);
    let art = plate("a", [50.0, 130.0, 310.0, 40.0], None)
        + &format!(
            r##"<g id="b"><path id="b_paint" fill="#e8b288" d="M60 100H400V155H60Z"/></g>
<path id="zone" fill="#000" d="M{} 110L{} 150H390V110Z"/>"##,
            x + d,
            x - d
        );
    let rig = part("a", "pivot = [60, 150]")
        + &part("b", "parent = \"a\"\npivot = [150, 150]\ndepth = -2")
        + "[seam.elbow]\nparts = [\"a\", \"b\"]\nzone = \"art.svg#zone\"\n";
    values(&art, &rig, "[pose.rest]\n", Measure::LooseEnd)
}

#[test]
fn an_end_that_is_cut_too_obliquely_for_a_half_disc_is_loose() {
    assert!(cut(0.0).is_empty(), "{:?}", cut(0.0));
    assert!(cut(1.0).is_empty(), "{:?}", cut(1.0));
    assert!(cut(-1.0).is_empty());
    // At width w a slant of slope q differs from a straight end by |q n| over [-w/2, w/2], q w w / 4 in all; a half
    // disc, which takes a little of it, is pi w w / 8.
    let q = 15.0;
    let got = cut(q);
    assert_eq!(got.len(), 1, "{got:?}");
    let slant = 100.0 * (q / 4.0) / (std::f64::consts::PI / 8.0);
    near(got[0], slant, 40.0);
}

/// A line of width 8 from (100, 150) to (300, 150) on a board, masked by a drawing that lies between without ink.
fn masked(keep: &str, mask: &str, measure: Measure) -> Vec<Finding> {
    masked_by(keep, mask, "#e8b288", measure)
}

/// The same with a colour of that drawing; the board's own is not seen.
fn masked_by(keep: &str, mask: &str, fill: &str, measure: Measure) -> Vec<Finding> {
    let art = plate("board", [20.0, 60.0, 360.0, 200.0], None)
        + &format!(
            r##"<g id="line"><path id="line_ink" fill="none" stroke="#000" stroke-width="8" d="M100 150H300"/></g>
<g id="mask"><path id="mask_paint" fill="{fill}" d="{mask}"/></g>"##
        );
    let rig = part("mask", "pivot = [200, 150]\ndepth = -1")
        + &part("board", "pivot = [200, 150]\ndepth = -3")
        + &part("line", "pivot = [200, 150]")
        + &format!("[mask.line]\npart = \"line\"\nkeep = \"{keep}\"\nof = [\"mask\"]\n");
    found(&art, &rig, "[pose.rest]\n", measure)
}

#[test]
fn an_end_is_told_by_how_much_it_is_no_half_disc() {
    // Cut square, put where it fits best: the integral of |sqrt(1 - n^2) - sqrt(3)/2| over [-1, 1], which is
    // sqrt(3)/2 - pi/6, of the half disc's pi/2.
    let pi = std::f64::consts::PI;
    let square = 100.0 * (3.0_f64.sqrt() / 2.0 - pi / 6.0) / (pi / 2.0);
    let all = masked("outside", "M200 100H350V200H200Z", Measure::LooseEnd);
    assert_eq!(all.len(), 1, "{all:?}");
    near(all[0].value, square, 1.0);
    assert_eq!(all[0].parts, ["line"]);
    let place = all[0].place.unwrap();
    near(place.centre[0], 200.0, 0.1);
    near(place.centre[1], 150.0, 0.1);
    // Cut aslant by 45 degrees: the mean distance of n - sqrt(1 - n^2) over [-1, 1] from its own median, by a sum.
    let mut off: Vec<f64> = (-10_000..10_000)
        .map(|k| (f64::from(k) + 0.5) / 10_000.0)
        .map(|n| n - (1.0 - n * n).sqrt())
        .collect();
    off.sort_by(f64::total_cmp);
    let mean = off.iter().map(|o| (o - off[10_000]).abs()).sum::<f64>() / 20_000.0;
    let all = masked("inside", "M60 100H250L150 200H60Z", Measure::LooseEnd);
    assert_eq!(all.len(), 1, "{all:?}");
    near(all[0].value, 100.0 * 2.0 * mean / (pi / 2.0), 2.0);
    // Cut as a half disc.
    let round = "M60 100H200V146A4 4 0 0 1 200 154V200H60Z";
    assert!(masked("inside", round, Measure::LooseEnd).is_empty());
}

#[test]
fn an_end_as_drawn_is_none_nor_one_under_an_edge_between_two_paints() {
    let loose = Measure::LooseEnd;
    assert!(masked("inside", "M30 70H370V250H30Z", loose).is_empty());
    let fur = "M200 100H350V200H200Z";
    assert_eq!(masked_by("outside", fur, "#e8b288", loose).len(), 1);
    assert!(masked_by("outside", fur, "#f3e7cf", loose).is_empty());
}

#[test]
fn a_bit_of_ink_is_as_long_as_the_square_of_its_width_goes_into_it() {
    // A mask leaves 10 of a line of width 8, by itself. The line's mean width counts its two ends.
    let width = 2.0 * 200.0 * 8.0 / 416.0;
    let all = masked("inside", "M190 100H200V200H190Z", Measure::Island);
    assert_eq!(all.len(), 1, "{all:?}");
    near(all[0].value, 80.0 / (width * width), 0.01);
    assert!(masked("inside", "M180 100H220V200H180Z", Measure::Island).is_empty());
}

#[test]
fn an_island_of_a_disc_is_measured_by_its_segment() {
    // A disc of radius 40 with ink of width 4 reaches 42; it looks out by s behind a screen whose ink ends at y 152.
    // Segment: R^2 acos((R - s) / R) - (R - s) sqrt(2 R s - s^2). The line is the ring's own width, 4.
    let screen = "M20 20H380V150H20Z";
    let art = r##"<g id="disc"><circle id="disc_paint" cx="200" cy="80" r="40" fill="#e8b288"/>
<circle id="disc_ink" cx="200" cy="80" r="40" fill="none" stroke="#000" stroke-width="4"/></g>"##
        .to_owned()
        + &format!(
            r##"<g id="screen"><path id="screen_paint" fill="#2f4565" d="{screen}"/>
<path id="screen_ink" fill="none" stroke="#000" stroke-width="4" d="{screen}"/></g>"##
        );
    let rig = part("disc", "pivot = [200, 80]") + &part("screen", "pivot = [100, 100]\ndepth = 2");
    for s in [6.0_f64, 8.0] {
        let r = 42.0_f64;
        let segment = r * r * libm::acos((r - s) / r) - (r - s) * (2.0 * r * s - s * s).sqrt();
        let poses = format!(
            "[pose.out]\nmove = {{ disc = [0, {}] }}\n[pose.rest]\n",
            30.0 + s
        );
        let limits = "[check]\nisland = [6, 0.75]\n";
        let all = found(&art, &format!("{rig}{limits}"), &poses, Measure::Island);
        assert_eq!(all.len(), 1, "{s}: {all:?}");
        near(all[0].value, segment.sqrt() / 4.0, 0.05);
    }
}
