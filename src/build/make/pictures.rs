//! One pose, one picture.

use std::path::{Path, PathBuf};
use std::sync::{Mutex, PoisonError};

use rayon::prelude::*;

use crate::art::Rgb;
use crate::build::make::grow::{Grown, cut_off, grown_area};
use crate::build::make::owners::PartMap;
use crate::build::plan::{Job, Plan};
use crate::build::run::{Event, Failure, run};
use crate::build::section::MemberView;
use crate::diag::{Place, Problem};
use crate::draw::frame::side;
use crate::draw::{self, Scratch, Viewport};
use crate::draw::{Effort, png};
use crate::export;
use crate::files::write_whole;
use crate::geom::{Affine, Point};
use crate::solve::{Figure, Puppet};

/// How large a picture of a canvas is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Framing {
    /// Pixels to the canvas unit.
    Scale(f64),
    /// As wide as this, pixels.
    Width(u32),
    /// As high as this, pixels.
    Height(u32),
    /// This wide and high, pixels; the canvas is centred in it.
    Size(u32, u32),
}

impl Framing {
    /// Where the canvas goes. Its shape is kept.
    #[must_use]
    pub fn viewport(self, canvas: Point) -> Viewport {
        let [w, h] = canvas;
        let scale = match self {
            Self::Scale(scale) => scale,
            Self::Width(width) => f64::from(width) / w,
            Self::Height(height) => f64::from(height) / h,
            Self::Size(width, height) => (f64::from(width) / w).min(f64::from(height) / h),
        };
        let (width, height) = match self {
            Self::Scale(_) => (side(w * scale), side(h * scale)),
            Self::Width(width) => (width, side(h * scale)),
            Self::Height(height) => (side(w * scale), height),
            Self::Size(width, height) => (width, height),
        };
        let shift = match self {
            Self::Size(..) => {
                // Whole pixels, so that the canvas's own pixels stay what they are.
                let middle = |side: u32, length: f64| {
                    libm::floor((f64::from(side) - length * scale) * 0.5 + 1e-9)
                };
                [middle(width, w).max(0.0), middle(height, h).max(0.0)]
            }
            _ => [0.0, 0.0],
        };
        let to_pixels = Affine {
            a: scale,
            b: 0.0,
            c: 0.0,
            d: scale,
            e: shift[0],
            f: shift[1],
        };
        Viewport {
            width,
            height,
            to_pixels,
        }
    }
}

/// What goes into each picture.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PictureStyle {
    /// How large.
    pub framing: Framing,
    /// Behind the figure; transparent where `None`.
    pub background: Option<Rgb>,
    /// Also make the part map.
    pub owners: bool,
    /// Let pictures grow where figures leave them; those of a member that says so do anyway.
    pub grow: bool,
}

/// What goes into each SVG document.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ExportStyle {
    /// Pixels to the canvas unit.
    pub scale: f64,
    /// Behind the figure; transparent where `None`.
    pub background: Option<Rgb>,
    /// Let documents grow where figures leave them; those of a member that says so do anyway.
    pub grow: bool,
}

/// Prepares the puppets of a plan, one for each of its models, on the threads it is called from.
#[must_use]
pub fn puppets(plan: &Plan) -> Vec<Puppet> {
    plan.models.par_iter().map(MemberView::puppet).collect()
}

