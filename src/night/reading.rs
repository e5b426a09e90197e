//! Members read side by side: each with its own files and its own problems, so that one that is
//! broken is told of and stops no other.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use rayon::prelude::*;

use super::depends;
use super::digest::Digest;
use crate::art::Library;
use crate::batch::{Subject, plain, relative};
use crate::cast;
use crate::diag::{Problem, Problems, Sources, short_with};
use crate::name::Name;

/// A member as far as it could be read.
#[derive(Debug)]
pub struct ReadMember {
    /// What the cast calls it.
    pub key: String,
    /// Its files.
    pub sources: Sources,
    /// What is wrong with them.
    pub problems: Problems,
    /// The member and its lists, unless its rig has errors.
    pub subject: Option<Subject>,
    /// Digests of its drawings, by their place in the library.
    pub drawings: Vec<Digest>,
    /// From where documents tell its files: the folder of the cast, or its own.
    pub base: PathBuf,
    /// Lists that could not be used, and why.
    pub unread: Vec<(Name, String)>,
}

/// Reads rigs, each under the name that the cast has for it, on the threads it is called from. Documents
/// tell their files from `base`.
#[must_use]
pub fn read(rigs: &[(Option<String>, PathBuf)], base: &Path) -> Vec<ReadMember> {
    rigs.par_iter()
        .with_max_len(1)
        .map(|(key, rig)| read_member(key.as_deref(), rig, base))
        .collect()
}

impl ReadMember {
    /// A problem of its files in one line, the same from wherever the night is run.
    #[must_use]
    pub fn short(&self, problem: &Problem) -> String {
        short_with(problem, &self.sources, |path| relative(&self.base, path))
    }
}

fn read_member(key: Option<&str>, rig: &Path, base: &Path) -> ReadMember {
    let sources = Sources::default();
    let mut it = ReadMember {
        key: key.map_or_else(|| cast::member_key(sources.files(), rig), str::to_owned),
        sources,
        problems: Problems::default(),
        subject: None,
        drawings: Vec::new(),
        base: base.to_path_buf(),
        unread: Vec::new(),
    };
    let mut library = Library::new();
    let Some(mut member) = cast::load_member(rig, &mut it.sources, &mut it.problems, &mut library)
    else {
        it.unread
            .push((Name::new(&it.key, None), "its files have errors".to_owned()));
        return it;
    };
    if let Some(key) = key {
        key.clone_into(&mut member.key);
    }
    it.key.clone_from(&member.key);
    if member.poses.is_empty() {
        let problem = Problem::warning(rig, format!("{} names no pose lists", member.key));
        let hint = "name them in its rig: poses = [\"../../poses/actions.toml\"]";
        it.problems.push(problem.hint(hint));
    }
    let mut lists = Vec::new();
    for path in member.poses.iter().map(|path| plain(path)) {
        let list = cast::load_poses(&path, &member, &mut it.sources, &mut it.problems);
        if let Some(list) = list {
            lists.push(Arc::new(list));
        } else {
            let list = path.file_stem().unwrap_or_default().to_string_lossy();
            let name = Name::new(&member.key, None).list(list);
            it.unread
                .push((name, "nothing in the list can be used".to_owned()));
        }
    }
    it.drawings = depends::drawings(&library);
    it.subject = Some(Subject {
        member: Arc::new(member),
        library: Arc::new(library),
        lists,
    });
    it
}
