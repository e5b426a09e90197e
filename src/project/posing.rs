//! A pose made in code.

use super::{AskError, Named, ProjectError, ProjectMember, unknown};
use crate::cast::{
    ANGLES, FACTORS, LENGTHS, NameId, Pose, PoseEntry, RESERVED, SKEWS, STRETCHES, Side, TURNED,
};
use crate::geom::Point;
use crate::solve::Figure;

/// A pose in the making. Each setting takes the place of an earlier one for the same part, as a pose of a
/// list does with those of the pose that it is `from`.
#[derive(Clone, Debug)]
pub struct Posing {
    of: ProjectMember,
    pose: Pose,
}

impl Posing {
    pub(super) fn new(of: ProjectMember, pose: Pose) -> Self {
        Self { of, pose }
    }

    /// Turns a part by so many degrees, positive clockwise.
    ///
    /// # Errors
    ///
    /// When there is no such part, or the number is out of bounds. So it is with all settings.
    pub fn turn(mut self, part: &str, degrees: f64) -> Result<Self, AskError> {
        let part = self.checked(part, "turn", [degrees], ANGLES)?;
        put(&mut self.pose.turn, part, degrees);
        Ok(self)
    }

    /// Moves a part, in units of the frame of what carries it.
    ///
    /// # Errors
    ///
    /// As for [`turn`](Self::turn).
    pub fn move_by(mut self, part: &str, by: Point) -> Result<Self, AskError> {
        let part = self.checked(part, "move", by, LENGTHS)?;
        put(&mut self.pose.shift, part, by);
        Ok(self)
    }

    /// Scales a part by these factors across and down.
    ///
    /// # Errors
    ///
    /// As for [`turn`](Self::turn).
    pub fn scale(mut self, part: &str, by: Point) -> Result<Self, AskError> {
        let part = self.checked(part, "scale", by, FACTORS)?;
        put(&mut self.pose.scale, part, by);
        Ok(self)
    }

    /// Skews a part, degrees.
    ///
    /// # Errors
    ///
    /// As for [`turn`](Self::turn).
    pub fn skew(mut self, part: &str, by: Point) -> Result<Self, AskError> {
        let part = self.checked(part, "skew", by, SKEWS)?;
        put(&mut self.pose.skew, part, by);
        Ok(self)
    }

    /// Makes a part longer along its line, from its pivot to its tip, by a factor.
    ///
    /// # Errors
    ///
    /// As for [`turn`](Self::turn).
    pub fn stretch(mut self, part: &str, by: f64) -> Result<Self, AskError> {
        let part = self.checked(part, "stretch", [by], STRETCHES)?;
        put(&mut self.pose.stretch, part, by);
        Ok(self)
    }

    /// Aims a limb in space: its lift from hanging (0) to straight up (180) and its bearing from forward (0) over
    /// outward to backward (180), degrees. Views that do not say what they face take nothing of it.
    ///
    /// # Errors
    ///
    /// As for [`turn`](Self::turn).
    pub fn aim(mut self, part: &str, to: Point) -> Result<Self, AskError> {
        let part = self.checked(part, "aim", to, TURNED)?;
        put(&mut self.pose.aim, part, Some(to));
        Ok(self)
    }

    /// Leans the body: forward, to the left, turned to the left, degrees. What the part carries is aimed from there.
    ///
    /// # Errors
    ///
    /// As for [`turn`](Self::turn).
    pub fn lean(mut self, part: &str, by: [f64; 3]) -> Result<Self, AskError> {
        let part = self.checked(part, "lean", by, TURNED)?;
        put(&mut self.pose.lean, part, Some(by));
        Ok(self)
    }

    /// Adds to the depth of a part.
    ///
    /// # Errors
    ///
    /// As for [`turn`](Self::turn).
    pub fn depth(mut self, part: &str, by: f64) -> Result<Self, AskError> {
        let part = self.checked(part, "depth", [by], FACTORS)?;
        put(&mut self.pose.depth, part, by);
        Ok(self)
    }

    /// Puts a part, with all that it carries, just behind another.
    ///
    /// # Errors
    ///
    /// When there is no such part.
    pub fn behind(self, part: &str, other: &str) -> Result<Self, AskError> {
        self.side(part, Side::Behind, other)
    }

    /// Puts a part, with all that it carries, just in front of another.
    ///
    /// # Errors
    ///
    /// When there is no such part.
    pub fn in_front(self, part: &str, other: &str) -> Result<Self, AskError> {
        self.side(part, Side::InFront, other)
    }

