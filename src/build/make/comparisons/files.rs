//! Files of a comparison, below `<out>/<member>/compare/`.

use std::path::{Component, Path, PathBuf};

use super::removed::show_removed;
use super::round::CompareStyle;
use crate::build::make::pictures::save;
use crate::build::plan::{Job, Plan};
use crate::build::run::Failure;
use crate::compare::recording::slashed;
use crate::compare::{ApprovedSet, Comparison, PoseFiles};
use crate::files::file_name;

/// The files of one pose in a comparison's folder.
pub(super) struct Files {
    folder: Option<PathBuf>,
    stem: String,
    pub before: Option<Vec<u8>>,
    pub after: Option<Vec<u8>>,
    pub difference: Option<Vec<u8>>,
    pub before_owners: Option<Vec<u8>>,
    pub after_owners: Option<Vec<u8>>,
}

impl Files {
    pub fn new(plan: &Plan, job: &Job<'_>, style: &CompareStyle) -> Self {
        let member = &plan.models[job.model].member.key;
        let whole = job.file(plan, Path::new(""), "");
        let own = whole.strip_prefix(file_name(member)).unwrap_or(&whole);
        Self {
            folder: style.out.as_ref().map(|out| comparison_folder(out, member)),
            stem: slashed(own),
            before: None,
            after: None,
            difference: None,
            before_owners: None,
            after_owners: None,
        }
    }

    pub const fn wanted(&self) -> bool {
        self.folder.is_some()
    }

    pub fn write(self) -> Result<PoseFiles, Failure> {
        let Some(folder) = self.folder else {
            return Ok(PoseFiles::default());
        };
        let stem = self.stem;
        let one = |bytes: Option<Vec<u8>>, ending: &str| -> Result<Option<String>, Failure> {
            let Some(bytes) = bytes else {
                return Ok(None);
            };
            let name = format!("{stem}.{ending}.png");
            save(&folder.join(&name), &bytes)?;
            Ok(Some(name))
        };
        Ok(PoseFiles {
            before: one(self.before, "before")?,
            after: one(self.after, "after")?,
            difference: one(self.difference, "difference")?,
            before_owners: one(self.before_owners, "before.owners")?,
            after_owners: one(self.after_owners, "after.owners")?,
        })
    }
}

/// Where a member's comparison goes under `out`.
#[must_use]
pub fn comparison_folder(out: &Path, member: &str) -> PathBuf {
    out.join(file_name(member)).join("compare")
}

/// Writes `comparison.json`, after the pictures that it names, those of poses that are not drawn any more among them;
/// pictures that only an earlier comparison named are removed. Gives the file.
///
/// # Errors
///
/// When it cannot be written.
pub fn write_comparison(
    comparison: &mut Comparison,
    set: &ApprovedSet,
    out: &Path,
) -> Result<PathBuf, Failure> {
    show_removed(comparison, set, out)?;
    let folder = comparison_folder(out, &comparison.member);
    let path = folder.join("comparison.json");
    let named = |c: &Comparison| -> Vec<String> {
        let files = c.poses.iter().flat_map(|p| p.files.all());
        files.cloned().collect()
    };
    let earlier = std::fs::read_to_string(&path).ok();
    let earlier = earlier.and_then(|text| serde_json::from_str::<Comparison>(&text).ok());
    let text = comparison.text();
    let text = text.map_err(|e| Failure::Fault(e.to_string()))?;
    save(&path, text.as_bytes())?;
    let now = named(comparison);
    for old in earlier.iter().flat_map(named) {
        let plain = Path::new(&old)
            .components()
            .all(|c| matches!(c, Component::Normal(_)));
        if plain && old.ends_with(".png") && !now.contains(&old) {
            // One that is gone already is as well.
            let _ = std::fs::remove_file(folder.join(&old));
        }
    }
    Ok(path)
}