/// Solves every pose once and gives what `work` makes of the figure, which nobody keeps.
pub fn each_figure<T: Send>(
    puppets: &[Puppet],
    jobs: &[Job<'_>],
    threads: usize,
    work: impl Fn(&Job<'_>, &Figure, &mut Scratch) -> Result<T, Failure> + Sync,
    watch: impl FnMut(Event),
) -> Vec<Result<T, Failure>> {
    let work = |job: &Job<'_>, scratch: &mut Scratch| {
        let figure = puppets[job.model].figure(job.pose);
        work(job, &figure.map_err(Failure::Input)?, scratch)
    };
    run(jobs, threads, work, watch)
}

/// Solves every pose without drawing it: a sheet is laid out by what its figures cover, which is given where
/// `bounds` asks for it.
pub fn rehearse(
    puppets: &[Puppet],
    jobs: &[Job<'_>],
    threads: usize,
    bounds: bool,
) -> Vec<Result<Option<[f64; 4]>, Failure>> {
    let work = |_: &Job<'_>, figure: &Figure, _: &mut Scratch| Ok(bounds.then(|| figure.bounds()));
    let tried = each_figure(puppets, jobs, threads, work, |_| ()).into_iter();
    tried.map(|tried| tried.map(Option::flatten)).collect()
}

/// Endings of the files that [`draw_pictures`] makes for a pose.
#[must_use]
pub fn picture_endings(style: &PictureStyle) -> &'static [&'static str] {
    if style.owners {
        &[".png", ".owners.png", ".owners.json"]
    } else {
        &[".png"]
    }
}

/// Whether pictures of this framing can be drawn: if not for every member, the problem, with the
/// largest that would do.
///
/// # Errors
///
/// When a picture would have no pixels or too many.
pub fn check_size(plan: &Plan, framing: Framing) -> Result<(), Problem> {
    let canvases = || plan.models.iter().map(|m| m.member.canvas);
    let Some(error) = canvases().find_map(|c| framing.viewport(c).check().err()) else {
        return Ok(());
    };
    let hint = match framing {
        Framing::Scale(_) => {
            let most = canvases().map(largest_scale).fold(f64::MAX, f64::min);
            format!("the largest scale that can be drawn is {most}")
        }
        _ => "make the picture smaller".to_owned(),
    };
    Err(Problem::error(Place::Nowhere, error.to_string()).hint(hint))
}

/// The largest scale, in two digits, at which a picture of this canvas can be drawn.
fn largest_scale([w, h]: Point) -> f64 {
    let side = f64::from(draw::MOST_SIDE);
    let pixels = draw::MOST_BYTES as f64 / 4.0;
    let most = (side / w.max(h)).min(libm::sqrt(pixels / (w * h)));
    let digit = libm::pow(10.0, libm::floor(libm::log10(most)) - 1.0);
    // The product may have noise in its last digits, which nobody wants to read.
    let rounded = libm::floor(most / digit) * digit;
    format!("{rounded:.6}").parse().unwrap_or(rounded)
}

/// Bytes that pictures in the making may take together, roughly.
const MOST_BYTES: u64 = 2 << 30;

/// As many threads as were asked for, or as many as such pictures can be held at once.
fn affordable(threads: usize, viewport: &Viewport, owners: bool) -> usize {
    // The picture, the same with straight alpha, and the file; with owners their map and its picture.
    let each = if owners { 24 } else { 12 };
    let bytes = u64::from(viewport.width) * u64::from(viewport.height) * each;
    let most = usize::try_from(MOST_BYTES / bytes.max(1)).unwrap_or(usize::MAX);
    threads.min(most.max(1))
}

/// Draws every job into its file under `out`, and gives what is to be told of each. Very large pictures are made
/// on fewer threads than `threads`, so that memory does not run out.
pub fn draw_pictures(
    plan: &Plan,
    puppets: &[Puppet],
    jobs: &[Job<'_>],
    out: &Path,
    style: &PictureStyle,
    threads: usize,
    watch: impl FnMut(Event),
) -> Vec<Result<Option<Problem>, Failure>> {
    let viewports = plan.models.iter();
    let viewports = viewports.map(|m| style.framing.viewport(m.member.canvas));
    let threads = viewports
        .map(|viewport| affordable(threads, &viewport, style.owners))
        .min()
        .unwrap_or(threads);
    // Pictures that have grown so that fewer threads could hold them are made one at a time.
    let alone = Mutex::new(());
    let work = |job: &Job<'_>, figure: &Figure, scratch: &mut Scratch| {
        let turn = |grown: &Grown| {
            let large = affordable(threads, &grown.viewport, style.owners) < threads;
            large.then(|| alone.lock().unwrap_or_else(PoisonError::into_inner))
        };
        let made = draw_picture((plan, job), figure, out, style, turn, scratch)?;
        Ok(made.cut_off)
    };
    each_figure(puppets, jobs, threads, work, watch)
}

/// A pose's picture.
#[derive(Debug)]
pub struct MadePicture {
    /// Its files, by their ways from the output folder, and their bytes.
    pub files: Vec<(PathBuf, Vec<u8>)>,
    /// That it does not show all of its figure.
    pub cut_off: Option<Problem>,
}

/// Draws a job into its files under `out`; what `turn` gives for a picture as large as its figure needs is held
/// meanwhile.
///
/// # Errors
///
/// When the figure cannot be drawn, or a file not be written.
pub fn draw_picture<T>(
    (plan, job): (&Plan, &Job<'_>),
    figure: &Figure,
    out: &Path,
    style: &PictureStyle,
    turn: impl FnOnce(&Grown) -> T,
    scratch: &mut Scratch,
) -> Result<MadePicture, Failure> {
    let member = &plan.models[job.model].member;
    let viewport = style.framing.viewport(member.canvas);
    let grow = style.grow || member.grow;
    let cut_off = cut_off(figure, job, viewport.shown(), grow);
    let grown = Grown::new(figure, viewport, grow);
    let _turn = turn(&grown);
    let frame = grown.draw(figure, style.background, style.owners, scratch)?;
    let opaque = style.background.is_some();
    let plain = encoded(png(frame.pixels.as_ref(), opaque, Effort::Quick))?;
    let mut files = vec![(".png", plain)];
    if let Some(owners) = &frame.owners {
        let map = PartMap::new(owners, &figure.part_names());
        let legend = map.picture(owners);
        let legend = encoded(png(legend.as_ref(), true, Effort::Small))?;
        files.push((".owners.png", legend));
        let json = map.json(&job.name.to_string(), owners);
        files.push((".owners.json", json.into_bytes()));
    }
    let files = files.into_iter().map(|(ending, bytes)| {
        let path = job.file(plan, Path::new(""), ending);
        save(&out.join(&path), &bytes)?;
        Ok((path, bytes))
    });
    let files = files.collect::<Result<_, Failure>>()?;
    Ok(MadePicture { files, cut_off })
}

/// Writes every job as SVG under `out`, and gives what is to be told of each.
pub fn export_svgs(
    plan: &Plan,
    puppets: &[Puppet],
    jobs: &[Job<'_>],
    out: &Path,
    style: &ExportStyle,
    threads: usize,
    watch: impl FnMut(Event),
) -> Vec<Result<Option<Problem>, Failure>> {
    let work = |job: &Job<'_>, figure: &Figure, _: &mut Scratch| {
        let member = &plan.models[job.model].member;
        let grow = style.grow || member.grow;
        let area = grown_area(figure, member.canvas, style.scale, grow);
        let name = job.name.to_string();
        let svg = export::svg_of(figure, &name, area, style.scale, style.background);
        save(&job.file(plan, out, ".svg"), svg.as_bytes())?;
        let [width, height] = member.canvas;
        Ok(cut_off(figure, job, [0.0, 0.0, width, height], grow))
    };
    each_figure(puppets, jobs, threads, work, watch)
}

pub(super) fn encoded(bytes: Result<Vec<u8>, ::png::EncodingError>) -> Result<Vec<u8>, Failure> {
    bytes.map_err(|e| Failure::Fault(e.to_string()))
}

pub(super) fn save(path: &Path, bytes: &[u8]) -> Result<(), Failure> {
    write_whole(path, bytes).map_err(|e| Failure::write(path, e))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn sides(framing: Framing, canvas: Point) -> (u32, u32) {
        let viewport = framing.viewport(canvas);
        (viewport.width, viewport.height)
    }

    #[test]
    fn the_canvas_keeps_its_shape() {
        let canvas = [900.0, 1200.0];
        assert_eq!(sides(Framing::Scale(1.0), canvas), (900, 1200));
        assert_eq!(sides(Framing::Scale(0.1), canvas), (90, 120));
        assert_eq!(sides(Framing::Scale(1.0 / 3.0), canvas), (300, 400));
        assert_eq!(sides(Framing::Width(450), canvas), (450, 600));
        assert_eq!(sides(Framing::Height(100), canvas), (75, 100));
        assert_eq!(sides(Framing::Height(1), [1e-3, 1200.0]), (1, 1));
    }

    #[test]
    fn the_largest_scale_can_be_drawn_and_hardly_more() {
        for canvas in [[900.0, 1200.0], [100.0, 120.0], [3e4, 20.0], [1e6, 1e6]] {
            let most = largest_scale(canvas);
            let check = |scale| Framing::Scale(scale).viewport(canvas).check();
            assert_eq!(check(most), Ok(()), "{canvas:?} {most}");
            assert!(check(most * 1.11).is_err(), "{canvas:?} {most}");
        }
        assert_eq!(largest_scale([900.0, 1200.0]).to_string(), "15");
    }

    #[test]
    fn very_large_pictures_are_made_on_fewer_threads() {
        let threads =
            |side: u32| affordable(64, &Framing::Size(side, side).viewport([1.0, 1.0]), false);
        assert_eq!(threads(1000), 64);
        assert_eq!(threads(8000), 2);
        assert_eq!(threads(30_000), 1);
    }

    #[test]
    fn a_size_centres_the_canvas_in_whole_pixels() {
        let viewport = Framing::Size(1000, 600).viewport([900.0, 1200.0]);
        assert_eq!((viewport.width, viewport.height), (1000, 600));
        assert!((viewport.to_pixels.a - 0.5).abs() < 1e-12);
        assert_eq!((viewport.to_pixels.e, viewport.to_pixels.f), (275.0, 0.0));
        let viewport = Framing::Size(451, 900).viewport([900.0, 1200.0]);
        assert_eq!(viewport.to_pixels.e.fract(), 0.0);
        assert_eq!(viewport.to_pixels.f.fract(), 0.0);
    }
}
