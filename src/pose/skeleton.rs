//! The parts of a view as they lie in space.

use super::space::{Frame, UP, Vector, aimed, along, on_page};
use crate::cast::{Flank, PartId, View};
use crate::geom::Point;

/// A direction that shows by no more than this share of its length points at the viewer: about three degrees.
pub(super) const POINTS: f64 = 0.05;

/// A part in space.
#[derive(Clone, Copy, Debug)]
pub(super) struct Placed {
    /// What it carries is aimed in this frame.
    pub frame: Frame,
    /// It, or a limb that carries it, is aimed.
    pub aimed: bool,
    /// Where its line points.
    pub direction: Vector,
    /// What the view shows of its line as it is drawn, for a length of 1.
    pub drawn: Point,
    /// Its line on the canvas at rest.
    pub line: Point,
    pivot: Vector,
    /// Of its line in space.
    pub length: f64,
}

impl Placed {
    /// The middle of its line.
    pub fn middle(&self) -> Vector {
        along(self.pivot, self.direction, self.length / 2.0)
    }
}

/// What a pose says of a part's place in space.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Said {
    pub aim: Option<Point>,
    pub lean: Option<[f64; 3]>,
}

impl Said {
    pub const fn is_nothing(&self) -> bool {
        self.aim.is_none() && self.lean.is_none()
    }
}

/// The parts of a view that faces so, each where these directions bring it; `order` has carriers first.
pub(super) fn skeleton(view: &View, facing: f64, order: &[PartId], says: &[Said]) -> Vec<Placed> {
    let rest = Placed {
        frame: Frame::UPRIGHT,
        aimed: false,
        direction: UP,
        drawn: [0.0, 0.0],
        line: [0.0, 0.0],
        pivot: [0.0; 3],
        length: 0.0,
    };
    let mut all = vec![rest; view.parts.len()];
    for &id in order {
        let part = &view.parts[id.at()];
        let Said { aim, lean } = says[id.at()];
        let carrier = part.parent.map(|id| (&view.parts[id.at()], all[id.at()]));
        let outer = carrier.map_or(Frame::UPRIGHT, |(_, placed)| placed.frame);
        let frame = lean.map_or(outer, |lean| outer.after(Frame::lean(lean)));
        let side = part.space.side.map_or(1.0, Flank::sign);
        // Limbs hang, bodies stand.
        let drawn = match part.space.drawn {
            Some(drawn) => aimed(side, drawn),
            None if part.space.side.is_some() || aim.is_some() => aimed(side, [0.0, 0.0]),
            None => UP,
        };
        let direction = match aim {
            Some(aim) => outer.apply(aimed(side, aim)),
            // What an aimed limb carries goes on as it does, unless it is aimed itself.
            None => match carrier.filter(|(_, placed)| placed.aimed && part.space.side.is_some()) {
                Some((_, placed)) => placed.direction,
                None => frame.apply(drawn),
            },
        };
        let pivot = match carrier {
            None => [0.0; 3],
            Some((carrier, placed)) => {
                let [x, y] = [0, 1].map(|k| part.pivot[k] - carrier.pivot[k]);
                let [to_x, to_y] = placed.line;
                let length2 = to_x * to_x + to_y * to_y;
                if carrier.space.side.is_some() && length2 > 0.0 {
                    let share = (x * to_x + y * to_y) / length2;
                    along(placed.pivot, placed.direction, share * placed.length)
                } else {
                    let left = part.space.left - carrier.space.left;
                    along(placed.pivot, placed.frame.apply([left, -y, 0.0]), 1.0)
                }
            }
        };
        let line = part
            .end
            .map_or([0.0, 0.0], |[x, y]| [x - part.pivot[0], y - part.pivot[1]]);
        let drawn = on_page(drawn, facing);
        let shown = length(drawn);
        all[id.at()] = Placed {
            frame,
            aimed: aim.is_some()
                || part.space.side.is_some() && carrier.is_some_and(|(_, on)| on.aimed),
            direction,
            drawn,
            line,
            pivot,
            length: length(line) / if shown > POINTS { shown } else { 1.0 },
        };
    }
    all
}

pub(super) fn length([x, y]: Point) -> f64 {
    libm::hypot(x, y)
}
