//! Members read side by side: each with its own files and its own problems, so that one that is
//! broken is told of and stops no other.

use std::path::{Path, PathBuf};

use rayon::prelude::*;

use super::depends;
use super::digest::Digest;
use crate::diag::{Problem, Problems, Sources, short_with};
use crate::files::relative;
use crate::name::Name;
use crate::project::{Reading, Subject};

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
        .map(|rig| read_member(rig, base))
        .collect()
}

impl ReadMember {
    /// A problem of its files in one line, the same from wherever the night is run.
    #[must_use]
    pub fn short(&self, problem: &Problem) -> String {
        short_with(problem, &self.sources, |path| relative(&self.base, path))
    }
}

fn read_member(rig: &(Option<String>, PathBuf), base: &Path) -> ReadMember {
    let (mut sources, mut problems) = (Sources::default(), Problems::default());
    let mut unread = Vec::new();
    let reading = Reading {
        hint: Some("name them in its rig: poses = [\"../../poses/actions.toml\"]"),
        ..Reading::default()
    };
    let subject = reading.member(rig, &mut sources, &mut problems, &mut unread);
    let key = match &subject {
        Some(subject) => subject.member.key.clone(),
        None => unread
            .first()
            .map(|(name, _)| name.member.clone())
            .unwrap_or_default(),
    };
    let drawings = subject.as_ref().map(|it| depends::drawings(&it.library));
    ReadMember {
        key,
        sources,
        problems,
        drawings: drawings.unwrap_or_default(),
        subject,
        base: base.to_path_buf(),
        unread,
    }
}
