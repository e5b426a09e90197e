//! Figures that leave their pictures: told of, or followed.

use crate::art::Rgb;
use crate::build::plan::Job;
use crate::check::cut_off::{self, FINE, SLIP};
use crate::diag::Problem;
use crate::draw::{DrawError, Frame, Scratch, Viewport, draw};
use crate::geom::{Affine, Point};
use crate::solve::Figure;

/// Less of a pixel than this does not show in 8 bits.
const UNSEEN: f64 = 1.0 / 255.0;

/// Left, top, right, bottom.
type Sides<T> = [T; 4];

/// What to do about a figure that its picture cuts off.
pub const CUT_OFF_HINT: &str =
    "let the picture follow the figure with --grow, or give the character a larger canvas";

/// A warning where a picture that shows this area, and does not grow, does not show all of the figure of a job.
pub(super) fn cut_off(
    figure: &Figure,
    job: &Job<'_>,
    shown: Sides<f64>,
    grow: bool,
) -> Option<Problem> {
    if grow {
        return None;
    }
    let parts = figure.beyond(shown, SLIP, FINE);
    let first = figure.model().name(parts.first()?.part);
    let message = format!(
        "{} goes beyond its picture, {}; {first} goes furthest",
        job.name,
        cut_off::words(&parts)
    );
    Some(Problem::warning(job.pose.span, message).hint(CUT_OFF_HINT))
}

/// By how many whole pixels a picture must grow at each side to show all of a figure.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "saturates; a picture that large is refused"
)]
fn missing(figure: &Figure, shown: Sides<f64>, scale: f64) -> Option<Sides<u32>> {
    let parts = figure.beyond(shown, UNSEEN / scale, scale);
    let most = |k: usize| parts.iter().map(|out| out.sides[k]).fold(0.0, f64::max);
    let side = |k| libm::ceil(most(k) * scale - UNSEEN).max(0.0) as u32;
    (!parts.is_empty()).then(|| [side(0), side(1), side(2), side(3)])
}

/// The area of the canvas, or one that grew by whole pixels of this scale at the sides where the figure leaves it.
#[must_use]
pub fn grown_area(figure: &Figure, canvas: Point, scale: f64, grow: bool) -> Sides<f64> {
    let [width, height] = canvas;
    let plain = [0.0, 0.0, width, height];
    let missing = grow.then(|| missing(figure, plain, scale)).flatten();
    let [left, top, right, bottom] = missing.unwrap_or_default().map(|px| f64::from(px) / scale);
    [-left, -top, width + right, height + bottom]
}

/// A picture and what it grew from.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Grown {
    /// As large as the figure needs.
    pub viewport: Viewport,
    plain: Viewport,
    /// How far the pixels of the plain picture moved right and down.
    pub shift: [u32; 2],
}

impl Grown {
    /// The picture, or one that grew in whole pixels at the sides where the figure leaves it.
    #[must_use]
    pub fn new(figure: &Figure, plain: Viewport, grow: bool) -> Self {
        let scale = plain.to_pixels.max_scale();
        let missing = grow.then(|| missing(figure, plain.shown(), scale));
        let [left, top, right, bottom] = missing.flatten().unwrap_or_default();
        let shift = Affine::translate([f64::from(left), f64::from(top)]);
        let wide = |side: u32, a: u32, b: u32| side.saturating_add(a).saturating_add(b);
        let viewport = Viewport {
            width: wide(plain.width, left, right),
            height: wide(plain.height, top, bottom),
            to_pixels: shift.after(plain.to_pixels),
        };
        Self {
            viewport,
            plain,
            shift: [left, top],
        }
    }

    /// Draws the figure. The pixels of the plain picture are what they would be without the others.
    ///
    /// # Errors
    ///
    /// When the picture would be empty or too large.
    pub fn draw(
        &self,
        figure: &Figure,
        background: Option<Rgb>,
        owners: bool,
        scratch: &mut Scratch,
    ) -> Result<Frame, DrawError> {
        let mut frame = draw(figure, &self.viewport, background, owners, scratch)?;
        if self.viewport != self.plain {
            // Elsewhere on the plane the last bits of numbers round otherwise.
            let inner = draw(figure, &self.plain, background, owners, scratch)?;
            let wide = [self.plain.width, self.viewport.width];
            let (from, to) = (inner.pixels.data(), frame.pixels.data_mut());
            put(from, to, 4, self.shift, wide);
            if let (Some(from), Some(to)) = (&inner.owners, &mut frame.owners) {
                put(&from.owners, &mut to.owners, 1, self.shift, wide);
            }
        }
        Ok(frame)
    }
}

/// Puts one grid of pixels into a larger one, `each` values a pixel, at `[x, y]`; `wide` has both widths.
pub(super) fn put<T: Copy>(
    from: &[T],
    to: &mut [T],
    each: usize,
    [x, y]: [u32; 2],
    wide: [u32; 2],
) {
    let [narrow, wide] = wide.map(|side| side as usize * each);
    for (row, line) in from.chunks_exact(narrow.max(1)).enumerate() {
        let start = (y as usize + row) * wide + x as usize * each;
        to[start..][..narrow].copy_from_slice(line);
    }
}
