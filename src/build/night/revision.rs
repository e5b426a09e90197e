//! The inputs as they were at a revision of the git repository that they lie in.

use std::io::Write as _;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

use tempfile::TempDir;

/// What inputs are made of: files, drawings, images in them, approved sets.
const KINDS: [&str; 9] = [
    "toml", "svg", "svgz", "png", "jpg", "jpeg", "gif", "webp", "json",
];

/// Files of a revision, in a folder that goes when this is dropped.
#[derive(Debug)]
pub struct Tree {
    folder: TempDir,
    /// The repository's own folder.
    top: PathBuf,
    /// The cast in it.
    pub cast: PathBuf,
}

impl Tree {
    /// Where the repository's files are.
    fn files(&self) -> PathBuf {
        self.folder.path().join("files")
    }

    /// A file of the repository as it was then; `None` for one outside.
    #[must_use]
    pub fn then(&self, path: &Path) -> Option<PathBuf> {
        let way = std::path::absolute(path).ok()?;
        let way = way.canonicalize().unwrap_or(way);
        Some(self.files().join(way.strip_prefix(&self.top).ok()?))
    }
}

/// Gets the inputs of a cast as they were at a revision. Nothing in the repository is touched.
///
/// # Errors
///
/// Why there are none, as the end of a sentence.
pub fn checkout(cast: &Path, revision: &str) -> Result<Tree, String> {
    let cast = cast
        .canonicalize()
        .map_err(|e| format!("and {} cannot be read: {e}", cast.display()))?;
    let near = if cast.is_dir() {
        cast.as_path()
    } else {
        cast.parent().unwrap_or(Path::new("."))
    };
    let top = git(near, &["rev-parse", "--show-toplevel"], &[])
        .map_err(|why| format!("and git knows no revisions of it: {why}"))?;
    let top = PathBuf::from(String::from_utf8_lossy(&top).trim_end_matches('\n'));
    let top = top.canonicalize().unwrap_or(top);
    let name = format!("{revision}^{{commit}}");
    let commit = git(
        near,
        &[
            "rev-parse",
            "--verify",
            "--quiet",
            "--end-of-options",
            &name,
        ],
        &[],
    )
    .map_err(|_| "and git has no such revision".to_owned())?;
    let commit = String::from_utf8_lossy(&commit).trim().to_owned();
    let failed = |why: String| format!("and git cannot read that revision: {why}");
    let list = git(&top, &["ls-tree", "-r", "-z", "--name-only", &commit], &[]).map_err(failed)?;
    let mut wanted: Vec<u8> = Vec::new();
    for name in list.split(|&byte| byte == 0).filter(|name| is_input(name)) {
        wanted.extend_from_slice(name);
        wanted.push(0);
    }
    let folder = tempfile::tempdir().map_err(|e| failed(e.to_string()))?;
    // An index of its own: the repository's is left alone.
    let index = folder.path().join(".index");
    let files = folder.path().join("files");
    std::fs::create_dir(&files).map_err(|e| failed(e.to_string()))?;
    let with = |args: &[&str], input: &[u8]| {
        let mut command = Command::new("git");
        command.env("GIT_INDEX_FILE", &index);
        told(command, &top, args, input).map_err(failed)
    };
    with(&["read-tree", &commit], &[])?;
    let prefix = format!("--prefix={}/", files.display());
    with(&["checkout-index", "-z", "--stdin", "-f", &prefix], &wanted)?;
    let way = cast.strip_prefix(&top).unwrap_or(Path::new(""));
    let then = files.join(way);
    if !then.exists() {
        return Err(format!(
            "and at that revision there was no {}",
            way.display()
        ));
    }
    Ok(Tree {
        folder,
        top,
        cast: then,
    })
}

fn is_input(name: &[u8]) -> bool {
    let name = String::from_utf8_lossy(name);
    let ending = name.rsplit_once('.').map(|(_, e)| e.to_ascii_lowercase());
    ending.is_some_and(|ending| KINDS.contains(&ending.as_str()))
}

fn git(folder: &Path, args: &[&str], input: &[u8]) -> Result<Vec<u8>, String> {
    told(Command::new("git"), folder, args, input)
}

/// What git answers, or what it complains of.
fn told(mut git: Command, folder: &Path, args: &[&str], input: &[u8]) -> Result<Vec<u8>, String> {
    let lost = |e: std::io::Error| match e.kind() {
        std::io::ErrorKind::NotFound => "git is not installed".to_owned(),
        _ => format!("git cannot be run: {e}"),
    };
    let mut child = git
        .arg("-C")
        .arg(folder)
        .args(args)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .map_err(lost)?;
    let output = std::thread::scope(|scope| {
        if let Some(mut stdin) = child.stdin.take() {
            // Git may have had enough before all is told.
            scope.spawn(move || stdin.write_all(input));
        }
        child.wait_with_output()
    })
    .map_err(lost)?;
    if output.status.success() {
        Ok(output.stdout)
    } else {
        let words = String::from_utf8_lossy(&output.stderr);
        Err(words.lines().next().unwrap_or("it says nothing").to_owned())
    }
}
