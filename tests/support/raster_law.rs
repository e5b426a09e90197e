//! The law of lines read sample by sample: each part drawn alone, every point of ink decided by itself.
//!
//! Nothing of `solve` is asked but where parts have gone, which is in front, and how large an automatic zone is.

use layfig::art::Role;
use layfig::cast::{Drawing, Keep, Opens, Pose, View, Zone};
use layfig::geom::{Affine, Point};
use layfig::solve::{Figure, Puppet};

use super::planes::{
    ANY, COVER, DARK, DARK_PAINT, Drawings, INK, OPENED, OUTLINE, PAINT, Plane, plane,
};

/// A figure taken apart.
pub struct Apart<'a> {
    view: &'a View,
    /// From a sample to the canvas.
    back: Affine,
    /// For each part that shows, less what masks hide.
    planes: Vec<Option<Plane>>,
    /// Parts that show and are not worn, back to front.
    order: Vec<usize>,
    /// For each part its place in that order.
    rank: Vec<usize>,
    /// For each part, garments too, its depth: its own, the pose's, and that of all that carries it.
    depth: Vec<f64>,
    /// For each seam: its zone at rest, and what takes the canvas back to rest, riding on the
    /// first and on the second of its parts.
    zones: Vec<(Where, [Affine; 2])>,
    /// Whether a part that lies between is no more than shade or line of what carries it.
    light: Vec<bool>,
}

/// A zone at rest.
enum Where {
    Disc(Point, f64),
    Drawn(Plane),
}

/// From the rest canvas to samples of a drawn zone.
const FINE: Affine = Affine {
    a: 4.0,
    d: 4.0,
    ..Affine::IDENTITY
};

/// What shows at a sample: whether it is dark, and whose it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Seen {
    pub dark: bool,
    pub part: u16,
}

pub const NOTHING: Seen = Seen {
    dark: false,
    part: u16::MAX,
};

impl<'a> Apart<'a> {
    /// `to_pixels` takes the canvas to samples.
    pub fn new(
        puppet: &'a Puppet,
        pose: &Pose,
        figure: &Figure,
        drawings: &Drawings<'_>,
        to_pixels: Affine,
    ) -> Self {
        let member = puppet.member();
        let view = &member.views[puppet.view()];
        let names: Vec<&str> = view
            .parts
            .iter()
            .map(|p| member.names[p.name.at()].as_str())
            .collect();
        let world: Vec<Affine> = names
            .iter()
            .map(|n| figure.transform_of(n).expect("a part"))
            .collect();
        let worn: Vec<usize> = view.garments.iter().map(|g| g.part.at()).collect();
        let mut order = Vec::new();
        for name in figure.depth_order() {
            let i = names.iter().position(|n| *n == name).expect("a part");
            if !order.contains(&i) && !worn.contains(&i) {
                order.push(i);
            }
        }
        let depth = (0..names.len())
            .map(|i| {
                let (mut sum, mut at) = (0.0, Some(i));
                while let Some(k) = at {
                    let part = &view.parts[k];
                    let posed = pose.depth.iter().filter(|s| s.part == part.name);
                    sum += part.depth + posed.map(|s| s.value).sum::<f64>();
                    at = part.parent.map(|p| p.at());
                }
                sum
            })
            .collect();
        let mut rank = vec![usize::MAX; names.len()];
        for (at, &i) in order.iter().enumerate() {
            rank[i] = at;
        }
        let mut light = vec![false; names.len()];
        let mut planes: Vec<Option<Plane>> = Vec::new();
        for (i, part) in view.parts.iter().enumerate() {
            let said = pose.replace.iter().rev().find(|s| s.part == part.name);
            let drawing = match said.map(|s| s.value.as_str()) {
                Some("none") => Drawing::Empty,
                None | Some("art") => part.art,
                Some(other) => part.replacements.get(other).copied().unwrap_or(part.art),
            };
            let Drawing::Art(id) = drawing else {
                planes.push(None);
                continue;
            };
            let art = drawings.library.get(id).unwrap();
            let has = |role| art.shapes.iter().any(|s| s.role == role);
            let joined = view
                .seams
                .iter()
                .any(|s| s.parent.at() == i || s.child.at() == i);
            light[i] = !(joined || has(Role::Ink) && has(Role::Paint));
            let to = to_pixels.after(world[i]);
            let to = to
                .after(Affine::translate(part.place.shift))
                .after(part.place.linear());
            planes.push(plane(drawings, id, &to));
        }
        let zones = view.seams.iter().map(|seam| {
            let at_rest = match seam.zone {
                Zone::Art(id) => Where::Drawn(plane(drawings, id, &FINE).expect("a zone")),
                _ => Where::Disc(
                    view.parts[seam.child.at()].pivot,
                    figure.seam_radius(&seam.name).expect("a disc"),
                ),
            };
            let back =
                [seam.parent, seam.child].map(|p| world[p.at()].inverse().expect("a way back"));
            (at_rest, back)
        });
        let mut out = Self {
            view,
            back: to_pixels.inverse().expect("a way back"),
            planes,
            order,
            rank,
            depth,
            zones: zones.collect(),
            light,
        };
        out.mask();
        out.open();
        out
    }

