//! Ends of limbs brought to where they go: planted feet, then reaches, each after what its target or its own carrier
//! waits for.

use super::chain::{Chain, FREE, Link, Reached, angle_of, within, wrapped};
use super::steps::Work;
use super::{Note, Told};
use crate::cast::{Fold, Goal, PartId, Reach, Target, View};
use crate::diag::Span;
use crate::geom::{Affine, Point};

/// Nearer than this is there, units.
const THERE: f64 = 1e-7;
/// Farther than this is told, units.
const TOLD: f64 = 0.01;
/// A turn farther beyond its limits, or off the angle that it should have, is told, degrees.
const TOLD_ANGLE: f64 = 0.01;
/// How often what no closed form sees (uneven scales between the joints) is taken back.
const CORRECTIONS: usize = 12;
/// How often the least stretch is halved down.
const HALVINGS: usize = 40;

/// A limb's end that goes somewhere.
struct Task<'a> {
    end: PartId,
    chain: Vec<PartId>,
    reach: &'a Reach,
    span: Option<Span>,
    /// What it goes with, and where that is at rest.
    goal: (Option<PartId>, Point),
    /// Its own point, at rest.
    touch: Point,
}

/// Solves what a pose says of where ends of limbs are.
pub(super) fn solve(work: &mut Work<'_>) {
    let written = work.written;
    let mut tasks = Vec::new();
    for said in written.plant.iter().chain(&written.reach) {
        if let (Some(reach), Some(end)) = (&said.value, work.view.part(said.part)) {
            tasks.extend(task(work, end, reach, said.span));
        }
    }
    let order = in_order(work, &tasks);
    for (nth, &at) in order.iter().enumerate() {
        let task = &tasks[at];
        let turns = |other: &&usize| {
            let mut chain = tasks[**other].chain.iter();
            chain.any(|part| task.chain.contains(part))
        };
        if let Some(other) = order[..nth].iter().find(turns) {
            let told = Told::Shared(tasks[*other].end);
            work.tell(task.end, task.span, told);
        }
        task.solve(work);
    }
    for &at in &order {
        tasks[at].tell(work);
    }
}

fn task<'a>(
    work: &mut Work<'_>,
    end: PartId,
    reach: &'a Reach,
    span: Option<Span>,
) -> Option<Task<'a>> {
    let view = work.view;
    let chain = reach.chain(view, end);
    if chain.is_empty() {
        return None;
    }
    let own = &view.parts[end.at()];
    let named = reach.by.as_ref().and_then(|by| own.points.get(by));
    let touch = named.copied().unwrap_or_else(|| view.touch(end));
    let floor = || (floor(view, chain[0]), touch);
    let goal = match &reach.to {
        Goal::Rest => floor(),
        Goal::Ground => (floor().0, [touch[0], view.ground.unwrap_or(touch[1])]),
        Goal::To(target) => match place(target, view) {
            Ok(place) => place,
            Err(text) => {
                work.tell(end, span, Told::NoTarget(text));
                return None;
            }
        },
    };
    Some(Task {
        end,
        chain,
        reach,
        span,
        goal,
        touch,
    })
}

/// The part that a target goes with, and where it is at rest; its words where the view has it not.
pub(super) fn place(target: &Target, view: &View) -> Result<(Option<PartId>, Point), String> {
    let missing = |text: &str| text.to_owned();
    match target {
        Target::At(at) => Ok((None, *at)),
        Target::Part(name) => {
            let part = view.part(*name).ok_or_else(|| missing("a part"))?;
            Ok((Some(part), view.touch(part)))
        }
        Target::PointOf(name, point) => {
            let part = view.part(*name).ok_or_else(|| missing(point))?;
            let at = view.parts[part.at()].points.get(point);
            Ok((Some(part), *at.ok_or_else(|| missing(point))?))
        }
        Target::Element(element) => {
            let mut places = element.places.iter();
            let here = places.find(|(name, ..)| *name == view.name);
            let (_, name, at) = here.ok_or_else(|| missing(&element.text))?;
            Ok((view.part(*name), *at))
        }
    }
}

/// What planted feet stand on: the part at the very top, where that has no art and only says where the figure is.
fn floor(view: &View, chain: PartId) -> Option<PartId> {
    let top = view.upwards(chain).last()?;
    (!view.parts[top.at()].is_drawn() && top != chain).then_some(top)
}

