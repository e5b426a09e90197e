//! Approved sets on disk: read with care, written so that no moment leaves them half done.

use std::collections::BTreeSet;
use std::fs::{self, File};
use std::io::{self, ErrorKind};
use std::path::{Path, PathBuf};

use crate::cast::Member;
use crate::compare::{ApprovedPose, Digest, Manifest, Picture, SetState, Unreadable};
use crate::diag::Problem;
use crate::draw::{numbers_of, picture_of};
use crate::files::{file_name, write_whole};

/// The manifest's name.
const MANIFEST: &str = "manifest.json";
/// Where a manifest that cannot be read is kept when a new one is written.
const DAMAGED: &str = "manifest.damaged.json";
/// Folders of a set.
const FOLDERS: [&str; 2] = ["pictures", "owners"];

/// An approved set as it was read.
#[derive(Clone, Debug)]
pub struct ApprovedSet {
    /// Where it lies.
    pub folder: PathBuf,
    /// What it says; empty where there is none, or it cannot be read.
    pub manifest: Manifest,
    /// Whether there is one.
    pub state: SetState,
    /// What a person should know about it.
    pub remarks: Vec<String>,
}

impl ApprovedSet {
    /// Where a member's set lies: in a folder of them, or else beside its rig.
    #[must_use]
    pub fn place(member: &Member, folder: Option<&Path>) -> PathBuf {
        match folder {
            Some(folder) => folder.join(file_name(&member.key)),
            None => member.folder.join("approved"),
        }
    }

    /// Reads a set. A damaged manifest is an empty set, and said.
    ///
    /// # Errors
    ///
    /// When there is a manifest that this version must not touch, or that the system does not let it
    /// read.
    pub fn open(folder: &Path) -> Result<Self, Problem> {
        let mut set = Self {
            folder: folder.to_path_buf(),
            manifest: Manifest::default(),
            state: SetState::Absent,
            remarks: Vec::new(),
        };
        let path = folder.join(MANIFEST);
        let bytes = match fs::read(&path) {
            Ok(bytes) => bytes,
            Err(e) if e.kind() == ErrorKind::NotFound => return Ok(set),
            Err(e) => {
                let message = format!("cannot read the approved set: {e}");
                return Err(Problem::error(path.as_path(), message));
            }
        };
        let read = String::from_utf8(bytes)
            .map_err(|_| Unreadable::Damaged("it is not UTF-8 text".into()))
            .and_then(|text| Manifest::read(&text));
        match read {
            Ok(manifest) => {
                set.manifest = manifest;
                set.state = SetState::Present;
            }
            Err(Unreadable::Damaged(why)) => {
                set.state = SetState::Damaged;
                set.remarks.push(format!(
                    "the set's {MANIFEST} is damaged, so that no pose counts as approved: {why}"
                ));
            }
            Err(wrong @ Unreadable::Format(_)) => {
                let message = format!("the approved set cannot be read: {wrong}");
                let hint = "use the version of layfig that wrote it";
                return Err(Problem::error(path.as_path(), message).hint(hint));
            }
        }
        Ok(set)
    }

    fn picture_path(&self, pose: &ApprovedPose) -> PathBuf {
        file(&self.folder, "pictures", &pose.picture)
    }

    /// The bytes of a pose's files, picture and owner map, as they were written.
    ///
    /// # Errors
    ///
    /// In words, when one is missing or damaged.
    pub fn files(&self, pose: &ApprovedPose) -> Result<(Vec<u8>, Vec<u8>), String> {
        let one = |path: PathBuf, digest: &Digest, what: &str| {
            // Comparisons keep these words: they tell files by their names in the set.
            let name = path.strip_prefix(&self.folder).unwrap_or(&path).display();
            let bytes = fs::read(&path).map_err(|e| match e.kind() {
                ErrorKind::NotFound => format!("{what} {name} is missing"),
                _ => format!("{what} {name} cannot be read: {e}"),
            })?;
            if Digest::of(&bytes) == *digest {
                Ok(bytes)
            } else {
                Err(format!("{what} {name} is damaged"))
            }
        };
        Ok((
            one(
                self.picture_path(pose),
                &pose.picture,
                "the approved picture",
            )?,
            one(
                file(&self.folder, "owners", &pose.owners),
                &pose.owners,
                "the approved owner map",
            )?,
        ))
    }

    /// The picture and the owner map from the bytes of their files.
    ///
    /// # Errors
    ///
    /// In words, when they are not what the manifest says.
    pub fn decoded(
        pose: &ApprovedPose,
        (picture, owners): (&[u8], &[u8]),
    ) -> Result<(Picture, Vec<u16>), String> {
        let picture =
            picture_of(picture).map_err(|e| format!("the approved picture is damaged: {e}"))?;
        let (width, height, owners) =
            numbers_of(owners).map_err(|e| format!("the approved owner map is damaged: {e}"))?;
        let size = (pose.width, pose.height);
        let inside = pose.origin[0] < pose.width && pose.origin[1] < pose.height;
        if (picture.width, picture.height) != size || (width, height) != size || !inside {
            return Err("the approved picture has another size than the manifest says".into());
        }
        let pixels = Digest::of_pixels(picture.width, picture.height, &picture.rgba, pose.origin);
        if pixels != pose.pixels {
            return Err("the approved picture has other pixels than the manifest says".into());
        }
        Ok((picture, owners))
    }

