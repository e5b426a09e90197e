//! The rig and the pose as they were when a picture was approved, names and all.

use std::collections::BTreeMap;

use indexmap::IndexMap;
use serde::{Deserialize, Serialize};
use serde_json::Value;

/// One view of a member, resolved.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct RigRecord {
    /// The view's name, where it has one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub view: Option<String>,
    /// Width and height, user units.
    pub canvas: [f64; 2],
    /// Degrees that it shows the body turned, where that is said.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub facing: Option<f64>,
    /// The least share of its length that an aim leaves of a limb, where the view faces somewhere.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub shortest: Option<f64>,
    /// Colours by swatch, by palette; the first is the default.
    pub palettes: IndexMap<String, IndexMap<String, String>>,
    /// Colours by swatch as the art is drawn, where that is not the first palette.
    #[serde(default, skip_serializing_if = "IndexMap::is_empty")]
    pub drawn: IndexMap<String, String>,
    /// In declaration order: owner maps count by it.
    pub parts: IndexMap<String, PartOfRig>,
    /// In declaration order.
    pub seams: IndexMap<String, SeamRecord>,
    /// In declaration order.
    pub masks: IndexMap<String, MaskRecord>,
    /// In declaration order.
    pub garments: IndexMap<String, GarmentRecord>,
    /// Every drawing that the view uses, by `file#id`.
    pub drawings: BTreeMap<String, DrawingRecord>,
}

impl RigRecord {
    /// A part, what carries it, what carries that, and so on: a record from a file may go round in circles.
    pub fn upwards<'a>(&'a self, part: &'a str) -> impl Iterator<Item = &'a str> {
        let parent = |part: &&str| self.parts.get(*part)?.parent.as_deref();
        std::iter::successors(Some(part), parent).take(self.parts.len() + 1)
    }
}

/// A part.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct PartOfRig {
    /// Its own drawing, `file#id`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub art: Option<String>,
    /// Others, by name.
    #[serde(default, skip_serializing_if = "IndexMap::is_empty")]
    pub replacements: IndexMap<String, Option<String>>,
    /// What carries it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub parent: Option<String>,
    /// Canvas units.
    pub pivot: [f64; 2],
    /// Relative to the parent's.
    pub depth: f64,
    /// Degrees.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub limits: Option<[f64; 2]>,
    /// Where its art goes, if not where it is drawn.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub place: Option<SettingRecord>,
    /// How it lies in space, in words, where the view faces somewhere and it is on a side or drawn other than hanging.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub space: Option<String>,
    /// Where its line ends, if the rig says it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub tip: Option<[f64; 2]>,
}

/// A transform as people write it.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct SettingRecord {
    /// Degrees.
    pub turn: f64,
    /// Units.
    #[serde(rename = "move")]
    pub shift: [f64; 2],
    /// Factors.
    pub scale: [f64; 2],
    /// Degrees.
    pub skew: [f64; 2],
}

/// A seam.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct SeamRecord {
    /// The two.
    pub parts: [String; 2],
    /// `auto`, a radius, or `file#id`.
    pub zone: String,
    /// `both`, `parent` or `child`.
    pub opens: String,
    /// `file#id`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub patch: Option<String>,
}

/// A mask.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct MaskRecord {
    /// What is masked.
    pub part: String,
    /// `inside` or `outside`.
    pub keep: String,
    /// By what.
    pub of: Vec<String>,
}

/// A garment.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct GarmentRecord {
    /// What is worn.
    pub part: String,
    /// By whom.
    pub on: Vec<String>,
    /// A swatch or `#rrggbb`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub trim: Option<String>,
}

/// A drawing: one text for each shape, back to front.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct DrawingRecord {
    /// The outline of each shape: `ink` or `paint`, its digest, its id where it has one.
    pub outlines: Vec<String>,
    /// The colours of each shape: `#rrggbb`, `swatch name`, several for a gradient.
    pub colours: Vec<String>,
}

/// A pose, inheritance resolved: `table.part` to the value. Keys are `turn.arm`, `move.hips`,
/// `scale.head`, `skew.head`, `stretch.arm`, `depth.hand`, `behind.hand`, `in_front.hand`, `replace.mouth`,
/// `palette`, `mirror`.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(transparent)]
pub struct PoseRecord {
    /// What it says.
    pub says: BTreeMap<String, PoseEntryRecord>,
}

/// One value of a pose. In a document it stands as it is; one that is inherited as an object with
/// the pose that says it: what a pose says is never an object itself, so that no two are alike.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(try_from = "Value", into = "Value")]
pub struct PoseEntryRecord {
    /// The value.
    pub value: Value,
    /// The pose that says it, where that is another, or the expression: `expression angry`.
    pub from: Option<String>,
}

/// An inherited value in a document.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Inherited {
    value: Value,
    from: String,
}

impl TryFrom<Value> for PoseEntryRecord {
    type Error = serde_json::Error;

    fn try_from(written: Value) -> Result<Self, Self::Error> {
        if !written.is_object() {
            return Ok(Self {
                value: written,
                from: None,
            });
        }
        let Inherited { value, from } = serde_json::from_value(written)?;
        Ok(Self {
            value,
            from: Some(from),
        })
    }
}

impl From<PoseEntryRecord> for Value {
    fn from(said: PoseEntryRecord) -> Self {
        match said.from {
            None => said.value,
            Some(from) => serde_json::json!({ "value": said.value, "from": from }),
        }
    }
}
