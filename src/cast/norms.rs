//! How far human joints move: published norms, as defaults for limits and sweeps. For drawing; they
//! say nothing about any one person, and are no medical guidance.

use Checked::{Memory, Read};
use Source::{Aaos, Cdc};

/// Who published a norm.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Source {
    /// American Academy of Orthopaedic Surgeons, Joint Motion: Method of Measuring and Recording,
    /// 1965, as tabulated by Norkin and White, Measurement of Joint Motion, Table A.1.
    Aaos,
    /// Soucie et al., Haemophilia 17(3):500-507, 2011 (passive motion, 674 people), published by the
    /// Centers for Disease Control and Prevention.
    Cdc,
}

impl Source {
    /// What files call it.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Aaos => "AAOS",
            Self::Cdc => "CDC",
        }
    }

    /// Where the numbers come from.
    #[must_use]
    pub const fn citation(self) -> &'static str {
        match self {
            Self::Aaos => {
                "American Academy of Orthopaedic Surgeons, Joint Motion: Method of Measuring and \
                 Recording, 1965, as tabulated by Norkin & White, Measurement of Joint Motion, \
                 Table A.1"
            }
            Self::Cdc => {
                "Soucie et al., Haemophilia 17(3):500-507, 2011, passive motion, 674 people (CDC)"
            }
        }
    }
}

/// How well a number is known to stand in its source.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Checked {
    /// It was read there.
    Read,
    /// It was written down from memory and has not been checked.
    Memory,
}

/// How far one joint moves one way.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Norm {
    /// Who says so.
    pub source: Source,
    /// `elbow`.
    pub joint: &'static str,
    /// `flexion`.
    pub motion: &'static str,
    /// Whom it was measured on: `adult`, or sex and age as `F 20-44`.
    pub group: &'static str,
    /// From the anatomical zero, degrees.
    pub degrees: f64,
    /// Whether the number was read in the source.
    pub checked: Checked,
}

/// All norms.
#[must_use]
pub const fn norms() -> &'static [Norm] {
    &NORMS
}

/// Motions that undo each other.
const OPPOSITE: [[&str; 2]; 7] = [
    ["flexion", "extension"],
    ["abduction", "adduction"],
    ["medial rotation", "lateral rotation"],
    ["pronation", "supination"],
    ["radial deviation", "ulnar deviation"],
    ["dorsiflexion", "plantarflexion"],
    // To either side alike.
    ["lateral flexion", "lateral flexion"],
];

/// The motion that undoes another; one that goes both ways alike undoes itself.
#[must_use]
pub fn opposite(motion: &str) -> &str {
    for [one, other] in OPPOSITE {
        if motion == one {
            return other;
        }
        if motion == other {
            return one;
        }
    }
    motion
}

/// The norm of a joint's motion.
#[must_use]
pub fn norm(source: Source, group: &str, joint: &str, motion: &str) -> Option<&'static Norm> {
    NORMS
        .iter()
        .find(|n| n.source == source && n.group == group && n.joint == joint && n.motion == motion)
}

const fn row(
    source: Source,
    joint: &'static str,
    motion: &'static str,
    group: &'static str,
    degrees: f64,
    checked: Checked,
) -> Norm {
    Norm {
        source,
        joint,
        motion,
        group,
        degrees,
        checked,
    }
}

