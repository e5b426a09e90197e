//! What several test programs share.
#![allow(dead_code, reason = "each test program uses its own part of this")]

use tiny_skia::Pixmap;

/// How far two pictures of one size are apart, over four premultiplied channels.
#[derive(Debug, Clone, Copy)]
pub struct Difference {
    /// Mean absolute difference of a channel, 0 to 255.
    pub mean: f64,
    /// Pixels of the largest 8-connected blob in which some channel differs by more than 32.
    pub blob: usize,
    /// Where that blob starts.
    pub at: (u32, u32),
}

/// Compares two pictures.
pub fn difference(a: &Pixmap, b: &Pixmap) -> Difference {
    difference_over(a.data(), b.data(), a.width(), a.height(), 32)
}

/// Compares RGBA bytes; `over` is the difference that counts for a blob.
pub fn difference_over(a: &[u8], b: &[u8], width: u32, height: u32, over: u8) -> Difference {
    assert_eq!(a.len(), b.len(), "pictures of different sizes");
    let sum: u64 = a
        .iter()
        .zip(b)
        .map(|(x, y)| u64::from(x.abs_diff(*y)))
        .sum();
    let mut far: Vec<bool> = a
        .chunks_exact(4)
        .zip(b.chunks_exact(4))
        .map(|(x, y)| x.iter().zip(y).any(|(p, q)| p.abs_diff(*q) > over))
        .collect();
    let (w, h) = (width as i64, height as i64);
    let (mut blob, mut at) = (0, (0, 0));
    for start in 0..far.len() {
        if !far[start] {
            continue;
        }
        let mut size = 0;
        let mut wait = vec![start];
        far[start] = false;
        while let Some(i) = wait.pop() {
            size += 1;
            let (x, y) = (i as i64 % w, i as i64 / w);
            for (dx, dy) in [
                (-1, -1),
                (0, -1),
                (1, -1),
                (-1, 0),
                (1, 0),
                (-1, 1),
                (0, 1),
                (1, 1),
            ] {
                let (nx, ny) = (x + dx, y + dy);
                if (0..w).contains(&nx) && (0..h).contains(&ny) {
                    let j = (ny * w + nx) as usize;
                    if far[j] {
                        far[j] = false;
                        wait.push(j);
                    }
                }
            }
        }
        if size > blob {
            blob = size;
            at = ((start as i64 % w) as u32, (start as i64 / w) as u32);
        }
    }
    Difference {
        mean: sum as f64 / a.len() as f64,
        blob,
        at,
    }
}

/// A picture made smaller: each pixel the mean of `by` x `by`.
pub fn averaged(large: &Pixmap, by: u32) -> Pixmap {
    let mut out = Pixmap::new(large.width() / by, large.height() / by).expect("a picture");
    let (w, stride) = (out.width(), large.width() as usize * 4);
    for (i, px) in out.data_mut().chunks_exact_mut(4).enumerate() {
        let (x, y) = (i as u32 % w * by, i as u32 / w * by);
        for (c, value) in px.iter_mut().enumerate() {
            let mut sum = 0_u32;
            for dy in 0..by {
                for dx in 0..by {
                    sum += u32::from(
                        large.data()[(y + dy) as usize * stride + (x + dx) as usize * 4 + c],
                    );
                }
            }
            *value = ((sum + by * by / 2) / (by * by)) as u8;
        }
    }
    out
}

/// Saves two pictures and their difference side by side, for eyes, when a check fails.
pub fn evidence(name: &str, a: &Pixmap, b: &Pixmap) -> std::path::PathBuf {
    let (w, h) = (a.width(), a.height());
    let mut out = Pixmap::new(w * 3, h).expect("three pictures side by side");
    out.fill(tiny_skia::Color::WHITE);
    let mut delta = Pixmap::new(w, h).expect("a picture");
    for ((d, x), y) in delta
        .data_mut()
        .chunks_exact_mut(4)
        .zip(a.data().chunks_exact(4))
        .zip(b.data().chunks_exact(4))
    {
        for c in 0..3 {
            d[c] = x[c]
                .abs_diff(y[c])
                .max(x[3].abs_diff(y[3]))
                .saturating_mul(4);
        }
        d[3] = 255;
    }
    let paint = tiny_skia::PixmapPaint::default();
    for (i, p) in [a, b, &delta].into_iter().enumerate() {
        out.draw_pixmap(
            (w * i as u32) as i32,
            0,
            p.as_ref(),
            &paint,
            tiny_skia::Transform::identity(),
            None,
        );
    }
    let dir = std::path::Path::new(env!("CARGO_TARGET_TMPDIR")).join("evidence");
    std::fs::create_dir_all(&dir).expect("a folder for evidence");
    let path = dir.join(format!("{}.png", name.replace(['/', ' '], "-")));
    out.save_png(&path).expect("evidence is written");
    path
}