/// The tasks, each after those that move what it waits for; circles are told and left out.
fn in_order(work: &mut Work<'_>, tasks: &[Task<'_>]) -> Vec<usize> {
    let view = work.view;
    let waits = |task: usize, other: usize| {
        let (task, other) = (&tasks[task], &tasks[other]);
        let carrier = view.parts[task.chain[0].at()].parent;
        let moved =
            |part: Option<PartId>| part.is_some_and(|part| view.carries(other.chain[0], part));
        moved(task.goal.0) || moved(carrier)
    };
    let mut order = Vec::new();
    let mut left: Vec<usize> = (0..tasks.len()).collect();
    while !left.is_empty() {
        let free = |at: &usize| !left.iter().any(|other| waits(*at, *other));
        if let Some(at) = left.iter().position(free) {
            order.push(left.remove(at));
            continue;
        }
        // Following what each waits for comes round.
        let mut way = vec![left[0]];
        let ring = loop {
            let last = way[way.len() - 1];
            let next = left.iter().copied().find(|other| waits(last, *other));
            let next = next.unwrap_or(last);
            if let Some(from) = way.iter().position(|at| *at == next) {
                break way[from..].to_vec();
            }
            way.push(next);
        };
        let first = &tasks[ring[0]];
        let ends = ring.iter().map(|at| tasks[*at].end).collect();
        work.tell(first.end, first.span, Told::Circle(ends));
        left.retain(|at| !ring.contains(at));
    }
    order
}

