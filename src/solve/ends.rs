//! How opened lines end: as a half disc of the line's own width where a line ends in the open, without
//! slivers, and without islands too short to be a line.

use crate::geom::{Affine, Point, Region, bounds_of, sin_cos_degrees};

/// A line is left as cut where it is this many times narrower or wider than lines of its shape are.
const UNLIKE: f64 = 2.5;
/// A cut that is more oblique than this, in widths of the line along it, is left as it is.
const OBLIQUE: f64 = 6.0;
/// How far beyond a line's edge what is kept or opened of it goes, widths: edges that coincide would thin it.
const BEYOND: f64 = 0.15;
/// A piece of ink shorter than this, in widths, is an island.
const ISLAND: f64 = 2.0;
/// Degrees between the points of a half disc.
const STEP: f64 = 6.0;

/// A border of an opening at which lines end in the open. The opening lies to the side of `along` to which
/// the cross product is positive.
#[derive(Clone, Debug)]
pub(crate) struct Rim {
    pub points: Vec<Point>,
    /// The last point goes on to the first.
    pub closed: bool,
}

/// A shape of ink, as it lies on an opening.
pub(super) struct Line<'a> {
    pub region: &'a Region,
    /// To the frame of the rims.
    pub placed: Affine,
    /// What its ink is wide on the whole, in that frame.
    pub width: f64,
}

/// What ends change in an opening.
#[derive(Default)]
pub(super) struct Ends {
    /// Stays closed.
    pub keep: Vec<Region>,
    /// Opens too, where paint joins.
    pub open: Vec<Region>,
    /// Islands, which go wherever they lie.
    pub islands: Vec<Region>,
}

/// What is to be known of points.
pub(super) struct Asks<'a> {
    /// Whether clear paint of a partner lies there.
    pub clear: &'a dyn Fn(Point) -> bool,
    /// Whether other ink that shows there takes a line up.
    pub joined: &'a dyn Fn(Point) -> bool,
}

/// Where a rim crosses an edge of ink.
struct Hit {
    rim: usize,
    /// Points and shares of pieces along the rim.
    along: f64,
    p: Point,
    /// The edge's direction, ink to the positive side.
    edge: Point,
    contour: usize,
    at: f64,
    /// The rim goes into the ink.
    enters: bool,
}

/// A stretch of a rim inside ink.
struct Chord {
    enter: usize,
    leave: usize,
    /// From `enter` to `leave`.
    points: Vec<Point>,
    form: Form,
}

enum Form {
    /// Across a line: where its middle crosses, where it goes inside the opening, width, and how far along
    /// the line the cut reaches.
    Across {
        middle: Point,
        inward: Point,
        width: f64,
        reach: f64,
    },
    /// In and out over one edge of it, the edge between lying in the opening.
    Bite,
    /// The same, the edge between lying outside.
    Rest,
    /// No line.
    Left,
}

fn sub(a: Point, b: Point) -> Point {
    [a[0] - b[0], a[1] - b[1]]
}

fn dot(a: Point, b: Point) -> f64 {
    a[0] * b[0] + a[1] * b[1]
}

fn cross(a: Point, b: Point) -> f64 {
    a[0] * b[1] - a[1] * b[0]
}

fn unit(a: Point) -> Option<Point> {
    let length = libm::hypot(a[0], a[1]);
    (length > 1e-12).then(|| [a[0] / length, a[1] / length])
}

fn length(points: &[Point]) -> f64 {
    let off = |w: &[Point]| libm::hypot(w[1][0] - w[0][0], w[1][1] - w[0][1]);
    points.windows(2).map(off).sum()
}

/// What the ends of a line change.
pub(super) fn ends(
    line: &Line<'_>,
    rims: &[Rim],
    boxes: &[[f64; 4]],
    asks: &Asks<'_>,
    into: &mut Ends,
) {
    let Some(found) = Crossings::new(line, rims, boxes) else {
        return;
    };
    let mut chords = found.chords();
    // Over ink alone nothing shows of an end.
    chords.retain(|chord| chord.shows(asks.clear));
    let mut gone = vec![false; chords.len()];
    for k in 0..chords.len() {
        if gone[k] {
            continue;
        }
        if let Some((island, with)) = found.island(&chords, k, line.width, asks.joined) {
            into.islands.push(island);
            gone[k] = true;
            gone[with] = true;
        }
    }
    for (chord, _) in chords.iter().zip(&gone).filter(|(_, gone)| !**gone) {
        match chord.form {
            Form::Across {
                middle,
                inward,
                width,
                reach,
            } => into.cap(middle, inward, width, reach),
            Form::Bite => found.bite(chord, line.width, into),
            Form::Rest => found.rest(chord, line.width, into),
            Form::Left => {}
        }
    }
}

