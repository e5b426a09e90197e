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
    let sum: u64 = a.iter().zip(b).map(|(x, y)| u64::from(x.abs_diff(*y))).sum();
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
            for (dx, dy) in [(-1, -1), (0, -1), (1, -1), (-1, 0), (1, 0), (-1, 1), (0, 1), (1, 1)] {
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
    Difference { mean: sum as f64 / a.len() as f64, blob, at }
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
                    sum += u32::from(large.data()[(y + dy) as usize * stride + (x + dx) as usize * 4 + c]);
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
            d[c] = x[c].abs_diff(y[c]).max(x[3].abs_diff(y[3])).saturating_mul(4);
        }
        d[3] = 255;
    }
    let paint = tiny_skia::PixmapPaint::default();
    for (i, p) in [a, b, &delta].into_iter().enumerate() {
        out.draw_pixmap((w * i as u32) as i32, 0, p.as_ref(), &paint, tiny_skia::Transform::identity(), None);
    }
    let dir = std::path::Path::new(env!("CARGO_TARGET_TMPDIR")).join("evidence");
    std::fs::create_dir_all(&dir).expect("a folder for evidence");
    let path = dir.join(format!("{}.png", name.replace(['/', ' '], "-")));
    out.save_png(&path).expect("evidence is written");
    path
}
