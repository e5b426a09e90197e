//! How records say where limbs go and eyes look.

use serde_json::{Value, json};

use crate::cast::{ChainOf, Goal, Look, LookTo, Member, NameId, Reach, Target};

fn target_record(target: &Target, member: &Member) -> Value {
    let name = |part: NameId| member.names.get(part.at()).map_or("", String::as_str);
    match target {
        Target::Part(part) => json!(name(*part)),
        Target::PointOf(part, point) => json!(format!("{}.{point}", name(*part))),
        Target::Element(element) => json!(element.text),
        Target::At(at) => json!(at),
    }
}

pub(super) fn look_record(look: &Look, member: &Member) -> Value {
    let name = |part: NameId| member.names.get(part.at()).map_or("", String::as_str);
    let (to, offset) = match &look.to {
        LookTo::Target(target, offset) => (target_record(target, member), *offset),
        LookTo::Turned([turn, up]) => (json!(format!("turn {turn}, up {up}")), [0.0, 0.0]),
    };
    let [x, y] = offset;
    let moved = (offset != [0.0, 0.0]).then(|| format!("offset [{x}, {y}]"));
    let share = look.share.iter();
    let share = share.map(|(part, share)| format!("{} {share}", name(*part)));
    with(to, &moved.into_iter().chain(share).collect::<Vec<_>>())
}

/// A reach as approved sets keep it.
pub(super) fn reach_record(reach: Option<&Reach>, member: &Member) -> Value {
    let Some(reach) = reach else {
        return json!(false);
    };
    let name = |part: NameId| member.names.get(part.at()).map_or("", String::as_str);
    let planted = match reach.to {
        Goal::Rest => Some("rest"),
        Goal::Ground => Some("ground"),
        Goal::To(_) => None,
    };
    let to = match &reach.to {
        Goal::Rest | Goal::Ground => json!(planted),
        Goal::To(target) => target_record(target, member),
    };
    let mut more = Vec::new();
    let [x, y] = reach.offset;
    if [x, y] != [0.0, 0.0] {
        more.push(format!("offset [{x}, {y}]"));
    }
    more.extend(reach.by.as_ref().map(|by| format!("by {by}")));
    match &reach.chain {
        ChainOf::Limbs => {}
        ChainOf::Count(count) => more.push(format!("chain {count}")),
        ChainOf::Parts(parts) => {
            let parts: Vec<&str> = parts.iter().map(|part| name(*part)).collect();
            more.push(format!("chain {}", parts.join(" ")));
        }
    }
    more.extend(reach.fold.map(|fold| format!("fold {}", fold.word())));
    if reach.keep_angle && planted.is_none() {
        more.push("keep_angle".to_owned());
    }
    if reach.stretch > 1.0 {
        more.push(format!("stretch {}", reach.stretch));
    }
    with(to, &more)
}

/// A value with what else is said of it, in words: tables would be read back as an entry with its origin.
fn with(to: Value, more: &[String]) -> Value {
    if more.is_empty() {
        return to;
    }
    let to = to.as_str().map_or_else(|| to.to_string(), str::to_owned);
    json!(format!("{to} ({})", more.join(", ")))
}