impl Chord {
    /// Whether an end here changes anything that is seen: whether clear paint lies about it.
    fn shows(&self, clear: &dyn Fn(Point) -> bool) -> bool {
        match self.form {
            Form::Across {
                middle,
                inward,
                width,
                ..
            } => {
                let at = |s: f64, n: f64| {
                    [
                        middle[0] + (inward[0] * s - inward[1] * n) * width,
                        middle[1] + (inward[1] * s + inward[0] * n) * width,
                    ]
                };
                let about = [[0.0, 0.0], [0.48, 0.0], [0.25, 0.4], [0.25, -0.4]];
                let ends = self.points.first().into_iter().chain(self.points.last());
                let mut about = about.into_iter().map(|[s, n]| at(s, n));
                // A little within the line: where two outlines coincide their edges do too.
                let mut ends = ends.map(|p| {
                    let toward = sub(middle, *p);
                    [p[0] + 0.15 * toward[0], p[1] + 0.15 * toward[1]]
                });
                about.any(clear) || ends.any(clear)
            }
            Form::Bite | Form::Rest => self.points.iter().any(|&p| clear(p)),
            Form::Left => true,
        }
    }
}

impl Ends {
    pub fn is_empty(&self) -> bool {
        self.keep.is_empty() && self.open.is_empty() && self.islands.is_empty()
    }

    /// A half disc about the middle, the line kept behind it and opened before it.
    fn cap(&mut self, middle: Point, inward: Point, width: f64, reach: f64) {
        let side = [-inward[1], inward[0]];
        let half = width / 2.0;
        let wide = half + BEYOND * width;
        let far = reach + BEYOND * width;
        let at = |s: f64, n: f64| {
            [
                middle[0] + inward[0] * s + side[0] * n,
                middle[1] + inward[1] * s + side[1] * n,
            ]
        };
        let mut kept = vec![
            at(0.0, -half),
            at(0.0, -wide),
            at(-far, -wide),
            at(-far, wide),
            at(0.0, wide),
        ];
        let mut angle = 90.0;
        while angle > -90.0 {
            let (s, c) = sin_cos_degrees(angle);
            kept.push(at(half * c, half * s));
            angle -= STEP;
        }
        self.keep.push(polygon(kept));
        let before = vec![at(0.0, -wide), at(far, -wide), at(far, wide), at(0.0, wide)];
        self.open.push(polygon(before));
    }
}

fn polygon(points: Vec<Point>) -> Region {
    Region::from_contours(&[points], tiny_skia::FillRule::Winding)
}

/// Rims and a shape of ink, with where they cross.
struct Crossings<'a> {
    rims: &'a [Rim],
    /// Ink to the positive side of each edge.
    contours: Vec<Vec<Point>>,
    hits: Vec<Hit>,
}

impl<'a> Crossings<'a> {
    fn new(line: &Line<'_>, rims: &'a [Rim], boxes: &[[f64; 4]]) -> Option<Self> {
        let turned = line.region.turns_back() != (line.placed.determinant() < 0.0);
        let mut hits = Vec::new();
        for (contour, points) in line.region.contours().iter().enumerate() {
            let n = points.len();
            let at = |i: usize| {
                let i = i % n;
                line.placed
                    .apply(points[if turned { n - 1 - i } else { i }])
            };
            let mut from = at(0);
            for i in 0..n {
                let to = at(i + 1);
                let around = box_of(from, to);
                for (r, rim) in rims.iter().enumerate() {
                    if !apart(&around, &boxes[r]) {
                        crossings(rim, from, to, &around, |along, p, s, t, enters| {
                            #[expect(clippy::cast_precision_loss, reason = "counts of points")]
                            hits.push(Hit {
                                rim: r,
                                along: along as f64 + s,
                                p,
                                edge: unit(sub(to, from)).unwrap_or_default(),
                                contour,
                                at: i as f64 + t,
                                enters,
                            });
                        });
                    }
                }
                from = to;
            }
        }
        if hits.is_empty() {
            return None;
        }
        let placed = |c: &Vec<Point>| {
            let mut points: Vec<Point> = c.iter().map(|&p| line.placed.apply(p)).collect();
            if turned {
                points.reverse();
            }
            points
        };
        hits.sort_by(|a, b| a.rim.cmp(&b.rim).then(a.along.total_cmp(&b.along)));
        Some(Self {
            rims,
            contours: line.region.contours().iter().map(placed).collect(),
            hits,
        })
    }

