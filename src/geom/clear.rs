//! The largest circle that several walls leave room for.

use std::collections::BinaryHeap;

use super::square::Square;
use super::{Affine, Circle, Edges, Point};

/// A region that a circle must stay inside of, or outside of.
pub struct Wall<'a> {
    /// Its edges, in a frame of their own.
    pub edges: &'a Edges,
    /// From the circle's frame to that frame, and back: a turn and a move.
    pub to: Affine,
    /// Back.
    pub back: Affine,
    /// True when the circle must stay inside.
    pub inside: bool,
}

/// The side of the first square is cut in so many.
const FIRST: u32 = 4;
/// How far behind a wall it is looked whether the wall is thick there, as a share of the disc.
const BEHIND: f64 = 0.5;
/// Squares at most.
const MOST: u32 = 40_000;

impl Wall<'_> {
    /// From a point to where a circle must not be; negative there.
    fn room(&self, p: Point) -> f64 {
        let depth = self.edges.depth(self.to.apply(p));
        if self.inside { depth } else { -depth }
    }

    /// The same; nothing where it is seen at once that it is less than `wanted`.
    fn room_over(&self, p: Point, wanted: f64) -> Option<f64> {
        let own = self.to.apply(p);
        if self.inside {
            return Some(self.edges.depth(own));
        }
        self.edges.depth_unless(own, -wanted).map(|depth| -depth)
    }

    /// The way from the wall to a point that has `room`, of length one.
    fn away(&self, p: Point, room: f64) -> Option<Point> {
        let foot = self.back.apply(self.edges.nearest(self.to.apply(p)));
        let way = [(p[0] - foot[0]) / room, (p[1] - foot[1]) / room];
        (room.abs() > 1e-9).then_some(way)
    }
}

/// How closely a circle is looked for.
#[derive(Clone, Copy, Debug)]
pub struct Room {
    /// Radii that are no more than this do not count, units.
    pub least: f64,
    /// Any radius from this on is as good as the largest.
    pub enough: f64,
    /// The radius is known to this.
    pub precision: f64,
    /// Where a large one may be.
    pub likely: Option<Point>,
}

/// The largest circle inside `disc` and clear of all walls. `None` when none is larger than the least that
/// counts.
///
/// Squares are halved as long as one may hold a better centre, the most hopeful first.
#[must_use]
pub fn largest_clear(disc: Circle, walls: &[Wall<'_>], room: Room) -> Option<Circle> {
    let Room {
        enough, precision, ..
    } = room;
    let mut search = Search {
        disc,
        walls,
        rooms: vec![0.0; walls.len()],
        best: None,
        known: room.least.max(0.0),
        precision,
        wait: BinaryHeap::new(),
    };
    if let Some(centre) = room.likely {
        search.offer(centre, 0.0);
        if search.known >= enough {
            return search.best;
        }
    }
    let half = disc.radius / f64::from(FIRST);
    for k in 0..FIRST * FIRST {
        let (x, y) = (f64::from(k % FIRST), f64::from(k / FIRST));
        let centre = [
            disc.centre[0] - disc.radius + half * (2.0 * x + 1.0),
            disc.centre[1] - disc.radius + half * (2.0 * y + 1.0),
        ];
        search.offer(centre, half);
    }
    let mut tried = 0;
    while let Some(square) = search.wait.pop() {
        tried += 1;
        let done = square.most <= search.known + precision || search.known >= enough;
        if done || tried > MOST {
            break;
        }
        let half = square.half / 2.0;
        for (dx, dy) in [(-1.0, -1.0), (1.0, -1.0), (-1.0, 1.0), (1.0, 1.0)] {
            let centre = [square.centre[0] + dx * half, square.centre[1] + dy * half];
            search.offer(centre, half);
        }
    }
    search.best
}

struct Search<'a> {
    disc: Circle,
    walls: &'a [Wall<'a>],
    /// Of the point in question, each wall's.
    rooms: Vec<f64>,
    best: Option<Circle>,
    known: f64,
    precision: f64,
    wait: BinaryHeap<Square>,
}

impl Search<'_> {
    /// Takes a square's centre for the best if it is, and the square if a better one may be in it.
    fn offer(&mut self, centre: Point, half: f64) {
        let round = half * std::f64::consts::SQRT_2;
        let wanted = self.known + self.precision - round;
        let from = [
            centre[0] - self.disc.centre[0],
            centre[1] - self.disc.centre[1],
        ];
        let out = libm::hypot(from[0], from[1]);
        let in_disc = self.disc.radius - out;
        let mut room = in_disc;
        // Most squares lie deep in one wall.
        for (wall, own) in self.walls.iter().zip(&mut self.rooms) {
            if room <= wanted {
                return;
            }
            let Some(found) = wall.room_over(centre, wanted) else {
                return;
            };
            *own = found;
            room = room.min(*own);
        }
        if room <= wanted {
            return;
        }
        if room > self.known {
            self.known = room;
            self.best = Some(Circle {
                centre,
                radius: room,
            });
        }
        let mut most = room + round;
        let behind = BEHIND * self.disc.radius;
        if round * 4.0 < behind && room < round {
            let disc = (out > 1e-9).then(|| Side {
                room: in_disc,
                away: [-from[0] / out, -from[1] / out],
            });
            most = most.min(self.between(centre, round, behind, disc));
        }
        if half > 0.0 && most > self.known + self.precision {
            self.wait.push(Square { centre, half, most });
        }
    }

    /// The most room of any point within `round` of another that lies between two walls which face each
    /// other: what one gives, the other takes.
    ///
    /// A wall that holds a whole disc behind its nearest point is no nearer to any point than that disc is,
    /// and from a disc's edge the room grows nearly as from a straight line.
    fn between(&self, p: Point, round: f64, behind: f64, disc: Option<Side>) -> f64 {
        let mut sides: Vec<Side> = disc.into_iter().collect();
        let bent = round * round / (2.0 * (behind - 2.0 * round));
        for (wall, &room) in self.walls.iter().zip(&self.rooms) {
            if room > 2.0 * round {
                continue;
            }
            let Some(away) = wall.away(p, room) else {
                continue;
            };
            let far = room + behind;
            let depth = -wall.room([p[0] - away[0] * far, p[1] - away[1] * far]);
            let room = room + (behind - depth).max(0.0) + bent;
            sides.push(Side { room, away });
        }
        let mut most = f64::INFINITY;
        for (k, a) in sides.iter().enumerate() {
            for b in &sides[k + 1..] {
                let along = libm::hypot(a.away[0] + b.away[0], a.away[1] + b.away[1]);
                most = most.min((a.room + b.room + along * round) / 2.0);
            }
        }
        most
    }
}

/// A wall near a point.
struct Side {
    /// From it to the point; or what it seems to be, if its curve could give more.
    room: f64,
    /// The way from it.
    away: Point,
}
