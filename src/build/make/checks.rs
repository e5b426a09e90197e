//! Checking views: findings as pictures, ranges as charts, all of it as JSON.

use std::path::{Path, PathBuf};

use rayon::prelude::*;
use serde_json::{Value, json};
use tiny_skia::{Paint, PathBuilder, Pixmap, Stroke, Transform};

use super::pictures::{encoded, save};
use crate::art::Rgb;
use crate::build::make::chart::strip_chart;
use crate::build::plan::Plan;
use crate::build::run::{Event, Failure, run};
use crate::cast::{Measure, PoseList};
use crate::check::{Finding, Findings, Range, check};
use crate::diag::Severity;
use crate::draw::{self, Scratch, Viewport};
use crate::draw::{Effort, png};
use crate::files::file_name;
use crate::geom::{Affine, Point};
use crate::solve::Puppet;
use crate::text::{self, Style};

/// Side of a finding's picture, pixels.
const CROP: u32 = 480;

/// One checked view.
#[derive(Clone, Debug)]
pub struct Checked {
    /// `member`, or `member/view`.
    pub name: String,
    /// What was found.
    pub findings: Findings,
    /// The file of each finding's picture; `None` for one without a place.
    pub pictures: Vec<Option<PathBuf>>,
    /// All files that were written.
    pub files: Vec<PathBuf>,
}

/// Checks views of a plan and writes `check/` in its folder: `findings.json`, `ranges.png`, and a
/// picture for each finding.
pub fn check_views(
    plan: &Plan,
    models: &[usize],
    puppets: &[Puppet],
    out: &Path,
    threads: usize,
    watch: impl FnMut(Event),
) -> Vec<Result<Checked, Failure>> {
    run(
        models,
        threads,
        |&model, _| {
            let lists: Vec<&PoseList> = plan
                .sections
                .iter()
                .filter(|s| s.model == model)
                .map(|s| &*s.list)
                .collect();
            let findings = check(&puppets[model], &lists);
            let view = &plan.models[model];
            let folder = out.join(view.folder()).join("check");
            write(&puppets[model], &view.name().to_string(), findings, &folder)
        },
        watch,
    )
}

fn write(
    puppet: &Puppet,
    name: &str,
    findings: Findings,
    folder: &Path,
) -> Result<Checked, Failure> {
    clear(folder).map_err(|error| Failure::write(folder, error))?;
    let pictures: Vec<Option<PathBuf>> = findings
        .list
        .par_iter()
        .enumerate()
        .map(|(k, finding)| {
            let Some(pixels) = crop(puppet, finding)? else {
                return Ok(None);
            };
            let path = folder.join(file_name(&format!(
                "{:02}-{}-{}.png",
                k + 1,
                finding.measure.key(),
                finding.parts[0]
            )));
            save(&path, &small(&pixels)?)?;
            Ok(Some(path))
        })
        .collect::<Result<_, Failure>>()?;
    let mut files: Vec<PathBuf> = pictures.iter().flatten().cloned().collect();
    if let Some(chart) = strip_chart(&format!("{name} · safe ranges"), &findings) {
        let path = folder.join("ranges.png");
        save(&path, &small(&chart)?)?;
        files.push(path);
    }
    let path = folder.join("findings.json");
    let told = document(name, &findings, &pictures);
    let mut bytes =
        serde_json::to_vec_pretty(&told).map_err(|error| Failure::Fault(error.to_string()))?;
    bytes.push(b'\n');
    save(&path, &bytes)?;
    files.push(path);
    Ok(Checked {
        name: name.to_owned(),
        findings,
        pictures,
        files,
    })
}

/// Takes away the pictures of an earlier run: a finding that is mended must not leave its picture.
fn clear(folder: &Path) -> std::io::Result<()> {
    let Ok(entries) = std::fs::read_dir(folder) else {
        return Ok(());
    };
    for entry in entries {
        let path = entry?.path();
        let name = path.file_name().unwrap_or_default().to_string_lossy();
        let ours = name.split_once('-').is_some_and(|(number, _)| {
            !number.is_empty() && number.bytes().all(|b| b.is_ascii_digit())
        });
        if ours && name.ends_with(".png") {
            std::fs::remove_file(&path)?;
        }
    }
    Ok(())
}

