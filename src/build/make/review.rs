//! Comparisons as a review page.

use std::io;
use std::path::{Component, Path, PathBuf};

use tiny_skia::Pixmap;

use crate::build::run::{Event, Failure, run};
use crate::compare::{Comparison, PoseComparison};
use crate::draw::{Effort, numbers_of, png};
use crate::draw::{OwnerMap, Scratch};
use crate::report::review::ReviewFolder;
use crate::report::review::{Cause, Entry, Figure, Look, PartChange, Region, Review, thumbnail};

/// A comparison, and the folder in which it and its pictures lie.
#[derive(Clone, Debug)]
pub struct Compared {
    /// Where its pictures are.
    pub folder: PathBuf,
    /// What was found.
    pub comparison: Comparison,
}

/// Where the comparisons of a run lie: `<out>/<member>/compare/comparison.json`, by name.
///
/// # Errors
///
/// When the folder cannot be read.
pub fn comparison_files(out: &Path) -> io::Result<Vec<PathBuf>> {
    let mut files = Vec::new();
    for entry in std::fs::read_dir(out)? {
        let file = entry?.path().join("compare/comparison.json");
        if file.is_file() {
            files.push(file);
        }
    }
    files.sort();
    Ok(files)
}

/// One pose in the making.
struct Work<'a> {
    number: usize,
    of: &'a Compared,
    pose: &'a PoseComparison,
    first_cause: usize,
}

/// Makes the review page of these comparisons. A picture that cannot be read is left out of the page; the
/// result tells where the page begins.
///
/// # Errors
///
/// When something cannot be written; an older page then stays.
pub fn write_review(
    compared: &[Compared],
    place: &Path,
    threads: usize,
    watch: impl FnMut(Event),
) -> Result<PathBuf, Failure> {
    let failed = |error: io::Error| Failure::write(place, error);
    let folder = ReviewFolder::new(place).map_err(failed)?;
    let mut causes: Vec<Cause> = Vec::new();
    let mut works: Vec<Work<'_>> = Vec::new();
    for of in compared {
        let first_cause = causes.len();
        causes.extend(of.comparison.causes.iter().map(|c| Cause {
            member: of.comparison.member.clone(),
            subject: c.subject.clone(),
            text: c.text.clone(),
        }));
        for pose in &of.comparison.poses {
            works.push(Work {
                number: works.len(),
                of,
                pose,
                first_cause,
            });
        }
    }
    let done = run(
        &works,
        threads,
        |work: &Work<'_>, _: &mut Scratch| one(work, &folder).map_err(failed),
        watch,
    );
    let entries: Vec<Entry> = done.into_iter().collect::<Result<_, _>>()?;
    let review = ranked(Review {
        title: title(compared),
        engine: compared
            .first()
            .map(|c| c.comparison.engine.clone())
            .unwrap_or_default(),
        causes,
        entries,
    });
    folder.finish(&review).map_err(failed)
}

fn title(compared: &[Compared]) -> String {
    match compared {
        [one] => one.comparison.name.clone(),
        many => format!("{} members", many.len()),
    }
}

/// Causes of all members in one order: those that touch the most poses first, those that touch none not at all.
fn ranked(mut review: Review) -> Review {
    let mut touched = vec![0_usize; review.causes.len()];
    for (cause, _) in review.entries.iter().flat_map(|e| &e.causes) {
        touched[*cause] += 1;
    }
    let mut order: Vec<usize> = (0..touched.len()).filter(|&c| touched[c] > 0).collect();
    order.sort_by_key(|&c| std::cmp::Reverse(touched[c]));
    let mut place = vec![0; touched.len()];
    for (new, &old) in order.iter().enumerate() {
        place[old] = new;
    }
    review.causes = order.iter().map(|&c| review.causes[c].clone()).collect();
    for (cause, _) in review.entries.iter_mut().flat_map(|e| &mut e.causes) {
        *cause = place[*cause];
    }
    review
}

/// The bytes of a file that a comparison names; nothing where it is not inside the folder or not there.
fn bytes(of: &Compared, name: Option<&String>) -> Option<Vec<u8>> {
    let name = Path::new(name?);
    let inside = name.components().all(|c| matches!(c, Component::Normal(_)));
    inside.then(|| std::fs::read(of.folder.join(name)).ok())?
}

