//! Structural similarity: Z. Wang, A. C. Bovik, H. R. Sheikh, E. P. Simoncelli, "Image Quality
//! Assessment: From Error Visibility to Structural Similarity", IEEE TIP 13(4), 2004.

/// Side of the window, pixels.
pub const WINDOW: usize = 11;
const SIGMA: f64 = 1.5;
const C1: f64 = (0.01 * 255.0) * (0.01 * 255.0);
const C2: f64 = (0.03 * 255.0) * (0.03 * 255.0);

/// The sum of the index over all windows that lie in the picture whole, and their number. Two grey
/// pictures of one size, row by row, 0 to 255.
#[must_use]
pub fn sum(a: &[f64], b: &[f64], width: usize) -> (f64, usize) {
    let height = a.len() / width.max(1);
    if width < WINDOW || height < WINDOW {
        return (0.0, 0);
    }
    let weights = weights();
    let (columns, rows) = (width - WINDOW + 1, height - WINDOW + 1);
    // Each row is weighed along x once: means, squares and products.
    let along = |y: usize| -> Vec<[f64; 5]> {
        let (ra, rb) = (&a[y * width..][..width], &b[y * width..][..width]);
        (0..columns)
            .map(|x| {
                let mut sums = [0.0; 5];
                for (k, w) in weights.iter().enumerate() {
                    let (p, q) = (ra[x + k], rb[x + k]);
                    let terms = [p, q, p * p, q * q, p * q];
                    for (sum, term) in sums.iter_mut().zip(terms) {
                        *sum += w * term;
                    }
                }
                sums
            })
            .collect()
    };
    let mut ring: std::collections::VecDeque<Vec<[f64; 5]>> = (0..WINDOW - 1).map(along).collect();
    let mut total = 0.0;
    for y in 0..rows {
        ring.push_back(along(y + WINDOW - 1));
        for x in 0..columns {
            let mut s = [0.0; 5];
            for (row, w) in ring.iter().zip(&weights) {
                for (sum, term) in s.iter_mut().zip(row[x]) {
                    *sum += w * term;
                }
            }
            let [ma, mb, aa, bb, ab] = s;
            let (va, vb, both) = (aa - ma * ma, bb - mb * mb, ab - ma * mb);
            total += ((2.0 * ma * mb + C1) * (2.0 * both + C2))
                / ((ma * ma + mb * mb + C1) * (va + vb + C2));
        }
        ring.pop_front();
    }
    (total, rows * columns)
}

fn weights() -> [f64; WINDOW] {
    let mut w = [0.0; WINDOW];
    for (k, w) in w.iter_mut().enumerate() {
        let d = k as f64 - (WINDOW / 2) as f64;
        *w = libm::exp(-d * d / (2.0 * SIGMA * SIGMA));
    }
    let all: f64 = w.iter().sum();
    w.map(|w| w / all)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn clamp(v: i64) -> f64 {
        v.clamp(0, 255) as f64
    }

    /// The pictures of `tests/reference/ssim.csv`, by the formulas in its header.
    fn picture(name: &str, n: i64) -> (Vec<f64>, Vec<f64>) {
        let base = |x: i64, y: i64| (7 * x + 13 * y + (x * y) % 31) % 256;
        let disc = |x: i64, y: i64| {
            let (u, v) = (2 * x - n + 1, 2 * y - n + 1);
            if u * u + v * v <= n * n / 2 { 40 } else { 230 }
        };
        let all = |f: &dyn Fn(i64, i64) -> f64| {
            (0..n)
                .flat_map(|y| (0..n).map(move |x| (x, y)))
                .map(|(x, y)| f(x, y))
                .collect()
        };
        let a = |x: i64, y: i64| base(x, y) as f64;
        match name {
            "identical" => (all(&a), all(&a)),
            "noise17" => (
                all(&a),
                all(&|x, y| clamp(base(x, y) + (3 * x + 5 * y) % 17 - 8)),
            ),
            "invert" => (all(&a), all(&|x, y| (255 - base(x, y)) as f64)),
            "plus10" => (all(&a), all(&|x, y| clamp(base(x, y) + 10))),
            "const100_110" => (all(&|_, _| 100.0), all(&|_, _| 110.0)),
            "shift1" => (all(&a), all(&|x, y| base((x - 1).rem_euclid(n), y) as f64)),
            "disc" => (
                all(&|x, y| disc(x, y) as f64),
                all(&|x, y| disc(x, y) as f64),
            ),
            "disc_shift1" => (
                all(&|x, y| disc(x, y) as f64),
                all(&|x, y| disc(x - 1, y) as f64),
            ),
            other => panic!("{other}"),
        }
    }

    /// Values of scikit-image and of an independent numpy implementation (see the table's header).
    #[test]
    fn the_index_is_that_of_the_paper() {
        let table = include_str!("../../tests/reference/ssim.csv");
        let mut count = 0;
        for row in table.lines().filter(|l| !l.starts_with('#')).skip(1) {
            let v: Vec<&str> = row.split(',').collect();
            let n: i64 = v[1].parse().unwrap();
            let (a, b) = picture(v[0], n);
            assert_eq!(a.iter().sum::<f64>(), v[2].parse::<f64>().unwrap(), "{row}");
            assert_eq!(b.iter().sum::<f64>(), v[3].parse::<f64>().unwrap(), "{row}");
            let (total, windows) = sum(&a, &b, usize::try_from(n).unwrap());
            let found = total / windows as f64;
            assert!(
                (found - v[4].parse::<f64>().unwrap()).abs() < 1e-9,
                "{row}: {found}"
            );
            count += 1;
        }
        assert_eq!(count, 24);
    }
}
