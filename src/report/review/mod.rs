//! The review page: every compared pose before, after and between, and a decision for each.
//!
//! A [`Review`] is plain data. [`index_html`], [`data_js`] and [`STYLE`] and [`SCRIPT`] are the page,
//! [`owners_js`] what it loads when a pose is opened, [`thumbnail`] what it shows in the overview:
//!
//! ```text
//! index.html   review.css  review.js  data.js
//! pictures/0007.before.png  .after.png  .difference.png  .small.png
//! owners/0007.js
//! ```
//!
//! Files have the numbers of their poses and no names, so that no name can lead out of the folder. The page
//! opens from a disk as from a server: scripts are classic scripts, data are scripts too, since a browser
//! lets a page from a disk load nothing else. Names reach the page as data and are set as text only; a policy
//! in the page forbids markup from text, and everything that is not in its own folder.

mod data;
mod folder;
mod html;
mod owners;
mod small;
mod types;

pub use data::data_js;
pub use folder::ReviewFolder;
pub use html::index_html;
pub use owners::owners_js;
pub use small::thumbnail;
pub use types::{Area, Cause, Entry, Figure, Look, PartChange, Region, Review};

/// The page's style sheet.
pub const STYLE: &str = concat!(
    include_str!("page/tokens.css"),
    include_str!("page/frame.css"),
    include_str!("page/overview.css"),
    include_str!("page/pose.css"),
);

/// What sets light or dark before anything is painted.
pub const THEME: &str = include_str!("page/theme.js");

/// The page's program.
pub const SCRIPT: &str = concat!(
    include_str!("page/base.js"),
    include_str!("page/pace.js"),
    include_str!("page/model.js"),
    include_str!("page/decisions.js"),
    include_str!("page/owners.js"),
    include_str!("page/filters.js"),
    include_str!("page/grid.js"),
    include_str!("page/stage.js"),
    include_str!("page/pose.js"),
    include_str!("page/keys.js"),
    include_str!("page/main.js"),
);
