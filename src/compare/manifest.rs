//! The approved set's manifest.

use std::collections::BTreeMap;
use std::fmt::Write as _;

use serde::{Deserialize, Serialize};

use super::format::FORMAT;
use super::{Digest, PoseRecord, RigRecord};

/// `manifest.json`: what is approved, and what it was made from.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Manifest {
    /// [`FORMAT`].
    pub format: u32,
    /// The rigs that the approved pictures were made from, by the digest of the record. As long as
    /// poses are approved one by one there may be several for a view.
    pub rigs: BTreeMap<Digest, RigRecord>,
    /// By `view/list/pose`, or `list/pose` where the view has no name.
    pub poses: BTreeMap<String, ApprovedPose>,
    /// Pictures that were looked at and refused, by the same names.
    #[serde(default)]
    pub rejected: BTreeMap<String, Rejection>,
}

/// One approved picture.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct ApprovedPose {
    /// The program that drew it: [`ENGINE`](super::ENGINE) as it was then.
    pub engine: String,
    /// Pixels.
    pub width: u32,
    /// Pixels.
    pub height: u32,
    /// Pixels to the canvas unit.
    pub scale: f64,
    /// Where the canvas's corner is in a picture that grew with its figure, pixels.
    #[serde(default, skip_serializing_if = "is_corner")]
    pub origin: [u32; 2],
    /// Of the decoded pixels, and of where they lie.
    pub pixels: Digest,
    /// Names `pictures/<digest>.png`: of that file's bytes.
    pub picture: Digest,
    /// Names `owners/<digest>.png`: of that file's bytes.
    pub owners: Digest,
    /// The rig, in [`Manifest::rigs`].
    pub rig: Digest,
    /// The digest of each file that it was made from, by its path from the member's folder.
    pub inputs: BTreeMap<String, Digest>,
    /// The pose, written out in full.
    pub pose: PoseRecord,
    /// Back to front, places in [`RigRecord::parts`].
    pub order: Vec<u32>,
    /// Parts that show, or that the pose sets; the others only go where what carries them goes.
    pub parts: BTreeMap<String, PartRecord>,
}

/// One part in one picture.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct PartRecord {
    /// How many pixels it owns.
    #[serde(default, skip_serializing_if = "is_none")]
    pub pixels: u64,
    /// Left, top, right, bottom of those, pixels; one past the last on the right and below.
    #[serde(default, rename = "box", skip_serializing_if = "Option::is_none")]
    pub area: Option<[u32; 4]>,
    /// Where it is carried: `[a, b, c, d, e, f]` as in SVG, from the frame of what carries it, in
    /// canvas units. Left out where the pose leaves it as drawn.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub set: Option<[f64; 6]>,
}

#[expect(clippy::trivially_copy_pass_by_ref, reason = "as serde calls it")]
const fn is_none(count: &u64) -> bool {
    *count == 0
}

const fn is_corner(origin: &[u32; 2]) -> bool {
    matches!(origin, [0, 0])
}

/// A picture that was refused.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Rejection {
    /// Of its pixels: another picture is another question.
    pub pixels: Digest,
    /// Why.
    #[serde(default)]
    pub note: String,
}

/// Why a manifest is not read.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum Unreadable {
    /// It says another format.
    #[error("it has format {0}, which this version of layfig does not know")]
    Format(u64),
    /// It is not what it should be.
    #[error("it is damaged: {0}")]
    Damaged(String),
}

impl Default for Manifest {
    fn default() -> Self {
        Self {
            format: FORMAT,
            rigs: BTreeMap::new(),
            poses: BTreeMap::new(),
            rejected: BTreeMap::new(),
        }
    }
}

impl Manifest {
    /// Reads a manifest.
    ///
    /// # Errors
    ///
    /// When it is of another format, or is no manifest.
    pub fn read(text: &str) -> Result<Self, Unreadable> {
        let damaged = |e: serde_json::Error| Unreadable::Damaged(e.to_string());
        let value: serde_json::Value = serde_json::from_str(text).map_err(damaged)?;
        match value.get("format").and_then(serde_json::Value::as_u64) {
            Some(format) if format == u64::from(FORMAT) => {}
            Some(other) => return Err(Unreadable::Format(other)),
            None => return Err(Unreadable::Damaged("it has no \"format\"".into())),
        }
        // From the text, so that the place of a mistake is told.
        let read: Self = serde_json::from_str(text).map_err(damaged)?;
        let sound = read
            .poses
            .values()
            .all(|p| p.picture.is_sound() && p.owners.is_sound() && read.rigs.contains_key(&p.rig));
        if !sound {
            let what = "a pose refers to what is not there";
            return Err(Unreadable::Damaged(what.into()));
        }
        Ok(read)
    }

    /// As text: one line for each rig, pose and refusal, so that two of them compare line by line.
    ///
    /// # Errors
    ///
    /// When it cannot be written as JSON.
    pub fn text(&self) -> serde_json::Result<String> {
        fn table<K: std::fmt::Display, V: Serialize>(
            out: &mut String,
            name: &str,
            entries: &BTreeMap<K, V>,
        ) -> serde_json::Result<()> {
            let _ = write!(out, ",\n\"{name}\": {{");
            for (at, (key, value)) in entries.iter().enumerate() {
                let key = serde_json::Value::String(key.to_string());
                let value = serde_json::to_string(value)?;
                let comma = if at == 0 { "" } else { "," };
                let _ = write!(out, "{comma}\n {key}: {value}");
            }
            out.push_str("\n}");
            Ok(())
        }
        let mut out = format!("{{\n\"format\": {}", self.format);
        table(&mut out, "rigs", &self.rigs)?;
        table(&mut out, "poses", &self.poses)?;
        table(&mut out, "rejected", &self.rejected)?;
        out.push_str("\n}\n");
        Ok(out)
    }

    /// Forgets rigs that no pose was made from.
    pub fn tidy(&mut self) {
        let used: std::collections::BTreeSet<Digest> =
            self.poses.values().map(|p| p.rig.clone()).collect();
        self.rigs.retain(|rig, _| used.contains(rig));
    }
}
