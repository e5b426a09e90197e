//! Names of two sides, near and far or left and right, that do not pair.

use super::finding::{Check, LintFinding};
use super::subject::Subject;
use crate::cast::PartId;
use crate::diag::nearest;
use crate::name::{SIDES, other_side};

/// The name with its side exchanged; `None` where it names no side.
fn other(name: &str) -> Option<String> {
    // Not `l` and `r`: a letter may mean anything.
    other_side(name, &SIDES[..2])
}

pub(super) fn check(subject: &Subject<'_>, found: &mut Vec<LintFinding>) {
    let member = subject.member;
    let mut told: Vec<&str> = Vec::new();
    for (view, declared) in subject.views() {
        let id = |name: &str| {
            let at = member.names.iter().position(|n| n == name)?;
            declared.by_name[at]
        };
        for (at, part) in declared.parts.iter().enumerate() {
            let part_id = PartId::of(at);
            let name = subject.name(view, part_id);
            let Some(twin) = other(name) else { continue };
            if !member.names.contains(&twin) {
                if told.contains(&name) {
                    continue;
                }
                told.push(name);
                let like = member.names.iter().filter(|n| other(n).is_none());
                let hint = nearest(&twin, like.map(String::as_str)).map_or_else(
                    || format!("add \"{twin}\", or allow it in the rig"),
                    |near| format!("is \"{near}\" meant to be \"{twin}\"?"),
                );
                let message = format!("\"{name}\" has no \"{twin}\" to pair with");
                let check = Check::Unpaired;
                found.push(LintFinding::warning(check, name, part.span, message, &hint));
                continue;
            }
            // What a pair hangs on must pair too.
            let (Some(twin_id), Some(parent)) = (id(&twin), part.parent) else {
                continue;
            };
            let parent = subject.name(view, parent);
            let want = other(parent).unwrap_or_else(|| parent.to_owned());
            let Some(twin_parent) = declared.parts[twin_id.at()].parent else {
                continue;
            };
            let twin_parent = subject.name(view, twin_parent);
            if twin_parent != want && twin_parent == parent && at > twin_id.at() {
                let message = format!("\"{name}\" and \"{twin}\" both hang on \"{parent}\"");
                let hint = format!("should one of them hang on \"{want}\"?");
                let check = Check::Unpaired;
                found.push(LintFinding::error(check, name, part.span, message, &hint));
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::other;

    #[test]
    fn sides_are_whole_words() {
        assert_eq!(other("hand_near").as_deref(), Some("hand_far"));
        assert_eq!(other("left_eye_lid").as_deref(), Some("right_eye_lid"));
        assert_eq!(other("farmer"), None);
        assert_eq!(other("nearby_hat"), None);
    }
}