impl Task<'_> {
    /// The angle on the page that its end keeps: that of what it stands on, and what the pose says itself.
    fn kept(&self, work: &Work<'_>) -> f64 {
        let floor = self.goal.0.filter(|_| self.is_planted());
        let floor = floor.map_or(0.0, |part| {
            let floor = work.placed(part).world;
            angle_of([floor.a, floor.b])
        });
        floor + work.plain(self.end)
    }

    const fn is_planted(&self) -> bool {
        matches!(self.reach.to, Goal::Rest | Goal::Ground)
    }

    /// Where its end goes, on the page.
    fn target(&self, work: &Work<'_>) -> Point {
        let (part, [x, y]) = self.goal;
        let at = [x + self.reach.offset[0], y + self.reach.offset[1]];
        part.map_or(at, |part| work.placed(part).apply(at))
    }

    fn off(&self, work: &Work<'_>) -> Point {
        let (at, target) = (work.placed(self.end).apply(self.touch), self.target(work));
        [at[0] - target[0], at[1] - target[1]]
    }

    fn solve(&self, work: &mut Work<'_>) {
        let target = self.target(work);
        self.bring(work, target);
        let left = |work: &Work<'_>| {
            let off = self.off(work);
            libm::hypot(off[0], off[1])
        };
        let most = self.reach.stretch;
        if most > 1.0 && left(work) > THERE {
            let plain: Vec<f64> = self.chain.iter().map(|p| work.stretch_of(*p)).collect();
            let longer = |work: &mut Work<'_>, by: f64| {
                for (part, plain) in self.chain.iter().zip(&plain) {
                    work.stretch(*part, plain * by);
                }
                self.bring(work, target);
                left(work) <= THERE
            };
            let (mut less, mut more) = (1.0, most);
            if longer(work, more) {
                for _ in 0..HALVINGS {
                    let by = f64::midpoint(less, more);
                    if longer(work, by) {
                        more = by;
                    } else {
                        less = by;
                    }
                }
                longer(work, more);
            }
        }
        for part in &self.chain {
            work.add_plain(*part);
        }
    }

    /// Turns the chain so that the end's point comes to a place on the page, as near as it goes.
    fn bring(&self, work: &mut Work<'_>, target: Point) {
        let mut aimed = target;
        let mut rigid = !self.reach.keep_angle;
        for _ in 0..CORRECTIONS {
            let found = self.turn(work, aimed, rigid);
            if !rigid && self.level(work) {
                // Its limits stop it: from here on it goes with its carrier.
                rigid = true;
                aimed = target;
                continue;
            }
            let at = work.placed(self.end).apply(self.touch);
            let off = [at[0] - target[0], at[1] - target[1]];
            if libm::hypot(off[0], off[1]) <= THERE || found.left > THERE {
                return;
            }
            aimed = [aimed[0] - off[0], aimed[1] - off[1]];
        }
    }

    /// Turns the chain by the closed form, or the iteration, in the frame of what carries it.
    fn turn(&self, work: &mut Work<'_>, target: Point, rigid: bool) -> Reached {
        let carrier = work.view.parts[self.chain[0].at()].parent;
        let carrier = carrier.map_or(Affine::IDENTITY, |part| work.placed(part).world);
        let Some(back) = carrier.inverse() else {
            return Reached {
                turns: Vec::new(),
                left: f64::INFINITY,
            };
        };
        for part in &self.chain {
            work.set(*part, 0.0);
        }
        let pivot = work.view.parts[self.end.at()].pivot;
        let placed = work.placed(self.end);
        let end = placed.world;
        let (last, target) = if rigid {
            (placed.apply(self.touch), target)
        } else {
            // As it will lie: turned from where it lies now.
            let by = Affine::turn(self.kept(work) - angle_of([end.a, end.b]));
            let (from, to) = (placed.apply(pivot), placed.apply(self.touch));
            let arm = by.apply([to[0] - from[0], to[1] - from[1]]);
            (from, [target[0] - arm[0], target[1] - arm[1]])
        };
        let mut points = Vec::with_capacity(self.chain.len() + 1);
        let mut signs = Vec::with_capacity(self.chain.len());
        for part in &self.chain {
            let own = work.view.parts[part.at()].pivot;
            points.push(back.apply(work.placed(*part).apply(own)));
            let above = work.view.parts[part.at()].parent;
            let above = above.map_or(Affine::IDENTITY, |part| work.placed(part).world);
            let flipped = back.after(above).determinant() < 0.0;
            signs.push(if flipped { -1.0 } else { 1.0 });
        }
        points.push(back.apply(last));
        let links = points.windows(2).zip(self.chain.iter().zip(&signs));
        let links = links.map(|(pair, (part, sign))| {
            let limits = work.view.parts[part.at()].limits.unwrap_or(FREE);
            Link {
                along: [pair[1][0] - pair[0][0], pair[1][1] - pair[0][1]],
                limits: if *sign < 0.0 {
                    limits.map(|l| -l)
                } else {
                    limits
                },
            }
        });
        let mut chain = Chain {
            root: points[0],
            links: links.collect(),
        };
        for (link, sign) in chain.links.iter_mut().zip(&signs) {
            if *sign < 0.0 {
                link.limits.reverse();
            }
        }
        let found = self.folded(&chain, &carrier, back.apply(target));
        for ((part, turn), sign) in self.chain.iter().zip(&found.turns).zip(&signs) {
            work.set(*part, turn * sign);
        }
        found
    }

    /// The chain brought there, folded as is wanted.
    fn folded(&self, chain: &Chain, carrier: &Affine, target: Point) -> Reached {
        let own = chain.own_fold();
        let axis = match self.reach.fold {
            None => return chain.reach(target, own),
            Some(Fold::Other) => return chain.reach(target, -own),
            Some(Fold::Up) => [0.0, -1.0],
            Some(Fold::Down) => [0.0, 1.0],
            Some(Fold::Left) => [-1.0, 0.0],
            Some(Fold::Right) => [1.0, 0.0],
        };
        let both = [own, -own].map(|fold| chain.reach(target, fold));
        let far = |found: &Reached| {
            let points = chain.points(&found.turns);
            let middle = carrier.apply(points[points.len() / 2]);
            middle[0] * axis[0] + middle[1] * axis[1]
        };
        let [first, second] = both;
        let better = far(&second) > far(&first) + 1e-6;
        let as_near = second.left <= first.left + 1e-6;
        if better && as_near { second } else { first }
    }

    /// Turns the end to the angle that it keeps; true where its limits stop it.
    fn level(&self, work: &mut Work<'_>) -> bool {
        work.set(self.end, 0.0);
        let own = work.placed(self.end).world;
        let by = self.kept(work) - angle_of([own.a, own.b]);
        let by = if own.determinant() < 0.0 { -by } else { by };
        let limits = work.view.parts[self.end.at()].limits.unwrap_or(FREE);
        let turn = within(by, limits);
        work.set(self.end, turn);
        wrapped(turn - by).abs() > TOLD_ANGLE
    }

    /// Tells how it ended.
    fn tell(&self, work: &mut Work<'_>) {
        let off = self.off(work);
        let left = libm::hypot(off[0], off[1]);
        if left > TOLD {
            work.tell(self.end, self.span, Told::OutOfReach(left));
        }
        if self.reach.keep_angle {
            let own = work.placed(self.end).world;
            let off = wrapped(angle_of([own.a, own.b]) - self.kept(work));
            if off.abs() > TOLD_ANGLE {
                work.tell(self.end, self.span, Told::OffAngle(off.abs()));
            }
        }
        for part in &self.chain {
            let turn = work.pose.parts[part.at()].setting.turn;
            let limits = work.view.parts[part.at()].limits.unwrap_or(FREE);
            if (limits[0] - turn).max(turn - limits[1]) > TOLD_ANGLE {
                work.tell(*part, self.span, Told::Beyond(turn));
            }
        }
    }
}

impl Work<'_> {
    fn tell(&mut self, part: PartId, span: Option<Span>, told: Told) {
        self.notes.push(Note { part, span, told });
    }
}
