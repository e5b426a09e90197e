//! Numbers, paths and names as SVG writes them.

use std::fmt::Write as _;

use tiny_skia::{Path, PathSegment};

use crate::geom::{Affine, Region};

/// A number with at most `places` decimals, no trailing zeros.
pub(super) fn number(v: f64, places: usize) -> String {
    let mut s = format!("{v:.places$}");
    if s.contains('.') {
        s.truncate(s.trim_end_matches('0').trim_end_matches('.').len());
    }
    if s == "-0" { "0".into() } else { s }
}

/// A `transform` attribute; empty for the identity.
pub(super) fn transform(t: &Affine) -> String {
    if *t == Affine::IDENTITY {
        return String::new();
    }
    let linear = [t.a, t.b, t.c, t.d].map(|v| number(v, 8));
    let shift = [t.e, t.f].map(|v| number(v, 5));
    format!(
        " transform=\"matrix({} {})\"",
        linear.join(" "),
        shift.join(" ")
    )
}

/// Path data, curves kept.
pub(super) fn path(path: &Path) -> String {
    let mut d = String::new();
    for segment in path.segments() {
        // Writing to a String cannot fail.
        let _ = match segment {
            PathSegment::MoveTo(p) => write!(d, "M{} {}", p.x, p.y),
            PathSegment::LineTo(p) => write!(d, "L{} {}", p.x, p.y),
            PathSegment::QuadTo(c, p) => write!(d, "Q{} {} {} {}", c.x, c.y, p.x, p.y),
            PathSegment::CubicTo(c, e, p) => {
                write!(d, "C{} {} {} {} {} {}", c.x, c.y, e.x, e.y, p.x, p.y)
            }
            PathSegment::Close => write!(d, "Z"),
        };
    }
    d
}

/// Path data of a region's contours.
pub(super) fn region(region: &Region) -> String {
    let mut d = String::new();
    for contour in region.contours() {
        for (i, p) in contour.iter().enumerate() {
            let _ = write!(
                d,
                "{}{} {}",
                if i == 0 { 'M' } else { 'L' },
                number(p[0], 3),
                number(p[1], 3)
            );
        }
        d.push('Z');
    }
    d
}

/// Text that may stand in an attribute or an element. Characters that XML forbids become U+FFFD.
pub(super) fn escape(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\t' | '\n' | '\r' => out.push(' '),
            c if c < ' ' || matches!(c, '\u{fffe}' | '\u{ffff}') => out.push('\u{fffd}'),
            c => out.push(c),
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_short() {
        for (v, want) in [
            (1.0, "1"),
            (0.5, "0.5"),
            (-0.000_001, "0"),
            (1e5, "100000"),
            (-2.340, "-2.34"),
        ] {
            assert_eq!(number(v, 3), want);
        }
    }

    #[test]
    fn markup_is_escaped() {
        assert_eq!(
            escape("a<b & \"c\"\u{1}"),
            "a&lt;b &amp; &quot;c&quot;\u{fffd}"
        );
    }
}