    fn at(&self, part: usize, x: i32, y: i32) -> u8 {
        self.planes[part].as_ref().map_or(0, |p| p.at(x, y))
    }

    fn mask(&mut self) {
        let mut wait: Vec<usize> = (0..self.view.masks.len()).collect();
        while let Some(k) = wait.iter().position(|&m| {
            let of = &self.view.masks[m].of;
            !wait.iter().any(|&o| of.contains(&self.view.masks[o].part))
        }) {
            let mask = &self.view.masks[wait.remove(k)];
            let Some(mut plane) = self.planes[mask.part.at()].take() else {
                continue;
            };
            let all: Vec<_> = plane.points().collect();
            for (k, x, y) in all {
                let inside = mask.of.iter().any(|&of| self.at(of.at(), x, y) & ANY != 0);
                if inside != (mask.keep == Keep::Inside) {
                    plane.bits[k] = 0;
                }
            }
            self.planes[mask.part.at()] = Some(plane);
        }
        assert!(wait.is_empty(), "masks go round in a circle");
    }

    /// The seams that open a part's ink, with the other part and how the zone rides on that.
    fn seams(&self, part: usize) -> Vec<(usize, usize, usize)> {
        let seams = self.view.seams.iter().enumerate();
        seams
            .filter_map(|(k, seam)| {
                let (by, side, never) = if seam.parent.at() == part {
                    (seam.child.at(), 1, Opens::Child)
                } else if seam.child.at() == part {
                    (seam.parent.at(), 0, Opens::Parent)
                } else {
                    return None;
                };
                (seam.opens != never && self.planes[by].is_some()).then_some((k, by, side))
            })
            .collect()
    }

    fn carries(&self, by: usize, part: usize) -> bool {
        let mut now = Some(part);
        while let Some(p) = now {
            if p == by {
                return true;
            }
            now = self.view.parts[p].parent.map(|p| p.at());
        }
        false
    }

    fn between(&self, a: usize, b: usize) -> Vec<usize> {
        let (from, to) = (
            self.rank[a].min(self.rank[b]),
            self.rank[a].max(self.rank[b]),
        );
        let own = |x: usize| self.light[x] && (self.carries(a, x) || self.carries(b, x));
        let between = self.order.get(from + 1..to).unwrap_or_default();
        between.iter().copied().filter(|&x| !own(x)).collect()
    }

    fn in_zone(&self, (seam, _, side): (usize, usize, usize), x: i32, y: i32) -> bool {
        let (at_rest, back) = &self.zones[seam];
        let p = self.back.apply([f64::from(x) + 0.5, f64::from(y) + 0.5]);
        let p = back[side].apply(p);
        match at_rest {
            Where::Disc(middle, r) => libm::hypot(p[0] - middle[0], p[1] - middle[1]) < *r,
            Where::Drawn(plane) => {
                let [x, y] = FINE.apply(p).map(|v| v.floor() as i32);
                plane.at(x, y) & PAINT != 0
            }
        }
    }

