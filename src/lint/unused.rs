//! What is drawn or declared and not used.

use std::collections::BTreeSet;
use std::path::Path;

use super::finding::{Check, LintFinding};
use super::subject::Subject;
use crate::cast::{ColourName, NameId, Pose, swatch_of};

pub(super) fn check(subject: &Subject<'_>, found: &mut Vec<LintFinding>) {
    groups(subject, found);
    if !subject.lists.is_empty() {
        palettes(subject, found);
        replacements(subject, found);
        expressions(subject, found);
    }
    swatches(subject, found);
}

/// All poses, and what they say of single views.
fn poses<'a>(subject: &'a Subject<'_>) -> impl Iterator<Item = &'a Pose> {
    let all = subject.lists.iter().flat_map(|list| list.all());
    all.flat_map(|pose| std::iter::once(pose).chain(pose.views.iter().map(|one| &one.pose)))
}

fn groups(subject: &Subject<'_>, found: &mut Vec<LintFinding>) {
    let arts = subject.library.all();
    let files: BTreeSet<&Path> = arts.iter().map(|a| a.file.as_path()).collect();
    for file in files {
        let used: Vec<&str> = arts
            .iter()
            .filter(|a| a.file == file)
            .map(|a| a.id.as_str())
            .collect();
        for group in subject.marks.groups(file, &used) {
            if group.used {
                continue;
            }
            let short = file.strip_prefix(&subject.member.folder).unwrap_or(file);
            let about = format!("{}#{}", short.display(), group.id);
            let message = format!("no part uses group \"{}\"", group.id);
            let hint = "name it in the rig, or take it out of the drawing";
            let check = Check::UnusedGroup;
            found.push(LintFinding::warning(
                check, &about, group.span, message, hint,
            ));
        }
    }
}

fn palettes(subject: &Subject<'_>, found: &mut Vec<LintFinding>) {
    let in_views = poses(subject).flat_map(|p| &p.views);
    let in_views = in_views.filter_map(|one| one.palette);
    let used: BTreeSet<usize> = poses(subject).map(|p| p.palette).chain(in_views).collect();
    let rig = subject.member.folder.join("rig.toml");
    for (at, palette) in subject.member.palettes.iter().enumerate().skip(1) {
        if !used.contains(&at) {
            let place = subject
                .marks
                .line(&rig, &format!("[palette.{}", palette.name));
            let message = format!("no pose takes palette \"{}\"", palette.name);
            let hint = "write palette in a pose, or take it out";
            let check = Check::UnusedPalette;
            found.push(LintFinding::warning(
                check,
                &palette.name,
                place,
                message,
                hint,
            ));
        }
    }
}

fn expressions(subject: &Subject<'_>, found: &mut Vec<LintFinding>) {
    let worn = poses(subject).flat_map(|p| &p.expressions);
    let worn: BTreeSet<usize> = worn.map(|(at, _)| *at).collect();
    let all = subject.member.expressions.iter().enumerate();
    for (_, (name, expression)) in all.filter(|(at, _)| !worn.contains(at)) {
        let message = format!("no pose wears expression \"{name}\"");
        let hint = "write expression in a pose, or take it out";
        let check = Check::UnusedExpression;
        if let Some(span) = expression.span {
            found.push(LintFinding::warning(check, name, span, message, hint));
        }
    }
}

fn replacements(subject: &Subject<'_>, found: &mut Vec<LintFinding>) {
    let named = subject.member.expressions.values();
    let named = named.flat_map(|one| std::iter::once(one).chain(one.views.iter().map(|v| &v.pose)));
    let used: BTreeSet<(NameId, &str)> = poses(subject)
        .chain(named)
        .flat_map(|p| p.replace.iter().map(|s| (s.part, s.value.as_str())))
        .collect();
    let mut told: BTreeSet<(NameId, &str)> = BTreeSet::new();
    for view in &subject.member.views {
        for part in &view.parts {
            for name in part.replacements.keys() {
                let key = (part.name, name.as_str());
                let foreshortened = &part.space.foreshortened;
                if used.contains(&key)
                    || foreshortened.iter().any(|(shown, _)| shown == name)
                    || !told.insert(key)
                {
                    continue;
                }
                let owner = &subject.member.names[part.name.at()];
                let message = format!("no pose takes replacement \"{name}\" of \"{owner}\"");
                let hint = "show it in a pose, or take it out";
                let check = Check::UnusedReplacement;
                let about = format!("{owner}.{name}");
                found.push(LintFinding::warning(
                    check, &about, part.span, message, hint,
                ));
            }
        }
    }
}

fn swatches(subject: &Subject<'_>, found: &mut Vec<LintFinding>) {
    let palette = &subject.member.drawn;
    let mut colours = BTreeSet::new();
    let of_id = |id: &String| swatch_of(id, palette.swatches.keys().map(String::as_str));
    let mut named: BTreeSet<&str> = BTreeSet::new();
    let mut picture = false;
    for shape in subject.library.all().iter().flat_map(|a| &a.shapes) {
        picture |= matches!(shape.outline, crate::art::Outline::Raster(_));
        for c in shape.source.colours() {
            colours.insert(c.rgb);
            named.extend(c.swatch.as_ref().and_then(of_id));
        }
    }
    let trims = subject.member.views.iter().flat_map(|v| &v.garments);
    for garment in trims {
        if let Some(ColourName::Swatch(name)) = &garment.trim {
            named.insert(name);
        }
    }
    // What is kept as a picture has colours that are not looked into.
    if picture {
        return;
    }
    let rig = subject.member.folder.join("rig.toml");
    for (name, rgb) in &palette.swatches {
        if colours.contains(rgb) || named.contains(name.as_str()) {
            continue;
        }
        let place = subject.marks.line(&rig, name);
        let message = format!("nothing is coloured with swatch \"{name}\"");
        let hint = "take it out, or let a drawing have it";
        let check = Check::UnusedSwatch;
        found.push(LintFinding::warning(check, name, place, message, hint));
    }
}