use std::path::Path;
use std::sync::Arc;

use layfig::art::{Library, Rgb};
use layfig::cast::{Member, Pose, PoseList, load_member, load_poses};
use layfig::diag::{Problems, Sources};
use layfig::draw::{Frame, Scratch, Viewport, draw};
use layfig::geom::Affine;
use layfig::solve::{Figure, Puppet};

/// A member with its pose lists, ready to solve.
pub struct Staged {
    pub member: Arc<Member>,
    pub puppets: Vec<Puppet>,
    pub lists: Vec<PoseList>,
    /// All drawings.
    pub library: Library,
}

impl Staged {
    /// Reads a member's folder and its own pose lists.
    pub fn read(folder: &Path) -> Self {
        let (mut sources, mut problems, mut library) =
            (Sources::default(), Problems::default(), Library::new());
        let member = load_member(folder, &mut sources, &mut problems, &mut library);
        let member = Arc::new(
            member.unwrap_or_else(|| panic!("{}: {:#?}", folder.display(), problems.list())),
        );
        let lists = member
            .poses
            .iter()
            .map(|path| {
                load_poses(path, &member, &mut sources, &mut problems)
                    .unwrap_or_else(|| panic!("{}: {:#?}", path.display(), problems.list()))
            })
            .collect();
        let puppets = (0..member.views.len())
            .map(|v| Puppet::new(Arc::clone(&member), v, &library).unwrap())
            .collect();
        Self {
            member,
            puppets,
            lists,
            library,
        }
    }

    /// Writes files into a fresh folder `rig` and reads it; `rig.toml` among them names its poses.
    pub fn write(files: &[(&str, &str)]) -> Self {
        let dir = tempfile::tempdir().expect("a folder to work in");
        let folder = dir.path().join("rig");
        for (name, text) in files {
            let path = folder.join(name);
            std::fs::create_dir_all(path.parent().expect("a parent")).expect("a folder");
            std::fs::write(path, text).expect("a file is written");
        }
        Self::read(&folder)
    }

    /// Poses and sweep poses of all lists, in order.
    pub fn poses(&self) -> impl Iterator<Item = &Pose> {
        self.lists
            .iter()
            .flat_map(|l| l.poses.iter().chain(l.sweeps.iter().flat_map(|s| &s.poses)))
    }

    /// A pose by name.
    pub fn pose(&self, name: &str) -> &Pose {
        self.poses()
            .find(|p| p.name == name)
            .unwrap_or_else(|| panic!("no pose {name}"))
    }

    /// The first view's figure in a pose.
    pub fn figure(&self, pose: &str) -> Figure {
        self.puppets[0]
            .figure(self.pose(pose))
            .unwrap_or_else(|p| panic!("{p:?}"))
    }
}

/// A figure drawn on its whole canvas.
pub fn picture(figure: &Figure, scale: f64, background: Option<Rgb>) -> Frame {
    let puppet = figure.puppet();
    let [w, h] = puppet.member().canvas;
    let viewport = Viewport {
        width: (w * scale).round() as u32,
        height: (h * scale).round() as u32,
        to_pixels: Affine::scale([scale, scale]),
    };
    draw(figure, &viewport, background, true, &mut Scratch::default())
        .expect("a picture of sane size")
}

/// The members of the demo cast.
pub const DEMO: [&str; 3] = ["deckhand", "ship_dog", "mooring_bot"];

/// A demo member.
pub fn demo(name: &str) -> Staged {
    Staged::read(
        &Path::new(env!("CARGO_MANIFEST_DIR"))
            .join("rigs")
            .join(name),
    )
}

/// Rows of a reference table: comment lines and the heading dropped, split at commas.
pub fn rows(table: &str) -> impl Iterator<Item = Vec<&str>> {
    table
        .lines()
        .filter(|l| !l.starts_with('#') && !l.trim().is_empty())
        .skip(1)
        .map(|l| l.split(',').collect())
}
