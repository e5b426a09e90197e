//! What a person decides.

use serde::{Deserialize, Serialize};

use super::Digest;
use super::format::FORMAT;
use crate::diag::{Problem, Problems, Sources, Span};

/// A decisions file, for one member or many:
///
/// ```json
/// { "format": 1,
///   "decisions": [
///     { "pose": "deckhand/front/deckhand/haul", "decision": "approve", "note": "",
///       "approved": "0f3c...", "picture": "77ab..." } ] }
/// ```
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Decisions {
    /// [`FORMAT`].
    pub format: u32,
    /// At most one for each pose.
    pub decisions: Vec<Decision>,
}

/// What is decided about one pose.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Decision {
    /// As printed and as in [`PoseComparison::pose`](super::PoseComparison::pose).
    pub pose: String,
    /// Which way.
    pub decision: Verdict,
    /// Why; may be empty.
    #[serde(default)]
    pub note: String,
    /// [`PoseComparison::approved`](super::PoseComparison::approved) of the comparison that was
    /// looked at.
    pub approved: Option<Digest>,
    /// [`PoseComparison::picture`](super::PoseComparison::picture) of the same; `null` for a
    /// removed pose.
    pub picture: Option<Digest>,
}

/// Which way a decision goes.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Verdict {
    /// The new picture is the approved one from now on.
    Approve,
    /// The approved picture stays; the note is kept with the refused picture's digest.
    Reject,
}

impl Decisions {
    /// Reads a decisions file; what is wrong with it is reported, with its place.
    pub fn read(
        path: &std::path::Path,
        text: &str,
        sources: &mut Sources,
        problems: &mut Problems,
    ) -> Option<Self> {
        let source = sources.add(path, text);
        match serde_json::from_str::<Self>(text) {
            Err(wrong) => {
                let line = text.split_inclusive('\n').take(wrong.line().max(1) - 1);
                let start = line.map(str::len).sum::<usize>();
                let column = wrong.column().max(1) - 1;
                let mut at = (start + column).min(text.len());
                while !text.is_char_boundary(at) {
                    at -= 1;
                }
                let words = wrong.to_string();
                let words = words.split(" at line ").next().unwrap_or_default();
                let message = format!("this is no decisions file: {words}");
                let hint = "the review page writes such files; write {\"format\": 1, \"decisions\": []} for an empty one";
                problems.push(Problem::error(Span::of(source, at..at), message).hint(hint));
                None
            }
            Ok(read) if read.format != FORMAT => {
                let at = text.find("\"format\"").unwrap_or(0);
                let message = format!(
                    "decisions of format {}, which this version of layfig does not know",
                    read.format
                );
                let hint = format!("the format that is read is {FORMAT}");
                problems.push(Problem::error(Span::of(source, at..at + 8), message).hint(hint));
                None
            }
            Ok(read) => {
                let mut twice = false;
                for (at, one) in read.decisions.iter().enumerate() {
                    if read.decisions[..at].iter().any(|o| o.pose == one.pose) {
                        let name = crate::diag::quoted(&one.pose);
                        let message = format!("two decisions about {name}");
                        problems.push(Problem::error(path, message).hint("keep one of them"));
                        twice = true;
                    }
                }
                (!twice).then_some(read)
            }
        }
    }
}