    fn chords(&self) -> Vec<Chord> {
        let mut all = Vec::new();
        for (r, rim) in self.rims.iter().enumerate() {
            let mut here: Vec<usize> = (0..self.hits.len())
                .filter(|&h| self.hits[h].rim == r)
                .collect();
            if rim.closed && here.first().is_some_and(|&h| !self.hits[h].enters) {
                here.rotate_left(1);
            }
            for pair in here.windows(2) {
                let (enter, leave) = (pair[0], pair[1]);
                if self.hits[enter].enters && !self.hits[leave].enters {
                    let points = rim.between(
                        self.hits[enter].along,
                        self.hits[leave].along,
                        self.hits[enter].p,
                        self.hits[leave].p,
                    );
                    let form = self.form(enter, leave, &points);
                    all.push(Chord {
                        enter,
                        leave,
                        points,
                        form,
                    });
                }
            }
        }
        all
    }

    fn form(&self, enter: usize, leave: usize, points: &[Point]) -> Form {
        let (from, to) = (&self.hits[enter], &self.hits[leave]);
        let way = sub(to.p, from.p);
        // Where the edges go inside the opening: where the rim enters ink, the edge comes out of it.
        let (one, other) = ([-from.edge[0], -from.edge[1]], to.edge);
        if dot(one, other) < 0.0 {
            return if dot(one, way) > 0.0 {
                Form::Bite
            } else {
                Form::Rest
            };
        }
        let Some(inward) = unit([one[0] + other[0], one[1] + other[1]]) else {
            return Form::Left;
        };
        let width = cross(inward, way).abs();
        let centre = [from.p[0] + way[0] / 2.0, from.p[1] + way[1] / 2.0];
        let side = |p: Point| cross(inward, sub(p, centre));
        let crossed = points.windows(2).find_map(|w| {
            let (a, b) = (side(w[0]), side(w[1]));
            let met = (a <= 0.0) != (b <= 0.0);
            met.then(|| {
                let t = a / (a - b);
                [
                    w[0][0] + (w[1][0] - w[0][0]) * t,
                    w[0][1] + (w[1][1] - w[0][1]) * t,
                ]
            })
        });
        let Some(middle) = crossed else {
            return Form::Left;
        };
        let reach = points
            .iter()
            .map(|&p| dot(inward, sub(p, middle)).abs())
            .fold(0.0, f64::max);
        if width <= 0.0 || reach > OBLIQUE * width {
            return Form::Left;
        }
        Form::Across {
            middle,
            inward,
            width,
            reach,
        }
    }