    /// Whether seams open a part's outline here, that with one other left out.
    fn through(&self, law: &Law, part: usize, but: usize, x: i32, y: i32) -> bool {
        law.seams[part].iter().any(|(seam, between)| {
            let by = seam.1;
            by != but
                && self.at(by, x, y) & (PAINT | OUTLINE) == PAINT
                && self.in_zone(*seam, x, y)
                && !between.iter().any(|&o| self.at(o, x, y) & COVER != 0)
        })
    }

    /// (a), (b) and (c), with what the seams of a partner and of what lies between open of their own outlines.
    fn is_opened(&self, law: &Law, part: usize, x: i32, y: i32) -> bool {
        law.seams[part].iter().any(|(seam, between)| {
            let by = seam.1;
            let there = self.at(by, x, y);
            let clear = || there & OUTLINE == 0 || self.through(law, by, part, x, y);
            let covers = |&o: &usize| {
                let here = self.at(o, x, y);
                here & COVER != 0 && (here & PAINT != 0 || !self.through(law, o, usize::MAX, x, y))
            };
            there & PAINT != 0
                && self.in_zone(*seam, x, y)
                && clear()
                && !between.iter().any(covers)
        })
    }

    fn open(&mut self) {
        let seams = (0..self.planes.len()).map(|part| {
            let shows = self.planes[part].is_some() && self.rank[part] != usize::MAX;
            let seams = if shows { self.seams(part) } else { Vec::new() };
            let all = seams
                .into_iter()
                .map(|seam| (seam, self.between(part, seam.1)));
            all.collect()
        });
        let law = Law {
            seams: seams.collect(),
        };
        for part in self.order.clone() {
            if law.seams[part].is_empty() {
                continue;
            }
            let Some(plane) = &self.planes[part] else {
                continue;
            };
            let opened: Vec<usize> = plane
                .points()
                .filter(|&(k, x, y)| plane.bits[k] & INK != 0 && self.is_opened(&law, part, x, y))
                .map(|(k, _, _)| k)
                .collect();
            if let Some(plane) = &mut self.planes[part] {
                for k in opened {
                    plane.bits[k] |= OPENED;
                }
            }
        }
    }

    /// What shows at each sample of a picture that is so wide.
    pub fn seen(&self, width: usize, height: usize) -> Vec<Seen> {
        let mut out = vec![NOTHING; width * height];
        let mut put = |x: i32, y: i32, dark: bool, part: usize| {
            if let (Ok(i), Ok(j)) = (usize::try_from(x), usize::try_from(y))
                && i < width
                && j < height
            {
                let part = part as u16;
                out[j * width + i] = Seen { dark, part };
            }
        };
        for &part in &self.order {
            let worn = self.worn_on(part);
            self.each(part, |x, y, b| {
                if b & INK != 0 && b & OPENED == 0 && worn.is_empty() {
                    put(x, y, b & DARK != 0, part);
                } else if b & PAINT != 0 {
                    put(x, y, b & DARK_PAINT != 0, part);
                }
            });
            let mut rear: Vec<(usize, usize)> = Vec::new();
            for (k, &g) in worn.iter().enumerate() {
                let front = self.front_host(g);
                let hosts: Vec<usize> = if front == part {
                    self.hosts_of(g)
                } else if !self.between_hosts(g, part, front).is_empty()
                    || !self.over(&worn[k..], front).is_empty()
                {
                    vec![part]
                } else {
                    continue;
                };
                let on: Vec<_> = hosts
                    .iter()
                    .map(|&h| {
                        let over: Vec<usize> = if h == part {
                            Vec::new()
                        } else {
                            self.over(&self.worn_from(h, g), part)
                        };
                        (h, self.between_hosts(g, h, part), over)
                    })
                    .collect();
                let garment = self.view.garments[g].part.at();
                self.each(garment, |x, y, b| {
                    let is_on = |(h, between, over): &(usize, Vec<usize>, Vec<usize>)| {
                        let hid = |&o: &usize| self.at(o, x, y) & COVER != 0;
                        self.is_host(*h, x, y) && !between.iter().any(hid) && !over.iter().any(hid)
                    };
                    if b & COVER != 0 && on.iter().any(is_on) {
                        put(x, y, b & DARK != 0, garment);
                    }
                });
                if front == part {
                    rear.extend(hosts.iter().filter(|&&h| h != part).map(|&h| (h, g)));
                }
            }
            for (host, g) in rear {
                let mut hides = self.between_hosts(g, host, part);
                hides.extend(
                    self.hosts_of(g)
                        .into_iter()
                        .filter(|&h| self.rank[h] > self.rank[host]),
                );
                let garment = self.view.garments[g].part.at();
                self.each(host, |x, y, b| {
                    let ink = b & INK != 0 && b & OPENED == 0 && self.at(garment, x, y) & ANY != 0;
                    if ink && !hides.iter().any(|&h| self.is_host(h, x, y)) {
                        put(x, y, b & DARK != 0, host);
                    }
                });
            }
            if !worn.is_empty() {
                self.each(part, |x, y, b| {
                    if b & INK != 0 && b & OPENED == 0 {
                        put(x, y, b & DARK != 0, part);
                    }
                });
            }
        }
        out
    }

