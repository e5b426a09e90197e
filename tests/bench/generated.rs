//! Rigs of any size, made up.

use std::fmt::Write as _;

use crate::support::Staged;

/// A body with limbs of three pieces each: `parts` parts, a seam at every join within a limb, an
/// eye masked by a white at every fourth limb.
pub fn crowd(parts: usize) -> Staged {
    let mut svg =
        String::from("<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 1000 1000\">\n");
    let mut rig = String::from(
        "[character]\nname = \"crowd\"\ncanvas = [1000, 1000]\nposes = [\"poses.toml\"]\n",
    );
    let mut tables = String::new();
    let mut turns = Vec::new();
    let outline = "fill=\"none\" stroke=\"#1e2436\" stroke-width=\"5\" stroke-linejoin=\"round\"";
    let mut piece = |id: &str, d: &str, colour: &str| {
        let _ = writeln!(
            svg,
            "<g id=\"{id}\"><path id=\"{id}_paint\" d=\"{d}\" fill=\"{colour}\"/><path id=\"{id}_ink\" d=\"{d}\" {outline}/></g>"
        );
    };
    piece(
        "body",
        "M380 300C380 240 620 240 620 300L650 700C650 760 350 760 350 700Z",
        "#2f4565",
    );
    rig.push_str("[part.body]\nart = \"art.svg#body\"\npivot = [500, 500]\n");
    let mut made = 1;
    let mut limb = 0;
    while made < parts {
        let left = limb % 2 == 0;
        let y = 280.0 + 420.0 * (limb as f64) / (parts as f64 / 3.0);
        let (x0, dir) = if left { (400.0, -1.0) } else { (600.0, 1.0) };
        let colours = ["#d99c78", "#c98a68", "#f2b632"];
        for k in 0..3 {
            if made == parts {
                break;
            }
            let (a, b, r) = (
                x0 + dir * 100.0 * f64::from(k),
                x0 + dir * 100.0 * f64::from(k + 1),
                26.0 - 4.0 * f64::from(k),
            );
            let (l, h) = if a < b { (a, b) } else { (b, a) };
            let id = format!("limb{limb}_{k}");
            let d = format!(
                "M{l} {}H{h}A{r} {r} 0 0 1 {h} {}H{l}A{r} {r} 0 0 1 {l} {}Z",
                y - r,
                y + r,
                y - r
            );
            piece(&id, &d, colours[k as usize]);
            let parent = if k == 0 {
                "body".to_owned()
            } else {
                format!("limb{limb}_{}", k - 1)
            };
            let _ = writeln!(
                rig,
                "[part.{id}]\nart = \"art.svg#{id}\"\nparent = \"{parent}\"\npivot = [{a}, {y}]\ndepth = {}",
                if limb % 3 == 0 { -1 } else { 1 }
            );
            if k > 0 {
                let _ = writeln!(
                    tables,
                    "[seam.{id}]\nparts = [\"{parent}\", \"{id}\"]\nzone = 40"
                );
            }
            turns.push(format!(
                "{id} = {}",
                dir * (f64::from(k) * 35.0 + (limb * 7 % 40) as f64 - 15.0)
            ));
            made += 1;
        }
        if limb % 4 == 0 && made < parts {
            let id = format!("eye{limb}");
            let (ex, ey) = (470.0 + (limb % 3) as f64 * 25.0, y);
            piece(
                &id,
                &format!(
                    "M{} {ey}A14 14 0 0 1 {} {ey}A14 14 0 0 1 {} {ey}Z",
                    ex - 14.0,
                    ex + 14.0,
                    ex - 14.0
                ),
                "#ffffff",
            );
            let _ = writeln!(
                rig,
                "[part.{id}]\nart = \"art.svg#{id}\"\nparent = \"body\"\npivot = [{ex}, {ey}]\ndepth = 2"
            );
            let _ = writeln!(
                tables,
                "[mask.{id}]\npart = \"{id}\"\nkeep = \"inside\"\nof = [\"body\"]"
            );
            made += 1;
        }
        limb += 1;
    }
    svg.push_str("</svg>\n");
    let poses = format!(
        "[pose.rest]\n[pose.bent]\nturn = {{ {} }}\n",
        turns.join(", ")
    );
    Staged::write(&[
        ("rig.toml", &(rig + &tables)),
        ("art.svg", &svg),
        ("poses.toml", &poses),
    ])
}
