//! The draw list of a figure: for each part its paints, garments and inks, and the patches of its seams.

use super::figure::{Cut, Figure, Layer, Look, Trim};
use super::opening::seams_of;
use crate::art::{PartArt, Rgb, Role};
use crate::cast::{ColourName, PartId, View};
use crate::geom::{Affine, Point};

/// All layers, back to front. `shift` is how a pose moves a part off its pivot.
pub(super) fn layers(figure: &Figure, shift: impl Fn(PartId) -> Point) -> Vec<Layer> {
    let mut list = List {
        figure,
        view: figure.model().view(),
        out: Vec::new(),
    };
    for &part in figure.order() {
        if let (Some(art), false) = (figure.look(part), figure.model().wears(part)) {
            list.part(part, art);
        }
        list.patches(part, &shift);
    }
    list.out
}

struct List<'a> {
    figure: &'a Figure,
    view: &'a View,
    out: Vec<Layer>,
}

impl List<'_> {
    fn drawing(&self, art: Look) -> &PartArt {
        self.figure.art(art)
    }

    /// A part that is drawn for itself, with what it wears.
    fn part(&mut self, part: PartId, art: Look) {
        let masks = mask_cuts(self.view, part);
        let garments = self.figure.garments_on(part);
        let roles: Vec<Role> = self.drawing(art).shapes.iter().map(|s| s.role).collect();
        if garments.is_empty() {
            let ink_cuts = self.ink_cuts(part);
            for (shape, role) in roles.iter().enumerate() {
                let cuts = if *role == Role::Ink {
                    ink_cuts.clone()
                } else {
                    masks.clone()
                };
                self.put(part, art, shape, cuts, Vec::new());
            }
            return;
        }
        let over = |k: usize| {
            garments[k..].iter().map(|&g| Cut::Worn {
                garment: self.view.garments[g].part,
            })
        };
        let mut made: Vec<Layer> = Vec::new();
        for shape in (0..roles.len()).filter(|&s| roles[s] == Role::Paint) {
            let cuts = masks.iter().copied().chain(over(0)).collect();
            made.push(self.layer(part, art, shape, cuts, Vec::new()));
        }
        let mut rear: Vec<(PartId, PartId, Vec<Cut>)> = Vec::new();
        // Ink that is drawn at the front host is not drawn here as well: soft edges would add up.
        let mut elsewhere: Vec<Cut> = Vec::new();
        for (k, &g) in garments.iter().enumerate() {
            let worn = self.view.garments[g].part;
            let Some(worn_art) = self.figure.look(worn) else {
                continue;
            };
            let front = self.figure.front_host(g).unwrap_or(part);
            if front != part && !self.parted(g, part, front) {
                elsewhere.push(Cut::Worn { garment: worn });
                continue;
            }
            let host = if front == part && self.figure.hosts_of(g).count() > 1 {
                Cut::Hosts {
                    garment: g,
                    front: part,
                }
            } else {
                Cut::Host { host: part }
            };
            let mut cuts = vec![host];
            cuts.extend(mask_cuts(self.view, worn));
            cuts.extend(over(k + 1));
            for shape in 0..self.drawing(worn_art).shapes.len() {
                made.push(self.layer(worn, worn_art, shape, cuts.clone(), Vec::new()));
            }
            if front == part {
                for host in self.figure.hosts_of(g).filter(|&h| h != part) {
                    rear.push((host, worn, self.over_garment(g, host, part)));
                }
            }
        }
        for (host, worn, cuts) in rear {
            if let Some(host_art) = self.figure.look(host) {
                let inks = self.inks(host, host_art, &cuts).into_iter();
                made.extend(inks.filter(|ink| self.figure.meets(ink, worn)));
            }
        }
        made.extend(self.inks(part, art, &elsewhere));
        self.out.extend(made);
    }

    /// The ink of a part that wears something, with more cuts.
    fn inks(&self, part: PartId, art: Look, more: &[Cut]) -> Vec<Layer> {
        // What a garment leaves of it is little: what comes after has less to do.
        let mut cuts = more.to_vec();
        cuts.extend(self.ink_cuts(part));
        let trims = self.trims(part);
        let shapes = &self.drawing(art).shapes;
        let mut made = Vec::new();
        for s in (0..shapes.len()).filter(|&s| shapes[s].role == Role::Ink) {
            let mut cuts = cuts.clone();
            if shapes[s..].iter().any(|later| later.role == Role::Paint) {
                cuts.push(Cut::LaterPaint { shape: s });
            }
            made.push(self.layer(part, art, s, cuts, trims.clone()));
        }
        made
    }

    /// What masks and seams take from a part's ink.
    fn ink_cuts(&self, part: PartId) -> Vec<Cut> {
        let mut cuts = mask_cuts(self.view, part);
        if seams_of(self.figure, part).next().is_some() {
            cuts.push(Cut::Seams { of: part });
        }
        cuts
    }

    fn trims(&self, part: PartId) -> Vec<Trim> {
        let model = self.figure.model();
        let worn = self.figure.garments_on(part).into_iter().filter_map(|g| {
            let garment = &self.view.garments[g];
            let colour = match garment.trim.as_ref()? {
                ColourName::Plain(rgb) => *rgb,
                ColourName::Swatch(name) => model
                    .member
                    .palettes
                    .get(self.figure.palette())
                    .and_then(|p| p.swatches.get(name))
                    .copied()
                    .unwrap_or(Rgb([0, 0, 0])),
            };
            Some(Trim {
                garment: garment.part,
                colour,
            })
        });
        worn.collect()
    }

    /// Whether a garment is drawn at a host behind the front one too: where something comes between the
    /// two, or lies on the garment there.
    fn parted(&self, garment: usize, host: PartId, front: PartId) -> bool {
        let figure = self.figure;
        let covered = figure.garments_over(garment, host, front).next().is_some();
        covered || figure.between_hosts(garment, host, front).next().is_some()
    }

    /// Where the ink of a rear host is drawn once more, over the garment.
    fn over_garment(&self, garment: usize, host: PartId, front: PartId) -> Vec<Cut> {
        let worn = self.view.garments[garment].part;
        let mut cuts = vec![Cut::Over { garment: worn }];
        let rank = self.figure.rank(host);
        cuts.extend(
            self.figure
                .hosts_of(garment)
                .filter(|&h| self.figure.rank(h) > rank)
                .map(|host| Cut::Behind { part: host }),
        );
        cuts.extend(
            self.figure
                .between_hosts(garment, host, front)
                .map(|part| Cut::Behind { part }),
        );
        cuts
    }

    /// The patches of seams whose nearer part this is.
    fn patches(&mut self, part: PartId, shift: &impl Fn(PartId) -> Point) {
        let figure = self.figure;
        for seam in &self.view.seams {
            let Some(patch) = seam.patch else { continue };
            let nearer = if figure.rank(seam.parent) > figure.rank(seam.child) {
                seam.parent
            } else {
                seam.child
            };
            if nearer != part {
                continue;
            }
            if figure.shown(seam.parent).is_none() || figure.shown(seam.child).is_none() {
                continue;
            }
            // The patch rides on the parent and goes along when the child is moved off its pivot.
            let mut shift = if self.view.parts[seam.child.at()].parent == Some(seam.parent) {
                shift(seam.child)
            } else {
                [0.0, 0.0]
            };
            if let Some(formed) = figure.formed(seam.parent) {
                let by = formed.form.shift(self.view.parts[seam.child.at()].pivot);
                shift = [shift[0] + by[0], shift[1] + by[1]];
            }
            let patch = Look {
                id: patch,
                form: None,
            };
            for shape in 0..self.drawing(patch).shapes.len() {
                self.out.push(Layer {
                    part: nearer,
                    art: patch,
                    shape,
                    posed: figure.world(seam.parent).after(Affine::translate(shift)),
                    cuts: Vec::new(),
                    trims: Vec::new(),
                });
            }
        }
    }

    fn layer(
        &self,
        part: PartId,
        art: Look,
        shape: usize,
        cuts: Vec<Cut>,
        trims: Vec<Trim>,
    ) -> Layer {
        let place = self.figure.model().place[part.at()];
        Layer {
            part,
            art,
            shape,
            posed: self.figure.world(part).after(place),
            cuts,
            trims,
        }
    }

    fn put(&mut self, part: PartId, art: Look, shape: usize, cuts: Vec<Cut>, trims: Vec<Trim>) {
        let layer = self.layer(part, art, shape, cuts, trims);
        self.out.push(layer);
    }
}

/// What masks take from a part. Masks that are alike are one cut, so that it is made once.
fn mask_cuts(view: &View, part: PartId) -> Vec<Cut> {
    let alike = |m: usize| {
        let same = |o: &usize| {
            (view.masks[*o].keep, &view.masks[*o].of) == (view.masks[m].keep, &view.masks[m].of)
        };
        (0..m).find(same).unwrap_or(m)
    };
    (0..view.masks.len())
        .filter(|&m| view.masks[m].part == part)
        .map(|m| Cut::Mask { mask: alike(m) })
        .collect()
}