#[rustfmt::skip]
const NORMS: [Norm; 46] = [
    row(Aaos, "shoulder", "flexion", "adult", 180.0, Read),
    row(Aaos, "shoulder", "extension", "adult", 60.0, Read),
    row(Aaos, "shoulder", "abduction", "adult", 180.0, Read),
    row(Aaos, "shoulder", "medial rotation", "adult", 70.0, Read),
    row(Aaos, "shoulder", "lateral rotation", "adult", 90.0, Read),
    row(Aaos, "elbow", "flexion", "adult", 150.0, Read),
    row(Aaos, "forearm", "pronation", "adult", 80.0, Read),
    row(Aaos, "forearm", "supination", "adult", 80.0, Read),
    row(Aaos, "wrist", "flexion", "adult", 80.0, Read),
    row(Aaos, "wrist", "extension", "adult", 70.0, Read),
    row(Aaos, "wrist", "radial deviation", "adult", 20.0, Read),
    row(Aaos, "wrist", "ulnar deviation", "adult", 30.0, Read),
    row(Aaos, "hip", "flexion", "adult", 120.0, Memory),
    row(Aaos, "hip", "extension", "adult", 30.0, Memory),
    row(Aaos, "hip", "abduction", "adult", 45.0, Memory),
    row(Aaos, "hip", "adduction", "adult", 30.0, Memory),
    row(Aaos, "knee", "flexion", "adult", 135.0, Memory),
    row(Aaos, "ankle", "dorsiflexion", "adult", 20.0, Memory),
    row(Aaos, "ankle", "plantarflexion", "adult", 50.0, Memory),
    row(Aaos, "neck", "flexion", "adult", 45.0, Memory),
    row(Aaos, "neck", "extension", "adult", 45.0, Memory),
    row(Aaos, "neck", "lateral flexion", "adult", 45.0, Memory),
    row(Aaos, "neck", "rotation", "adult", 60.0, Memory),
    row(Cdc, "hip", "extension", "F 2-8", 26.2, Read),
    row(Cdc, "hip", "extension", "M 2-8", 28.3, Read),
    row(Cdc, "hip", "flexion", "F 2-8", 140.8, Read),
    row(Cdc, "hip", "flexion", "M 2-8", 131.1, Read),
    row(Cdc, "knee", "flexion", "F 2-8", 152.6, Read),
    row(Cdc, "knee", "flexion", "M 2-8", 147.8, Read),
    row(Cdc, "knee", "extension", "F 2-8", 5.4, Read),
    row(Cdc, "knee", "extension", "M 2-8", 1.6, Read),
    row(Cdc, "ankle", "dorsiflexion", "F 2-8", 24.8, Read),
    row(Cdc, "hip", "extension", "F 20-44", 18.1, Memory),
    row(Cdc, "hip", "extension", "M 20-44", 17.4, Memory),
    row(Cdc, "hip", "flexion", "F 20-44", 133.8, Memory),
    row(Cdc, "hip", "flexion", "M 20-44", 130.4, Memory),
    row(Cdc, "knee", "flexion", "F 20-44", 141.9, Memory),
    row(Cdc, "knee", "flexion", "M 20-44", 137.7, Memory),
    row(Cdc, "ankle", "dorsiflexion", "F 20-44", 13.8, Memory),
    row(Cdc, "ankle", "dorsiflexion", "M 20-44", 12.7, Memory),
    row(Cdc, "ankle", "plantarflexion", "F 20-44", 62.1, Memory),
    row(Cdc, "ankle", "plantarflexion", "M 20-44", 54.6, Memory),
    row(Cdc, "shoulder", "flexion", "F 20-44", 172.0, Memory),
    row(Cdc, "shoulder", "flexion", "M 20-44", 168.8, Memory),
    row(Cdc, "elbow", "flexion", "F 20-44", 150.0, Memory),
    row(Cdc, "elbow", "flexion", "M 20-44", 144.6, Memory),
];

#[cfg(test)]
mod tests {
    use super::*;

    // The table in tests/reference, whose header tells where each value is from.
    #[test]
    fn the_norms_are_those_of_the_reference_table() {
        let table = include_str!("../../tests/reference/rom.csv");
        let lines: Vec<Vec<&str>> = table
            .lines()
            .filter(|line| !line.starts_with('#'))
            .skip(1)
            .map(|line| line.split(',').collect())
            .collect();
        assert_eq!(lines.len(), NORMS.len());
        for (norm, line) in NORMS.iter().zip(&lines) {
            let checked = match norm.checked {
                Read => "read",
                Memory => "memory",
            };
            let words = [norm.source.name(), norm.joint, norm.motion, norm.group];
            assert_eq!(&line[..4], words);
            assert_eq!(line[4].parse::<f64>().unwrap(), norm.degrees, "{line:?}");
            assert_eq!(line[7], checked);
        }
    }

    #[test]
    fn every_motion_has_an_opposite_that_leads_back() {
        for norm in norms() {
            assert_eq!(opposite(opposite(norm.motion)), norm.motion);
        }
        assert_eq!(opposite("flexion"), "extension");
        assert_eq!(opposite("rotation"), "rotation");
    }
}
