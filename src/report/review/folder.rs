//! The folder of a review page, made beside its place and put there when it is whole.

use std::io;
use std::path::{Path, PathBuf};

use tempfile::TempDir;

use crate::draw::OwnerMap;
use crate::files::write_whole;
use crate::report::review::{Look, Review, SCRIPT, STYLE, THEME, data_js, index_html, owners_js};

/// A review page in the making. Pictures may come from any thread and in any order.
#[derive(Debug)]
pub struct ReviewFolder {
    place: PathBuf,
    making: TempDir,
}

impl ReviewFolder {
    /// Starts a page that will be in this folder.
    ///
    /// # Errors
    ///
    /// When something else than a review page is there, or nothing can be written beside it.
    pub fn new(place: &Path) -> io::Result<Self> {
        if !replaceable(place)? {
            let why = "it is there and is no review page; name another folder";
            return Err(io::Error::new(io::ErrorKind::AlreadyExists, why));
        }
        let beside = match place.parent() {
            Some(folder) if !folder.as_os_str().is_empty() => folder,
            _ => Path::new("."),
        };
        std::fs::create_dir_all(beside)?;
        let mut builder = tempfile::Builder::new();
        builder.prefix(".layfig-review-").suffix(".part");
        #[cfg(unix)]
        {
            use std::os::unix::fs::PermissionsExt as _;
            builder.permissions(std::fs::Permissions::from_mode(0o777));
        }
        let making = builder.tempdir_in(beside)?;
        std::fs::create_dir(making.path().join("pictures"))?;
        std::fs::create_dir(making.path().join("owners"))?;
        Ok(Self {
            place: place.to_owned(),
            making,
        })
    }

    /// A picture of the pose with this number, as PNG.
    ///
    /// # Errors
    ///
    /// When it cannot be written.
    pub fn picture(&self, number: usize, look: Look, png: &[u8]) -> io::Result<()> {
        std::fs::write(self.making.path().join(look.file(number)), png)
    }

    /// Who owned which pixel of the pose with this number, with the names of the parts.
    ///
    /// # Errors
    ///
    /// When it cannot be written.
    pub fn owners(
        &self,
        number: usize,
        before: Option<(&OwnerMap, &[String])>,
        after: Option<(&OwnerMap, &[String])>,
    ) -> io::Result<()> {
        let path = self.making.path().join(format!("owners/{number:04}.js"));
        std::fs::write(path, owners_js(number, before, after))
    }

    /// Writes the page itself and puts the folder in its place, in place of an older one.
    /// What is returned is where the page begins.
    ///
    /// # Errors
    ///
    /// When something cannot be written; an older page then stays.
    pub fn finish(self, review: &Review) -> io::Result<PathBuf> {
        let folder = self.making.path();
        for (name, text) in [
            ("review.css", STYLE),
            ("theme.js", THEME),
            ("review.js", SCRIPT),
            ("data.js", &data_js(review)),
            ("index.html", &index_html(review)),
        ] {
            write_whole(&folder.join(name), text.as_bytes())?;
        }
        // An older page is moved aside into the folder that goes when this is dropped.
        let beside = self.place.parent().unwrap_or(Path::new(""));
        let beside = if beside.as_os_str().is_empty() {
            Path::new(".")
        } else {
            beside
        };
        let aside = tempfile::Builder::new()
            .prefix(".layfig-review-")
            .suffix(".old")
            .tempdir_in(beside)?;
        let old = aside.path().join("old");
        let was = self.place.exists();
        if was {
            std::fs::rename(&self.place, &old)?;
        }
        let made = self.making.keep();
        if let Err(error) = std::fs::rename(&made, &self.place) {
            if was {
                std::fs::rename(&old, &self.place)?;
            }
            let _ = std::fs::remove_dir_all(&made);
            return Err(error);
        }
        Ok(self.place.join("index.html"))
    }
}

/// Whether nothing of anybody else's is in this folder.
fn replaceable(place: &Path) -> io::Result<bool> {
    match std::fs::read_dir(place) {
        Ok(mut entries) => Ok(entries.next().is_none() || place.join("review.js").is_file()),
        Err(error) if error.kind() == io::ErrorKind::NotFound => Ok(true),
        Err(error) if error.kind() == io::ErrorKind::NotADirectory => Ok(false),
        Err(error) => Err(error),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_page_takes_the_place_of_an_older_one_whole() {
        let dir = tempfile::tempdir().unwrap();
        let place = dir.path().join("out/review");
        let first = ReviewFolder::new(&place).unwrap();
        first.picture(3, Look::After, b"old").unwrap();
        first.finish(&Review::default()).unwrap();
        assert!(place.join("pictures/0003.after.png").is_file());
        let second = ReviewFolder::new(&place).unwrap();
        second.picture(4, Look::After, b"new").unwrap();
        assert!(
            place.join("pictures/0003.after.png").is_file(),
            "still the older one"
        );
        let index = second.finish(&Review::default()).unwrap();
        assert!(index.is_file());
        assert!(!place.join("pictures/0003.after.png").exists());
        assert_eq!(
            std::fs::read_dir(dir.path().join("out")).unwrap().count(),
            1
        );
    }

    #[test]
    fn what_is_no_review_page_is_left_alone() {
        let dir = tempfile::tempdir().unwrap();
        std::fs::write(dir.path().join("precious.txt"), "x").unwrap();
        assert!(ReviewFolder::new(dir.path()).is_err());
        assert!(ReviewFolder::new(&dir.path().join("precious.txt")).is_err());
        assert_eq!(std::fs::read_dir(dir.path()).unwrap().count(), 1);
    }

    #[test]
    fn an_abandoned_page_leaves_nothing_behind() {
        let dir = tempfile::tempdir().unwrap();
        let folder = ReviewFolder::new(&dir.path().join("review")).unwrap();
        folder.picture(0, Look::Before, b"x").unwrap();
        drop(folder);
        assert_eq!(std::fs::read_dir(dir.path()).unwrap().count(), 0);
    }
}