fn small(pixels: &Pixmap) -> Result<Vec<u8>, Failure> {
    encoded(png(pixels.as_ref(), true, Effort::Small))
}

/// The figure about a finding's place, circled.
fn crop(puppet: &Puppet, finding: &Finding) -> Result<Option<Pixmap>, Failure> {
    let Some(place) = finding.place else {
        return Ok(None);
    };
    let figure = puppet.solve(&finding.pose);
    let figure = figure.map_err(|error| Failure::Fault(error.to_string()))?;
    let side = f64::from(CROP);
    let across = (place.radius * 5.0).max(160.0);
    let scale = side / across;
    let viewport = Viewport {
        width: CROP,
        height: CROP,
        to_pixels: Affine {
            a: scale,
            d: scale,
            e: side / 2.0 - place.centre[0] * scale,
            f: side / 2.0 - place.centre[1] * scale,
            ..Affine::IDENTITY
        },
    };
    let paper = Some(Rgb([255, 255, 255]));
    let frame = draw::draw(&figure, &viewport, paper, false, &mut Scratch::default())
        .map_err(Failure::Draw)?;
    let mut pixels = frame.pixels;
    if finding.measure == Measure::CutOff {
        edge_of_canvas(&mut pixels, &viewport, puppet.member().canvas);
    }
    #[expect(clippy::cast_possible_truncation, reason = "pixels")]
    let (middle, radius) = (CROP as f32 / 2.0, (place.radius * scale) as f32);
    if let Some(circle) = PathBuilder::from_circle(middle, middle, radius) {
        let colour = match finding.severity {
            Severity::Error => [0xd0, 0x20, 0x30],
            Severity::Warning => [0xd8, 0x7a, 0x00],
        };
        // A white rim keeps it apart from any paint.
        for (width, [r, g, b]) in [(7.0, [255, 255, 255]), (3.0, colour)] {
            let mut paint = Paint::default();
            paint.set_color_rgba8(r, g, b, 255);
            let stroke = Stroke {
                width,
                ..Stroke::default()
            };
            pixels.stroke_path(&circle, &paint, &stroke, Transform::identity(), None);
        }
    }
    Ok(Some(told(&pixels, finding)))
}

/// The canvas's edge, where it crosses a picture.
fn edge_of_canvas(pixels: &mut Pixmap, viewport: &Viewport, [width, height]: Point) {
    let [left, top] = viewport.to_pixels.apply([0.0, 0.0]).map(single);
    let [right, bottom] = viewport.to_pixels.apply([width, height]).map(single);
    let Some(canvas) = tiny_skia::Rect::from_ltrb(left, top, right, bottom) else {
        return;
    };
    let mut paint = Paint::default();
    paint.set_color_rgba8(0x30, 0x60, 0xc0, 255);
    let line = Stroke {
        width: 2.0,
        ..Stroke::default()
    };
    let path = PathBuilder::from_rect(canvas);
    pixels.stroke_path(&path, &paint, &line, Transform::identity(), None);
}