    /// Files of the set that no approved pose needs, relative to its folder.
    #[must_use]
    pub fn orphans(&self) -> Vec<String> {
        let mut needed: BTreeSet<String> = BTreeSet::new();
        for pose in self.manifest.poses.values() {
            needed.insert(format!("pictures/{}.png", pose.picture));
            needed.insert(format!("owners/{}.png", pose.owners));
        }
        let mut out = Vec::new();
        for folder in FOLDERS {
            let entries = fs::read_dir(self.folder.join(folder)).into_iter().flatten();
            for entry in entries.flatten() {
                let name = format!("{folder}/{}", entry.file_name().to_string_lossy());
                // Nothing but what an approval may have written.
                let ours = name.ends_with(".png") && entry.path().is_file();
                if ours && !needed.contains(&name) {
                    out.push(name);
                }
            }
        }
        out.sort_unstable();
        out
    }
}

fn file(set: &Path, folder: &str, digest: &Digest) -> PathBuf {
    set.join(folder).join(format!("{digest}.png"))
}

/// An approved set that nobody else writes meanwhile. The system lets go of it even when the
/// process is killed.
#[derive(Debug)]
pub struct OpenSet {
    folder: PathBuf,
    _lock: Option<File>,
    /// Why it keeps nobody out: a folder may have no locks.
    pub unlocked: Option<String>,
}

impl OpenSet {
    /// Makes the folder if need be, waits for its turn, and clears away what broken-off writes left.
    ///
    /// # Errors
    ///
    /// When the folder cannot be made or read.
    pub fn lock(folder: &Path) -> io::Result<Self> {
        fs::create_dir_all(folder)?;
        // Where a folder cannot be locked, approvals at one time are up to the people.
        let lock = File::open(folder).and_then(|file| file.lock().map(|()| file));
        let unlocked = lock.as_ref().err().map(ToString::to_string);
        let set = Self {
            folder: folder.to_path_buf(),
            _lock: lock.ok(),
            unlocked,
        };
        if set._lock.is_some() {
            for place in FOLDERS
                .iter()
                .map(|f| folder.join(f))
                .chain([folder.to_path_buf()])
            {
                for entry in fs::read_dir(&place).into_iter().flatten().flatten() {
                    let name = entry.file_name();
                    let name = name.to_string_lossy();
                    if name.starts_with(".layfig-") && name.ends_with(".part") {
                        fs::remove_file(entry.path())?;
                    }
                }
            }
        }
        Ok(set)
    }

    /// Writes a file of this kind (`pictures`, `owners`) under the digest of its bytes, unless it is
    /// there already.
    ///
    /// # Errors
    ///
    /// With the path, when it cannot be written.
    pub fn keep(&self, folder: &str, bytes: &[u8]) -> Result<Digest, (PathBuf, io::Error)> {
        let digest = Digest::of(bytes);
        let path = file(&self.folder, folder, &digest);
        if fs::read(&path).is_ok_and(|there| there == bytes) {
            return Ok(digest);
        }
        write_whole(&path, bytes).map_err(|e| (path, e))?;
        Ok(digest)
    }

    /// Changes the manifest: as it is on disk now, not as somebody read it before.
    ///
    /// # Errors
    ///
    /// When it cannot be read or written.
    pub fn change(&self, change: impl FnOnce(&mut Manifest)) -> Result<ApprovedSet, Problem> {
        let mut set = ApprovedSet::open(&self.folder)?;
        let path = self.folder.join(MANIFEST);
        let failed = |path: &Path, e: io::Error| {
            Problem::error(path, format!("cannot write the approved set: {e}"))
        };
        let before = set.manifest.clone();
        change(&mut set.manifest);
        set.manifest.tidy();
        if set.manifest == before {
            return Ok(set);
        }
        if set.state == SetState::Damaged {
            let kept = self.folder.join(DAMAGED);
            let bytes = fs::read(&path).map_err(|e| failed(&path, e))?;
            write_whole(&kept, &bytes).map_err(|e| failed(&kept, e))?;
        }
        let text = set.manifest.text().map_err(|e| failed(&path, e.into()))?;
        write_whole(&path, text.as_bytes()).map_err(|e| failed(&path, e))?;
        set.state = SetState::Present;
        Ok(set)
    }

    /// Removes files of the set that no approved pose needs; gives their names.
    ///
    /// # Errors
    ///
    /// When one cannot be removed.
    pub fn prune(&self) -> Result<Vec<String>, Problem> {
        let set = ApprovedSet::open(&self.folder)?;
        if set.state == SetState::Damaged {
            let path = self.folder.join(MANIFEST);
            let message = "nothing is pruned, since the manifest is damaged";
            return Err(Problem::error(path.as_path(), message).hint("approve first"));
        }
        let orphans = set.orphans();
        for name in &orphans {
            let path = self.folder.join(name);
            fs::remove_file(&path)
                .map_err(|e| Problem::error(path.as_path(), format!("cannot remove it: {e}")))?;
        }
        Ok(orphans)
    }
}