fn one(work: &Work<'_>, folder: &ReviewFolder) -> io::Result<Entry> {
    let &Work {
        number, of, pose, ..
    } = work;
    let files = &pose.files;
    let mut looks = Vec::new();
    let mut small: Option<Pixmap> = None;
    for (look, name) in [
        (Look::Before, &files.before),
        (Look::After, &files.after),
        (Look::Difference, &files.difference),
    ] {
        let Some(bytes) = bytes(of, name.as_ref()) else {
            continue;
        };
        // What is no picture would be a hole in the page.
        let Ok(pixels) = Pixmap::decode_png(&bytes) else {
            continue;
        };
        folder.picture(number, look, &bytes)?;
        looks.push(look);
        if look != Look::Difference {
            small = thumbnail(&pixels);
        }
    }
    if let Some(small) = small {
        let bytes = png(small.as_ref(), false, Effort::Quick).map_err(io::Error::other)?;
        folder.picture(number, Look::Small, &bytes)?;
        looks.push(Look::Small);
    }
    let map = |name: &Option<String>| owner_map(&bytes(of, name.as_ref())?);
    let (before, after) = (map(&files.before_owners), map(&files.after_owners));
    let names = &of.comparison.part_names[..];
    let owners = before.is_some() || after.is_some();
    if owners {
        folder.owners(
            number,
            before.as_ref().map(|m| (m, names)),
            after.as_ref().map(|m| (m, names)),
        )?;
    }
    Ok(entry(work, looks, owners))
}

fn owner_map(bytes: &[u8]) -> Option<OwnerMap> {
    let (width, height, owners) = numbers_of(bytes).ok()?;
    Some(OwnerMap {
        width,
        height,
        owners,
    })
}

fn entry(work: &Work<'_>, looks: Vec<Look>, owners: bool) -> Entry {
    let pose = work.pose;
    Entry {
        member: work.of.comparison.member.clone(),
        view: pose.view.clone().unwrap_or_default(),
        list: pose.list.clone(),
        pose: pose.name.clone(),
        key: pose.pose.clone(),
        note: pose.note.clone(),
        state: pose.state,
        reason: pose.reason.clone(),
        rejected: pose.rejected.clone(),
        approved: pose.approved.as_ref().map(ToString::to_string),
        picture: pose.picture.as_ref().map(ToString::to_string),
        size: [pose.width, pose.height],
        #[expect(clippy::cast_precision_loss, reason = "only for sorting")]
        amount: pose.figures.map_or(0.0, |f| f.changed as f64),
        figures: figures(pose),
        regions: pose
            .regions
            .iter()
            .map(|r| Region {
                area: r.area,
                pixels: r.pixels,
                parts: r.parts.clone(),
            })
            .collect(),
        more_regions: pose.more_regions,
        parts: pose
            .parts
            .iter()
            .map(|p| PartChange {
                part: p.part.clone(),
                change: p.text.clone(),
                area: p.area,
            })
            .collect(),
        causes: pose
            .causes
            .iter()
            .filter(|c| c.cause < work.of.comparison.causes.len())
            .map(|c| (work.first_cause + c.cause, c.share))
            .collect(),
        looks,
        owners,
    }
}

/// `12,345`.
fn grouped(number: u64) -> String {
    let digits = number.to_string();
    let mut out = String::new();
    for (at, digit) in digits.chars().enumerate() {
        if at > 0 && (digits.len() - at).is_multiple_of(3) {
            out.push(',');
        }
        out.push(digit);
    }
    out
}

fn figures(pose: &PoseComparison) -> Vec<Figure> {
    let Some(f) = pose.figures else {
        return Vec::new();
    };
    let figure = |label: &str, value: String| Figure {
        label: label.to_owned(),
        value,
        limit: None,
    };
    vec![
        figure("Changed pixels", grouped(f.changed)),
        figure("Share of the figure", format!("{:.2} %", f.share * 100.0)),
        figure("Largest colour difference", format!("ΔE {:.1}", f.worst)),
        figure("Mean colour difference", format!("ΔE {:.1}", f.mean)),
        figure("Structural similarity", format!("{:.4}", f.ssim)),
    ]
}