/// A picture with what was found under it.
fn told(pixels: &Pixmap, finding: &Finding) -> Pixmap {
    const PAD: i32 = 14;
    let (bold, style) = (Style::bold(17.0), Style::regular(14.0));
    let width = i32::try_from(pixels.width()).unwrap_or(0);
    let room = single(f64::from(width - 2 * PAD));
    let parts = finding.parts.join(", ");
    let title = format!("{} · {parts}", finding.measure.key());
    let title = text::wrap(&title, bold, room, 2);
    let message = text::wrap(&finding.message, style, room, 6);
    let high =
        |lines: &[String], style: Style| style.leading() * i32::try_from(lines.len()).unwrap_or(1);
    let height =
        pixels.height().cast_signed() + high(&title, bold) + high(&message, style) + 2 * PAD;
    let Some(mut page) = Pixmap::new(pixels.width(), height.unsigned_abs()) else {
        return pixels.clone();
    };
    page.fill(tiny_skia::Color::WHITE);
    let place = Transform::identity();
    let plain = tiny_skia::PixmapPaint::default();
    page.draw_pixmap(0, 0, pixels.as_ref(), &plain, place, None);
    // A rule between the two.
    let mut paint = Paint::default();
    paint.set_color_rgba8(0xc8, 0xc4, 0xba, 255);
    let below = single(f64::from(pixels.height()));
    if let Some(rule) = tiny_skia::Rect::from_xywh(0.0, below, single(f64::from(width)), 2.0) {
        page.fill_rect(rule, &paint, place, None);
    }
    let mut y = pixels.height().cast_signed() + PAD;
    for (lines, style) in [(&title, bold), (&message, style)] {
        for line in lines {
            let base = single(f64::from(y + style.baseline()));
            let ink = Rgb([0x20, 0x24, 0x2d]);
            let left = single(f64::from(PAD));
            text::draw(&mut page.as_mut(), line, style, left, base, ink);
            y += style.leading();
        }
    }
    page
}

#[expect(clippy::cast_possible_truncation, reason = "pixels")]
fn single(v: f64) -> f32 {
    v as f32
}

fn rounded(v: f64, places: f64) -> Value {
    json!(libm::round(v * places) / places + 0.0)
}

fn pair(limits: [f64; 2], places: f64) -> Value {
    Value::Array(limits.iter().map(|&v| rounded(v, places)).collect())
}

/// A finding as JSON.
#[must_use]
pub fn finding_json(finding: &Finding, picture: Option<&Path>) -> Value {
    let turns: serde_json::Map<String, Value> = finding
        .turns
        .iter()
        .map(|(part, angle)| (part.clone(), rounded(*angle, 100.0)))
        .collect();
    json!({
        "measure": finding.measure.key(),
        "severity": finding.severity.word(),
        "parts": finding.parts,
        "turn": turns,
        "depths_of": finding.order,
        "value": rounded(finding.value, 100.0),
        "limit": rounded(finding.limit, 100.0),
        "message": finding.message,
        "suggestion": finding.hint,
        "place": finding.place.map(|p| json!({
            "centre": pair(p.centre, 100.0), "radius": rounded(p.radius, 100.0)
        })),
        "picture": picture.map(Path::to_string_lossy),
    })
}

fn document(name: &str, findings: &Findings, pictures: &[Option<PathBuf>]) -> Value {
    let list: Vec<Value> = findings
        .list
        .iter()
        .zip(pictures)
        .map(|(finding, picture)| {
            let file = picture.as_deref().and_then(Path::file_name);
            finding_json(finding, file.map(Path::new))
        })
        .collect();
    let joints: Vec<Value> = findings.ranges.iter().map(range_json).collect();
    json!({
        "view": name,
        "units": "angles in degrees, places, widths and cut_off in canvas units, jut, gap, ink, seam and overlap in % of the limb's width, colours in CIEDE2000, all else in %",
        "findings": list,
        "joints": joints,
    })
}

/// What a joint does over its limits, for a machine.
#[must_use]
pub fn range_json(range: &Range) -> Value {
    let measures: serde_json::Map<String, Value> = range
        .curves
        .iter()
        .map(|(measure, curve, limits)| {
            let points: Vec<Value> = curve
                .samples
                .iter()
                .map(|s| json!([rounded(s.angle, 1000.0), rounded(s.value, 1000.0)]))
                .collect();
            let value = json!({
                "worst": { "angle": rounded(curve.worst.angle, 100.0), "value": rounded(curve.worst.value, 1000.0) },
                "limits": limits.map(|l| pair(l, 1000.0)),
                "curve": points,
            });
            (measure.key().to_owned(), value)
        })
        .collect();
    json!({
        "part": range.part,
        "parent": range.parent,
        "limits": pair(range.limits, 100.0),
        "safe": range.safe.map(|s| pair(s, 100.0)),
        "width": rounded(range.width, 100.0),
        "measures": measures,
    })
}
