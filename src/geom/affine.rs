//! Affine transforms in f64 with trigonometry that is bit-equal on every platform.

/// A point or a vector, `[x, y]`, y down.
pub type Point = [f64; 2];

/// `x' = a x + c y + e`, `y' = b x + d y + f`: the order of SVG's `matrix(a b c d e f)`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Affine {
    /// x scale.
    pub a: f64,
    /// y from x.
    pub b: f64,
    /// x from y.
    pub c: f64,
    /// y scale.
    pub d: f64,
    /// x shift.
    pub e: f64,
    /// y shift.
    pub f: f64,
}

impl Default for Affine {
    fn default() -> Self {
        Self::IDENTITY
    }
}

impl Affine {
    /// Leaves every point where it is.
    pub const IDENTITY: Self = Self {
        a: 1.0,
        b: 0.0,
        c: 0.0,
        d: 1.0,
        e: 0.0,
        f: 0.0,
    };

    /// A shift.
    #[must_use]
    pub const fn translate(v: Point) -> Self {
        Self {
            a: 1.0,
            b: 0.0,
            c: 0.0,
            d: 1.0,
            e: v[0],
            f: v[1],
        }
    }

    /// A scale about the origin.
    #[must_use]
    pub const fn scale(s: Point) -> Self {
        Self {
            a: s[0],
            b: 0.0,
            c: 0.0,
            d: s[1],
            e: 0.0,
            f: 0.0,
        }
    }

    /// A turn about the origin, degrees, positive clockwise on screen (y down).
    #[must_use]
    pub fn turn(degrees: f64) -> Self {
        let (sin, cos) = sin_cos_degrees(degrees);
        Self {
            a: cos,
            b: sin,
            c: -sin,
            d: cos,
            e: 0.0,
            f: 0.0,
        }
    }

    /// A skew about the origin, both ways at once: x grows by y times the tangent of the first angle, y by x
    /// times that of the second. SVG's `skewX` and `skewY` one after the other are something else.
    #[must_use]
    pub fn skew(degrees: Point) -> Self {
        let tan = |d: f64| {
            let (s, c) = sin_cos_degrees(d);
            s / c
        };
        Self {
            a: 1.0,
            b: tan(degrees[1]),
            c: tan(degrees[0]),
            d: 1.0,
            e: 0.0,
            f: 0.0,
        }
    }

    /// `self` after `first`.
    #[must_use]
    pub fn after(self, first: Self) -> Self {
        Self {
            a: self.a * first.a + self.c * first.b,
            b: self.b * first.a + self.d * first.b,
            c: self.a * first.c + self.c * first.d,
            d: self.b * first.c + self.d * first.d,
            e: self.a * first.e + self.c * first.f + self.e,
            f: self.b * first.e + self.d * first.f + self.f,
        }
    }

    /// The image of a point.
    #[inline]
    #[must_use]
    pub fn apply(&self, p: Point) -> Point {
        [
            self.a * p[0] + self.c * p[1] + self.e,
            self.b * p[0] + self.d * p[1] + self.f,
        ]
    }

    /// Signed area ratio.
    #[must_use]
    pub fn determinant(&self) -> f64 {
        self.a * self.d - self.b * self.c
    }

    /// The way back, or `None` when the transform flattens the plane.
    #[must_use]
    pub fn inverse(&self) -> Option<Self> {
        let det = self.determinant();
        if !det.is_finite() || det == 0.0 {
            return None;
        }
        let inv = 1.0 / det;
        if !inv.is_finite() {
            return None;
        }
        Some(Self {
            a: self.d * inv,
            b: -self.b * inv,
            c: -self.c * inv,
            d: self.a * inv,
            e: (self.c * self.f - self.d * self.e) * inv,
            f: (self.b * self.e - self.a * self.f) * inv,
        })
    }

    /// The largest length that a unit vector can take: the larger singular value.
    #[must_use]
    pub fn max_scale(&self) -> f64 {
        let e = (self.a + self.d) * 0.5;
        let f = (self.a - self.d) * 0.5;
        let g = (self.b + self.c) * 0.5;
        let h = (self.b - self.c) * 0.5;
        libm::sqrt(e * e + h * h) + libm::sqrt(f * f + g * g)
    }

    /// True when every number is finite.
    #[must_use]
    pub fn is_finite(&self) -> bool {
        [self.a, self.b, self.c, self.d, self.e, self.f]
            .iter()
            .all(|v| v.is_finite())
    }

    /// As tiny-skia's single-precision transform.
    #[must_use]
    #[expect(clippy::cast_possible_truncation, reason = "tiny-skia works in f32")]
    pub fn to_skia(self) -> tiny_skia::Transform {
        tiny_skia::Transform::from_row(
            self.a as f32,
            self.b as f32,
            self.c as f32,
            self.d as f32,
            self.e as f32,
            self.f as f32,
        )
    }

    /// From tiny-skia's single-precision transform.
    #[must_use]
    pub fn from_skia(t: tiny_skia::Transform) -> Self {
        Self {
            a: f64::from(t.sx),
            b: f64::from(t.ky),
            c: f64::from(t.kx),
            d: f64::from(t.sy),
            e: f64::from(t.tx),
            f: f64::from(t.ty),
        }
    }
}

/// Sine and cosine of an angle in degrees; exact at every multiple of 90.
#[must_use]
pub fn sin_cos_degrees(degrees: f64) -> (f64, f64) {
    let d = libm::fmod(degrees, 360.0);
    let d = if d < 0.0 { d + 360.0 } else { d };
    if d == 0.0 {
        (0.0, 1.0)
    } else if d == 90.0 {
        (1.0, 0.0)
    } else if d == 180.0 {
        (0.0, -1.0)
    } else if d == 270.0 {
        (-1.0, 0.0)
    } else {
        let r = d.to_radians();
        (libm::sin(r), libm::cos(r))
    }
}
