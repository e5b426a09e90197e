//! Elements of drawings that poses name: which part shows them, and where they are.

use std::path::PathBuf;

use super::{ElementRef, Goal, LookTo, Target};
use crate::art::{ArtId, Library};
use crate::cast::pivot::middle_of;
use crate::cast::reference::ArtRef;
use crate::cast::{Drawings, Member, Pose, PoseList, View};
use crate::diag::{Problem, Problems, Sources, quoted};

/// Finds the elements that the poses of a list name. Those that no part shows are reported, and answer with nothing.
pub fn find_elements(
    list: &mut PoseList,
    member: &Member,
    library: &mut Library,
    sources: &mut Sources,
    problems: &mut Problems,
) {
    let mut drawings = Drawings {
        folder: &member.folder,
        sources,
        problems,
        library,
        texts: std::collections::BTreeMap::new(),
    };
    let mut known: Vec<ElementRef> = Vec::new();
    let swept = list.sweeps.iter_mut().flat_map(|sweep| &mut sweep.poses);
    for pose in list.poses.iter_mut().chain(swept) {
        for element in elements(pose) {
            let same = |other: &&ElementRef| {
                [&other.file] == [&element.file]
                    && other.id == element.id
                    && other.span == element.span
            };
            if let Some(found) = known.iter().find(same) {
                element.places.clone_from(&found.places);
                continue;
            }
            find(element, member, &mut drawings);
            known.push(element.clone());
        }
    }
}

/// All elements that a pose names.
fn elements(pose: &mut Pose) -> Vec<&mut ElementRef> {
    let mut all = Vec::new();
    let mut poses: Vec<&mut Pose> = vec![pose];
    while let Some(pose) = poses.pop() {
        let limbs = pose.reach.iter_mut().chain(&mut pose.plant);
        for reach in limbs.filter_map(|said| said.value.as_mut()) {
            if let Goal::To(Target::Element(element)) = &mut reach.to {
                all.push(element);
            }
        }
        if let Some((Some(look), _)) = &mut pose.look
            && let LookTo::Target(Target::Element(element), _) = &mut look.to
        {
            all.push(element);
        }
        poses.extend(pose.views.iter_mut().map(|one| &mut one.pose));
    }
    all
}

fn find(element: &mut ElementRef, member: &Member, drawings: &mut Drawings<'_>) {
    let before = drawings.problems.errors();
    for view in &member.views {
        let file = element.file.as_ref().or(view.drawing.as_ref());
        if let Some(file) = file
            && let Some(place) = place(element, file, view, drawings)
        {
            element.places.push((view.name.clone(), place.0, place.1));
        }
        if drawings.problems.errors() > before {
            return;
        }
    }
    if element.places.is_empty() {
        let message = format!("no part shows {}", quoted(&element.text));
        let hint = "name an element in the drawing of a part, file and id";
        drawings
            .problems
            .push(Problem::error(element.span, message).hint(hint));
    }
}

/// The part of a view that shows an element, and the middle of that.
fn place(
    element: &ElementRef,
    file: &PathBuf,
    view: &View,
    drawings: &mut Drawings<'_>,
) -> Option<(crate::cast::NameId, crate::geom::Point)> {
    let document = drawings.open(file, element.span)?;
    let whole = drawings.folder.join(file);
    let inside = |art: ArtId| {
        let art = drawings.library.get(art).filter(|art| art.file == whole)?;
        document.around(&element.id, &art.id)
    };
    // The drawing that holds it most closely.
    let shown = view.parts.iter().flat_map(|part| {
        let drawings = part.replacements.values().chain([&part.art]);
        let sizes = drawings.filter_map(|drawing| inside(drawing.art()?));
        sizes.map(move |size| (size, part))
    });
    let (_, part) = shown.min_by_key(|(size, _)| *size)?;
    let mark = ArtRef {
        file: file.clone(),
        ids: vec![element.id.clone()],
        span: element.span,
    };
    Some((part.name, middle_of(&mark, &part.place, drawings)?))
}
