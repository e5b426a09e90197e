//! What members, views, lists, sheets and poses are called. A name is taken apart by its steps, never by
//! the letters of a printed one: `dog` is no beginning of `dogfish`, and a view no list.

use std::fmt;

use serde::{Deserialize, Serialize};

/// A name, from the member down; what is further down is there only with what is above it, but for the
/// view, which members with one drawing have not.
#[derive(Clone, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub struct Name {
    /// What files and commands call the member; empty for the whole cast.
    pub member: String,
    /// One of its views.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub view: Option<String>,
    /// One of its pose lists, or the kind of sheet that stands for one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub list: Option<String>,
    /// A sheet that the list asks for.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub sheet: Option<String>,
    /// A pose, sweep or stress of the list.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub pose: Option<String>,
}

impl Name {
    /// Of a member, or of one of its views.
    #[must_use]
    pub fn new(member: impl Into<String>, view: Option<&str>) -> Self {
        Self {
            member: member.into(),
            view: view.map(str::to_owned),
            ..Self::default()
        }
    }

    /// One of its lists.
    #[must_use]
    pub fn list(&self, list: impl Into<String>) -> Self {
        Self {
            list: Some(list.into()),
            ..self.clone()
        }
    }

    /// One of its sheets.
    #[must_use]
    pub fn sheet(&self, sheet: impl Into<String>) -> Self {
        Self {
            sheet: Some(sheet.into()),
            ..self.clone()
        }
    }

    /// One of its poses or sweeps.
    #[must_use]
    pub fn pose(&self, pose: impl Into<String>) -> Self {
        Self {
            pose: Some(pose.into()),
            ..self.clone()
        }
    }

    /// Of a pose of this member, by its [`Self::key`].
    #[must_use]
    pub fn of_key(member: &str, key: &str) -> Self {
        // No name has a stroke in it.
        let steps: Vec<&str> = key.splitn(3, '/').collect();
        match steps[..] {
            [view, list, pose] => Self::new(member, Some(view)).list(list).pose(pose),
            [list, pose] => Self::new(member, None).list(list).pose(pose),
            _ => Self::new(member, None).pose(key),
        }
    }

    /// The same without the member: `view/list/pose`, or `list/pose` where the view has no name.
    #[must_use]
    pub fn key(&self) -> String {
        self.steps().skip(1).collect::<Vec<_>>().join("/")
    }

    /// True for this name and for everything that is part of what it names.
    #[must_use]
    pub fn holds(&self, other: &Self) -> bool {
        let part = |a: &Option<String>, b: &Option<String>| a.is_none() || a == b;
        // The steps of a sweep, the poses of a stress.
        let pose = match (&self.pose, &other.pose) {
            (Some(a), Some(b)) => b.split('@').next() == Some(a) || a == b,
            (a, _) => a.is_none(),
        };
        self.member == other.member
            && part(&self.view, &other.view)
            && part(&self.list, &other.list)
            && part(&self.sheet, &other.sheet)
            && pose
    }

    fn steps(&self) -> impl Iterator<Item = &str> {
        let below = [&self.view, &self.list, &self.sheet, &self.pose];
        let below = below.into_iter().filter_map(Option::as_deref);
        std::iter::once(self.member.as_str()).chain(below)
    }
}

impl fmt::Display for Name {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.steps().collect::<Vec<_>>().join("/"))
    }
}

/// How names of parts tell the two sides apart.
pub const SIDES: [[&str; 2]; 4] = [["near", "far"], ["left", "right"], ["l", "r"], ["L", "R"]];

/// A part's name with its side changed, the last word that names one of these: `eye_near`, `eye_far`.
#[must_use]
pub fn other_side(name: &str, sides: &[[&str; 2]]) -> Option<String> {
    let mut words: Vec<&str> = name.split('_').collect();
    words.iter_mut().rev().find_map(|word| {
        let mut pairs = sides.iter().flat_map(|&[a, b]| [[a, b], [b, a]]);
        pairs.find(|[a, _]| a == word).map(|[_, b]| *word = b)
    })?;
    Some(words.join("_"))
}

/// A side of the body as names tell it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Flanked {
    /// Nearer to the viewer, where one is.
    Near,
    /// The other.
    Far,
    /// The character's left.
    Left,
    /// The character's right.
    Right,
}

/// The side that a part's name tells: by its last word that names one, `ArmLeft`, `arm-l`, `arm.L`, `far_arm`.
#[must_use]
pub fn flank_of(name: &str) -> Option<Flanked> {
    let mut words = vec![String::new()];
    let mut was_lower = false;
    for c in name.chars() {
        if !c.is_alphanumeric() || c.is_uppercase() && was_lower {
            words.push(String::new());
        }
        was_lower = c.is_lowercase();
        if c.is_alphanumeric()
            && let Some(word) = words.last_mut()
        {
            word.extend(c.to_lowercase());
        }
    }
    words.iter().rev().find_map(|word| match word.as_str() {
        "near" => Some(Flanked::Near),
        "far" => Some(Flanked::Far),
        "left" | "l" => Some(Flanked::Left),
        "right" | "r" => Some(Flanked::Right),
        _ => None,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_holds_its_parts_and_no_neighbour() {
        let dog = Name::new("dog", None);
        let haul = Name::new("dog", Some("side")).list("acts").pose("haul");
        for part in [
            dog.clone(),
            dog.list("acts"),
            dog.list("acts").pose("haul"),
            haul.clone(),
        ] {
            assert!(part.holds(&haul), "{part}");
            assert!(!part.holds(&Name::new("dogfish", Some("side")).list("acts").pose("haul")));
        }
        let sweep = dog.list("acts").pose("elbow");
        assert!(sweep.holds(&dog.list("acts").pose("elbow@30")));
        assert!(!sweep.holds(&dog.list("acts").pose("elbows")));
        assert!(!haul.holds(&dog));
        // A view and a list of one name are two things.
        assert!(!dog.list("side").holds(&haul));
    }

    #[test]
    fn sides_are_told_however_they_are_spelled() {
        for (name, side) in [
            ("upper_arm_near", Some(Flanked::Near)),
            ("far_arm", Some(Flanked::Far)),
            ("ArmLeft", Some(Flanked::Left)),
            ("armR", Some(Flanked::Right)),
            ("arm-l", Some(Flanked::Left)),
            ("arm.R.upper", Some(Flanked::Right)),
            ("fin_left_right", Some(Flanked::Right)),
            ("nearly", None),
            ("leg2", None),
            ("collar", None),
        ] {
            assert_eq!(flank_of(name), side, "{name}");
        }
    }

    #[test]
    fn keys_lead_back_to_names() {
        for name in [
            Name::new("dog", Some("side")).list("acts").pose("haul@1,2"),
            Name::new("dog", None).list("acts").pose("haul"),
        ] {
            assert_eq!(Name::of_key("dog", &name.key()), name);
            assert_eq!(name.to_string(), format!("dog/{}", name.key()));
        }
    }
}