    fn side(mut self, part: &str, side: Side, other: &str) -> Result<Self, AskError> {
        let (part, other) = (self.part(part)?, self.part(other)?);
        // What the pose that this started from says of the part is over, whichever side it was.
        let own = |said: &PoseEntry<(Side, NameId)>| said.span.is_none() && said.value.0 != side;
        self.pose
            .sides
            .retain(|said| said.part != part || own(said));
        self.pose.sides.push(PoseEntry {
            part,
            value: (side, other),
            span: None,
        });
        Ok(self)
    }

    /// Shows another drawing of a part; `none` hides it, `art` is its own.
    ///
    /// # Errors
    ///
    /// When there is no such part, or it has no such drawing in any view.
    pub fn replace(mut self, part: &str, drawing: &str) -> Result<Self, AskError> {
        let id = self.part(part)?;
        let parts = self.of.rig().views.iter().flat_map(|view| &view.parts);
        let own = parts.filter(|p| p.name == id);
        let own = own.flat_map(|p| p.replacements.keys().map(String::as_str));
        let known: Vec<&str> = own.chain(RESERVED).collect();
        if !known.contains(&drawing) {
            return Err(unknown(Named::Replacement, drawing, known));
        }
        put(&mut self.pose.replace, id, drawing.to_owned());
        Ok(self)
    }

    /// Puts an expression of the rig over the pose so far: this share of its numbers, 0 to 1, and its drawings and
    /// depths from one half on.
    ///
    /// # Errors
    ///
    /// When there is no such expression, or the share is out of bounds.
    pub fn expression(mut self, name: &str, share: f64) -> Result<Self, AskError> {
        let all = &self.of.rig().expressions;
        let Some((at, _, expression)) = all.get_full(name) else {
            let known = all.keys().map(String::as_str);
            return Err(unknown(Named::Expression, name, known));
        };
        if !(0.0..=1.0).contains(&share) {
            return Err(AskError::Number {
                setting: "expression",
                part: name.to_owned(),
                value: share,
                least: 0.0,
                most: 1.0,
            });
        }
        self.pose = self.pose.wearing(expression, share);
        self.pose.expressions.push((at, share));
        Ok(self)
    }

    /// Draws in a palette.
    ///
    /// # Errors
    ///
    /// When there is no such palette.
    pub fn palette(mut self, name: &str) -> Result<Self, AskError> {
        let palettes = &self.of.rig().palettes;
        let at = palettes.iter().position(|palette| palette.name == name);
        let known = palettes.iter().map(|palette| palette.name.as_str());
        self.pose.palette = at.ok_or_else(|| unknown(Named::Palette, name, known))?;
        Ok(self)
    }

    /// Changes left and right about the middle of the canvas.
    #[must_use]
    pub fn mirror(mut self, mirror: bool) -> Self {
        self.pose.mirror = mirror;
        self
    }

    /// The pose so far.
    #[must_use]
    pub fn pose(&self) -> &Pose {
        &self.pose
    }

    /// The figure in a view.
    ///
    /// # Errors
    ///
    /// When there is no such view, or the pose contradicts itself, throws a part out of reach or cannot be drawn
    /// in its palette.
    pub fn view(&self, view: &str) -> Result<Figure, AskError> {
        let solved = self.of.puppet(view)?.figure(&self.pose);
        Ok(solved.map_err(|problem| ProjectError::of(problem, self.of.sources()))?)
    }

    /// The figure in the first view.
    ///
    /// # Errors
    ///
    /// As for [`view`](Self::view).
    pub fn figure(&self) -> Result<Figure, AskError> {
        let first = self.of.views().next().unwrap_or_default();
        self.view(first)
    }

    fn part(&self, name: &str) -> Result<NameId, AskError> {
        let names = &self.of.rig().names;
        let at = names.iter().position(|known| known == name);
        let id = at.and_then(|at| u32::try_from(at).ok()).map(NameId);
        id.ok_or_else(|| unknown(Named::Part, name, names.iter().map(String::as_str)))
    }

    fn checked<const N: usize>(
        &self,
        part: &str,
        setting: &'static str,
        values: [f64; N],
        [least, most]: [f64; 2],
    ) -> Result<NameId, AskError> {
        let id = self.part(part)?;
        let bad = |v: &f64| !(least..=most).contains(v) || (setting == "scale" && *v == 0.0);
        match values.into_iter().find(bad) {
            None => Ok(id),
            Some(value) => Err(AskError::Number {
                setting,
                part: part.to_owned(),
                value,
                least,
                most,
            }),
        }
    }
}

fn put<T>(table: &mut Vec<PoseEntry<T>>, part: NameId, value: T) {
    table.retain(|said| said.part != part);
    table.push(PoseEntry {
        part,
        value,
        span: None,
    });
}