    /// The ink's edge from one crossing forward to another of the same contour, both included.
    fn run(&self, from: usize, to: usize) -> Vec<Point> {
        let (a, b) = (&self.hits[from], &self.hits[to]);
        let points = &self.contours[a.contour];
        let n = points.len();
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "counts of points"
        )]
        let (first, count) = {
            let first = a.at.floor() as usize;
            let last = b.at.floor() as usize;
            let turns = if b.at >= a.at { 0 } else { n };
            (first, last + turns - first)
        };
        let mut out = vec![a.p];
        out.extend((1..=count).map(|k| points[(first + k) % n]));
        out.push(b.p);
        out
    }

    /// The next crossing along the ink's edge.
    fn next(&self, from: usize) -> usize {
        let a = &self.hits[from];
        let ahead = |h: &usize| {
            let off = self.hits[*h].at - a.at;
            #[expect(clippy::cast_precision_loss, reason = "counts of points")]
            let n = self.contours[a.contour].len() as f64;
            if off > 0.0 { off } else { off + n }
        };
        (0..self.hits.len())
            .filter(|&h| self.hits[h].contour == a.contour)
            .min_by(|x, y| ahead(x).total_cmp(&ahead(y)))
            .unwrap_or(from)
    }

    /// The ink outside an opening that a chord splits off, if it is too short to be a line, with the other
    /// chord that ends it.
    fn island(
        &self,
        chords: &[Chord],
        k: usize,
        usual: f64,
        joined: &dyn Fn(Point) -> bool,
    ) -> Option<(Region, usize)> {
        let Form::Across { width, .. } = chords[k].form else {
            return None;
        };
        if width > UNLIKE * usual {
            return None;
        }
        // Where the rim enters ink, the ink's edge leaves the opening.
        let out = chords[k].enter;
        let other = chords
            .iter()
            .position(|c| c.leave == self.next(out) && !matches!(c.form, Form::Left))?;
        let mut edge = self.run(out, chords[other].leave);
        if other == k {
            if length(&edge) >= (2.0 * ISLAND + 1.0) * width {
                return None;
            }
        } else {
            if self.next(chords[other].enter) != chords[k].leave {
                return None;
            }
            let back = self.run(chords[other].enter, chords[k].leave);
            if length(&edge).max(length(&back)) >= ISLAND * width {
                return None;
            }
            edge.extend(back);
        }
        let middles = edge
            .windows(2)
            .map(|w| [(w[0][0] + w[1][0]) / 2.0, (w[0][1] + w[1][1]) / 2.0]);
        if edge.iter().copied().chain(middles).any(joined) {
            return None;
        }
        Some((grown(&edge, BEYOND * width), other))
    }

    /// An opening that takes something from one edge of a line: less than half of it stays closed, more
    /// goes all through.
    fn bite(&self, chord: &Chord, width: f64, into: &mut Ends) {
        let (enter, leave) = (&self.hits[chord.enter], &self.hits[chord.leave]);
        if enter.contour != leave.contour {
            return;
        }
        let edge = self.run(chord.leave, chord.enter);
        let half = width / 2.0;
        let Some(way) = unit(sub(leave.p, enter.p)) else {
            return;
        };
        let off = |p: Point| cross(way, sub(p, enter.p)).abs();
        let bulge = edge.iter().map(|&p| off(p)).fold(0.0, f64::max);
        if bulge > OBLIQUE * width {
            return;
        }
        let deep: Vec<Point> = chord
            .points
            .iter()
            .copied()
            .filter(|&p| off(p) + bulge > half)
            .collect();
        let ends = deep.first().copied().zip(deep.last().copied());
        match ends {
            Some((a, b)) if libm::hypot(b[0] - a[0], b[1] - a[1]) > width => {
                let reach = libm::hypot(a[0] - enter.p[0], a[1] - enter.p[1]);
                into.cap(a, way, width, reach);
                let reach = libm::hypot(b[0] - leave.p[0], b[1] - leave.p[1]);
                into.cap(b, [-way[0], -way[1]], width, reach);
                let side = [-way[1] * width * 0.65, way[0] * width * 0.65];
                into.open.push(polygon(vec![
                    [a[0] - side[0], a[1] - side[1]],
                    [b[0] - side[0], b[1] - side[1]],
                    [b[0] + side[0], b[1] + side[1]],
                    [a[0] + side[0], a[1] + side[1]],
                ]));
            }
            _ => {
                let mut lens = chord.points.clone();
                lens.extend(beside(&edge, half));
                into.keep.push(polygon(lens));
            }
        }
    }

    /// What an opening leaves along one edge of a line: less than half of it opens too.
    fn rest(&self, chord: &Chord, width: f64, into: &mut Ends) {
        let (enter, leave) = (&self.hits[chord.enter], &self.hits[chord.leave]);
        if enter.contour != leave.contour {
            return;
        }
        let edge = self.run(chord.enter, chord.leave);
        let Some(way) = unit(sub(leave.p, enter.p)) else {
            return;
        };
        let off = |p: &Point| cross(way, sub(*p, enter.p)).abs();
        let deep = edge.iter().map(off).fold(0.0, f64::max)
            + chord.points.iter().map(off).fold(0.0, f64::max);
        if deep <= width / 2.0 {
            into.open.push(grown(&edge, BEYOND * width));
        }
    }
}

