//! Layfig: a headless batch renderer and proofing tool for jointed 2D characters.
//!
//! The program is a thin layer over this library, and a pipeline can use it without the program. With
//! `default-features = false` it builds without arguments, fonts, PDF and threads, for a browser too; `threads` checks on
//! all processors, `sheets` adds labelled pages.
//!
//! # Files in, figures out
//!
//! A [`Project`] is a cast or one member, read whole. A pose starts at rest, or from one of a pose list, and what is said
//! of it in code takes the place of what the list says:
//!
//! ```
//! use layfig::{Files, Project};
//!
//! let project = Project::open(Files::disk("rigs"))?;
//! let deckhand = project.member("deckhand")?;
//! let figure = deckhand.pose().turn("forearm_near", -35.)?.view("side")?;
//!
//! let picture = figure.render(0.25)?; // pixels to the canvas unit
//! assert_eq!([picture.width, picture.height], [225, 300]);
//! assert!(picture.png()?.starts_with(b"\x89PNG"));
//! assert!(figure.to_svg().starts_with("<svg"));
//! assert_eq!(figure.owners(0.25)?.at(112, 145), Some("sleeve_lower_near"));
//!
//! let sly = deckhand.pose_named("face_sly")?.palette("dusk")?.mirror(true);
//! assert_eq!(sly.view("front")?.depth_order().last(), Some(&"forearm_near"));
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```
//!
//! # Files in memory
//!
//! Whatever is read can be in memory: what an editor has not saved yet, what a browser was given. Paths are relative, and
//! none leads out:
//!
//! ```
//! use layfig::{Files, Project};
//!
//! let rig = r#"
//! [character]
//! canvas = [60, 60]
//! [part.box]
//! art   = "box.svg#box"
//! pivot = [30, 30]
//! "#;
//! let art = r##"<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 60 60">
//!     <g id="box"><rect id="box_paint" x="20" y="20" width="20" height="20" fill="#c2512f"/></g>
//! </svg>"##;
//! let project = Project::open(Files::memory([("rig.toml", rig), ("box.svg", art)])?)?;
//! let figure = project.members()[0].pose().turn("box", 45.)?.figure()?;
//! let [left, _, right, _] = figure.bounds().ok_or("nothing is seen")?;
//! assert!((right - left - 20.0 * 2.0_f64.sqrt()).abs() < 1e-6);
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```
//!
//! # Mistakes are values
//!
//! Errors implement [`std::error::Error`]. Those of files keep every place, and are told a line each; a name that nothing
//! has comes with the one that was probably meant:
//!
//! ```
//! use layfig::{Files, Project};
//!
//! let rig = "[character]\ncanvas = [60, 60]\n[part.box]\npivto = [30, 30]\n";
//! let error = Project::open(Files::memory([("rig.toml", rig)])?).unwrap_err();
//! assert_eq!(
//!     error.to_string(),
//!     "rig.toml:4:1: error: unknown key \"pivto\" in [part.box] (hint: did you mean \"pivot\"?)"
//! );
//!
//! let project = Project::open(Files::disk("rigs"))?;
//! let error = project.member("deckhnad").unwrap_err();
//! assert_eq!(error.to_string(), "there is no member \"deckhnad\" (did you mean \"deckhand\"?)");
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```
//!
//! # Checks and comparisons
//!
//! What the commands `check` and `compare` find comes as values too, with limits as the rig says them:
//!
//! ```
//! use layfig::compare::Tolerance;
//! use layfig::{Files, Project};
//!
//! let project = Project::open(Files::disk("rigs"))?;
//! let dog = project.member("ship_dog")?;
//! let findings = dog.check("")?.findings; // its one view has no name
//! assert!(findings.list.is_empty() && findings.ranges.len() > 10);
//!
//! let (rest, wag) = (dog.pose().figure()?, dog.pose().turn("tail_tip", 30.)?.figure()?);
//! let found = wag.compare(&rest, 0.25, &Tolerance::default())?;
//! let changed: Vec<&str> = found.parts.iter().map(|(part, _)| part.as_str()).collect();
//! assert_eq!(changed[0], "tail_tip");
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```
//!
//! # Further down
//!
//! Each floor is public: [`cast`] reads files, [`pose`] resolves them, [`solve`] makes figures, [`draw`] and [`export`] put them down, [`check`],
//! [`compare`] and [`mod@lint`] look at them. Their pixels are those of [`tiny_skia`]. Ids of another member are answered
//! with an error or nothing, never with a panic. Programs as a pipeline would have them are in `tests/examples`.

pub mod art;
#[cfg(feature = "cli")]
pub mod build;
pub mod cast;
pub mod check;
#[cfg(feature = "cli")]
pub mod cli;
pub mod compare;
pub mod diag;
#[cfg(feature = "cli")]
pub mod draft;
pub mod draw;
pub mod export;
pub mod files;
#[cfg(feature = "cli")]
pub mod fit;
pub mod geom;
pub mod kinematics;
pub mod lint;
#[cfg(feature = "cli")]
pub mod migrate;
pub mod name;
mod parallel;
pub mod pose;
pub mod project;
#[cfg(feature = "cli")]
pub mod report;
#[cfg(feature = "sheets")]
pub mod sheet;
pub mod solve;
#[cfg(feature = "sheets")]
pub mod text;

pub use files::Files;
pub use project::{AskError, Project, ProjectError};
pub use tiny_skia;