    fn each(&self, part: usize, mut take: impl FnMut(i32, i32, u8)) {
        if let Some(plane) = &self.planes[part] {
            for (k, x, y) in plane.points() {
                if plane.bits[k] != 0 {
                    take(x, y, plane.bits[k]);
                }
            }
        }
    }

    /// Garments that a part shows, the nearest last.
    fn worn_on(&self, host: usize) -> Vec<usize> {
        let garments = &self.view.garments;
        let worn = (0..garments.len()).filter(|&g| {
            self.hosts_of(g).contains(&host) && self.planes[garments[g].part.at()].is_some()
        });
        let mut worn: Vec<usize> = worn.collect();
        worn.sort_by(|&a, &b| {
            let (a, b) = (garments[a].part.at(), garments[b].part.at());
            self.depth[a].total_cmp(&self.depth[b]).then(a.cmp(&b))
        });
        worn
    }

    fn worn_from(&self, host: usize, garment: usize) -> Vec<usize> {
        let worn = self.worn_on(host);
        worn.into_iter().skip_while(|&g| g != garment).collect()
    }

    /// Garments over the first of these that belong to another front host.
    fn over(&self, worn: &[usize], front: usize) -> Vec<usize> {
        let over = worn
            .iter()
            .skip(1)
            .filter(|&&g| self.front_host(g) != front);
        over.map(|&g| self.view.garments[g].part.at()).collect()
    }

    fn hosts_of(&self, garment: usize) -> Vec<usize> {
        let on = self.view.garments[garment].on.iter().map(|h| h.at());
        on.filter(|&h| self.planes[h].is_some()).collect()
    }

    fn front_host(&self, garment: usize) -> usize {
        let hosts = self.hosts_of(garment).into_iter();
        hosts.max_by_key(|&h| self.rank[h]).expect("a host")
    }

    fn is_host(&self, host: usize, x: i32, y: i32) -> bool {
        self.at(host, x, y) & PAINT != 0
    }

    fn between_hosts(&self, garment: usize, a: usize, b: usize) -> Vec<usize> {
        let given = &self.view.garments[garment];
        let meets = |x: usize| {
            let planes = self.planes[given.part.at()]
                .as_ref()
                .zip(self.planes[x].as_ref());
            planes.is_some_and(|(p, q)| {
                p.x < q.x + q.w && q.x < p.x + p.w && p.y < q.y + q.h && q.y < p.y + p.h
            })
        };
        let between = self.between(a, b).into_iter();
        between
            .filter(|&x| meets(x) && !given.on.iter().any(|h| h.at() == x))
            .collect()
    }
}

/// A seam, its other part and the rest of what names it, with the parts that lie between.
type Between = ((usize, usize, usize), Vec<usize>);

/// For each part its seams and what lies between.
struct Law {
    seams: Vec<Vec<Between>>,
}