fn box_of(a: Point, b: Point) -> [f64; 4] {
    [
        a[0].min(b[0]),
        a[1].min(b[1]),
        a[0].max(b[0]),
        a[1].max(b[1]),
    ]
}

fn apart(a: &[f64; 4], b: &[f64; 4]) -> bool {
    a[2] < b[0] || a[0] > b[2] || a[3] < b[1] || a[1] > b[3]
}

/// Where a rim crosses an edge of ink: the piece of the rim, the point, its shares of the piece and of the
/// edge, and whether the rim goes into the ink there.
fn crossings(
    rim: &Rim,
    from: Point,
    to: Point,
    around: &[f64; 4],
    mut found: impl FnMut(usize, Point, f64, f64, bool),
) {
    let edge = sub(to, from);
    for (k, (p, q)) in rim.pieces().enumerate() {
        if apart(&box_of(p, q), around) {
            continue;
        }
        let along = sub(q, p);
        let across = cross(edge, along);
        if across == 0.0 {
            continue;
        }
        let off = sub(p, from);
        let t = cross(off, along) / across;
        let s = cross(off, edge) / across;
        // Half open, so that a point shared by two pieces is met once.
        if (0.0..1.0).contains(&t) && (0.0..1.0).contains(&s) {
            let met = [p[0] + along[0] * s, p[1] + along[1] * s];
            found(k, met, s, t, across > 0.0);
        }
    }
}

impl Rim {
    /// A box about it.
    pub fn bounds(&self) -> [f64; 4] {
        bounds_of(self.points.iter().copied()).unwrap_or_default()
    }

    /// The rim moved.
    pub fn transformed(&self, by: &Affine) -> Self {
        let mut points: Vec<Point> = self.points.iter().map(|&p| by.apply(p)).collect();
        if by.determinant() < 0.0 {
            points.reverse();
        }
        Self {
            points,
            closed: self.closed,
        }
    }

    fn pieces(&self) -> impl Iterator<Item = (Point, Point)> + '_ {
        let n = self.points.len();
        let last = if self.closed { n } else { n.saturating_sub(1) };
        (0..last).map(move |i| (self.points[i], self.points[(i + 1) % n]))
    }

    /// The points between two places along it.
    fn between(&self, from: f64, to: f64, start: Point, end: Point) -> Vec<Point> {
        let n = self.points.len();
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "counts of points"
        )]
        let (first, last) = (from.floor() as usize, to.floor() as usize);
        let last = if to >= from { last } else { last + n };
        let mut out = vec![start];
        out.extend((first + 1..=last).map(|k| self.points[k % n]));
        out.push(end);
        out
    }
}

/// An edge of ink moved away from the ink, and turned round.
fn beside(edge: &[Point], by: f64) -> Vec<Point> {
    let n = edge.len();
    let moved = |i: usize| {
        let way = sub(edge[(i + 1).min(n - 1)], edge[i.saturating_sub(1)]);
        let way = unit(way).unwrap_or([0.0, 0.0]);
        [edge[i][0] + way[1] * by, edge[i][1] - way[0] * by]
    };
    (0..n).map(moved).collect()
}

/// A piece of ink, a little larger.
fn grown(edge: &[Point], by: f64) -> Region {
    let piece = polygon(edge.to_vec());
    let lapped = edge.windows(2).map(|w| {
        let way = unit(sub(w[1], w[0])).unwrap_or([0.0, 0.0]);
        let (along, side) = ([way[0] * by, way[1] * by], [way[1] * by, -way[0] * by]);
        polygon(vec![
            [w[0][0] - along[0], w[0][1] - along[1]],
            [w[0][0] - along[0] + side[0], w[0][1] - along[1] + side[1]],
            [w[1][0] + along[0] + side[0], w[1][1] + along[1] + side[1]],
            [w[1][0] + along[0], w[1][1] + along[1]],
        ])
    });
    let all: Vec<Region> = std::iter::once(piece).chain(lapped).collect();
    Region::union_all(&all)
}
