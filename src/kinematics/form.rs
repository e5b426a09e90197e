//! Maps of the plane that deform what a part shows, in its own frame: canvas units at rest.

use crate::cast::{Part, Setting};
use crate::geom::{Affine, Point};

/// The share of a stretched limb at either end in which its stretch grows from none.
const SOFT: f64 = 0.25;

/// How a part is deformed: maps of the plane, one after the other.
#[derive(Clone, Debug, PartialEq)]
pub struct Form(Vec<Map>);

/// A map of the plane.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Map {
    /// Along a limb's line.
    Stretch(Stretch),
    /// As a whole.
    Move(Point),
}

impl Form {
    /// The form that a setting gives a part; `None` for that as drawn.
    #[must_use]
    pub fn of(part: &Part, setting: &Setting) -> Option<Self> {
        if setting.stretch == 1.0 {
            return None;
        }
        let stretch = Stretch::new(part.pivot, part.end?, setting.stretch)?;
        Some(Self(vec![Map::Stretch(stretch)]))
    }

    /// One form after another.
    #[must_use]
    pub fn after(&self, first: Option<Self>) -> Self {
        let mut maps = first.map_or_else(Vec::new, |first| first.0);
        maps.extend(&self.0);
        Self(maps)
    }

    /// Moved as a whole.
    #[must_use]
    pub fn moved_by(mut self, by: Point) -> Self {
        self.0.push(Map::Move(by));
        self
    }

    /// Where a point goes.
    #[must_use]
    pub fn apply(&self, p: Point) -> Point {
        self.moved(p, [0.0, 0.0]).0
    }

    /// How far a point moves.
    #[must_use]
    pub fn shift(&self, p: Point) -> Point {
        let q = self.apply(p);
        [q[0] - p[0], q[1] - p[1]]
    }

    /// Where a point goes, and what becomes of a direction there.
    #[must_use]
    pub fn moved(&self, p: Point, v: Point) -> (Point, Point) {
        let step = |(p, v): (Point, Point), map: &Map| match map {
            Map::Stretch(stretch) => stretch.moved(p, v),
            Map::Move(by) => ([p[0] + by[0], p[1] + by[1]], v),
        };
        self.0.iter().fold((p, v), step)
    }

    /// The same for what cannot be deformed: the transform that comes nearest.
    #[must_use]
    pub fn whole(&self) -> Affine {
        let step = |all: Affine, map: &Map| match map {
            Map::Stretch(stretch) => stretch.whole().after(all),
            Map::Move(by) => Affine::translate(*by).after(all),
        };
        self.0.iter().fold(Affine::IDENTITY, step)
    }
}

/// A limb made longer or shorter along its line: what lies before the line's beginning stays, what lies beyond its
/// end moves with it, so that both joints keep their form. Between them lengths change softly, most in the middle:
/// no outline gets a corner that it had not.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stretch {
    from: Point,
    /// One long.
    along: Point,
    length: f64,
    by: f64,
}

impl Stretch {
    /// From the line's beginning to its end, by a factor above 0; `None` for a line without length.
    #[must_use]
    pub fn new(from: Point, to: Point, by: f64) -> Option<Self> {
        let (x, y) = (to[0] - from[0], to[1] - from[1]);
        let length = libm::hypot(x, y);
        (length > 1e-6 && by > 0.0).then(|| Self {
            from,
            along: [x / length, y / length],
            length,
            by,
        })
    }

    /// Where a point goes, and what becomes of a direction there.
    fn moved(&self, p: Point, v: Point) -> (Point, Point) {
        let [x, y] = self.along;
        let at = ((p[0] - self.from[0]) * x + (p[1] - self.from[1]) * y) / self.length;
        let (there, grows) = self.share(at);
        let by = (there - at) * self.length;
        let more = (grows - 1.0) * (v[0] * x + v[1] * y);
        (
            [p[0] + x * by, p[1] + y * by],
            [v[0] + x * more, v[1] + y * more],
        )
    }

    /// Where a place along the line goes, both in its lengths, and how lengths grow there.
    fn share(&self, at: f64) -> (f64, f64) {
        // Less is soft where nearly nothing is left, so that nothing folds.
        let soft = SOFT * self.by.min(1.0);
        let most = (self.by - soft) / (1.0 - soft);
        let half = |at: f64| {
            if at <= 0.0 {
                (at, 1.0)
            } else if at < soft {
                let more = (most - 1.0) * at / soft;
                (at + more * at / 2.0, 1.0 + more)
            } else {
                (soft * (1.0 + most) / 2.0 + most * (at - soft), most)
            }
        };
        if at <= 0.5 {
            half(at)
        } else {
            let (left, grows) = half(1.0 - at);
            (self.by - left, grows)
        }
    }

    /// All of the plane by the same factor along the line.
    fn whole(&self) -> Affine {
        let ([x, y], more) = (self.along, self.by - 1.0);
        let linear = Affine {
            a: 1.0 + more * x * x,
            b: more * x * y,
            c: more * x * y,
            d: 1.0 + more * y * y,
            e: 0.0,
            f: 0.0,
        };
        let [x, y] = self.from;
        Affine::translate([x, y])
            .after(linear)
            .after(Affine::translate([-x, -y]))
    }
}
