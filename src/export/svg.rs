//! A figure as a standalone SVG document: curves stay curves, strokes stay strokes, and every cut is
//! a clip path. No filters, masks, scripts or outside references, so any SVG renderer draws the same.

use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::sync::Arc;

use base64::Engine as _;
use tiny_skia::{FillRule, LineCap, LineJoin, Pixmap, SpreadMode};

use super::text::{escape, number, path, region, transform};
use super::walk::{Form, Piece, Sink, walk};
use crate::art::{ClipShape, Gradient, Rgb, Source};
use crate::cast::{Keep, PartId};
use crate::geom::{Affine, Region};
use crate::solve::Figure;

/// Clip regions are flattened for a picture this many times the document's size.
const FINER: f64 = 4.0;
/// Beyond every canvas.
const FAR: f64 = 1e5;

impl Figure {
    /// The figure as a standalone SVG document of the canvas's size.
    #[must_use]
    pub fn to_svg(&self) -> String {
        svg(self, &self.model().member.name, 1.0, None)
    }
}

/// A figure as a standalone SVG document of the canvas's size times `scale`.
#[must_use]
pub fn svg(figure: &Figure, title: &str, scale: f64, background: Option<Rgb>) -> String {
    let [width, height] = figure.model().member.canvas;
    let area = [0.0, 0.0, width, height];
    svg_of(figure, title, area, scale, background)
}

/// The same of another area than the canvas: left, top, right, bottom, canvas units.
#[must_use]
pub fn svg_of(
    figure: &Figure,
    title: &str,
    area: [f64; 4],
    scale: f64,
    background: Option<Rgb>,
) -> String {
    let [left, top, right, bottom] = area;
    let (width, height) = (right - left, bottom - top);
    let mut writer = Writer {
        names: figure.part_names(),
        ..Writer::default()
    };
    walk(&figure.at(scale * FINER), scale, area, &mut writer);
    writer.end();
    let mut out = String::new();
    let [x, y, w, h] = [left, top, width, height].map(|v| number(v, 3));
    let _ = writeln!(
        out,
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{}\" height=\"{}\" viewBox=\"{x} {y} {w} {h}\">",
        number(width * scale, 3),
        number(height * scale, 3),
    );
    let _ = writeln!(out, "<title>{}</title>", escape(title));
    if !writer.defs.is_empty() {
        let _ = writeln!(out, "<defs>\n{}</defs>", writer.defs);
    }
    if let Some(rgb) = background {
        let corner = if [left, top] == [0.0; 2] {
            String::new()
        } else {
            format!(" x=\"{x}\" y=\"{y}\"")
        };
        let _ = writeln!(
            out,
            "<rect{corner} width=\"{w}\" height=\"{h}\" fill=\"{rgb}\"/>"
        );
    }
    out.push_str(&writer.body);
    out.push_str("</svg>\n");
    out
}

#[derive(Default)]
struct Writer<'a> {
    defs: String,
    body: String,
    /// Ids given so far.
    count: u32,
    /// Of the parts.
    names: Vec<&'a str>,
    /// How often each has been used as an id.
    used: BTreeMap<String, u32>,
    /// The part whose group is open.
    open: Option<PartId>,
}

impl Sink for Writer<'_> {
    /// The id of a `clipPath`.
    type Clip = String;

    fn begin(&mut self, part: PartId) {
        if self.open == Some(part) {
            return;
        }
        self.end();
        // With a number from the second appearance on: a garment shows once a host.
        let name = escape(self.names[part.at()]).replace(' ', "_");
        let n = self.used.entry(name.clone()).or_insert(0);
        *n += 1;
        let id = if *n == 1 { name } else { format!("{name}.{n}") };
        let _ = writeln!(self.body, "<g id=\"{id}\">");
        self.open = Some(part);
    }

    fn clip(&mut self, keep: Keep, area: &Arc<Region>, posed: &Affine) -> Option<String> {
        let id = self.next_id("clip");
        let around = match keep {
            Keep::Inside => String::new(),
            Keep::Outside => format!("M-{FAR} -{FAR}H{FAR}V{FAR}H-{FAR}Z"),
        };
        let _ = writeln!(
            self.defs,
            "<clipPath id=\"{id}\"><path d=\"{around}{}\" clip-rule=\"evenodd\"{}/></clipPath>",
            region(area),
            transform(posed),
        );
        Some(id)
    }

    fn art_clip(&mut self, clip: &ClipShape, posed: &Affine) -> Option<String> {
        let id = self.next_id("clip");
        let _ = write!(self.defs, "<clipPath id=\"{id}\">");
        for (outline, rule, to_canvas) in &clip.paths {
            let rule = match rule {
                FillRule::Winding => "nonzero",
                FillRule::EvenOdd => "evenodd",
            };
            let _ = write!(
                self.defs,
                "<path d=\"{}\" clip-rule=\"{rule}\"{}/>",
                path(outline),
                transform(&posed.after(*to_canvas)),
            );
        }
        self.defs.push_str("</clipPath>\n");
        Some(id)
    }

    fn put(&mut self, piece: &Piece<'_>, cuts: &[String], own: &[String]) {
        let element = self.element(piece);
        for id in cuts.iter().chain(own) {
            let _ = write!(self.body, "<g clip-path=\"url(#{id})\">");
        }
        self.body.push_str(&element);
        for _ in cuts.iter().chain(own) {
            self.body.push_str("</g>");
        }
        self.body.push('\n');
    }
}

impl Writer<'_> {
    fn end(&mut self) {
        if self.open.take().is_some() {
            self.body.push_str("</g>\n");
        }
    }

    fn next_id(&mut self, kind: &str) -> String {
        self.count += 1;
        format!("_{kind}{}", self.count)
    }

    fn element(&mut self, piece: &Piece<'_>) -> String {
        let faded = |name: &str| {
            if piece.opacity < 1.0 {
                let share = number(f64::from(piece.opacity), 4);
                format!(" {name}=\"{share}\"")
            } else {
                String::new()
            }
        };
        if let Form::Pixels(pixels, s, at) = &piece.form {
            return image(pixels, *s, *at, &faded("opacity"));
        }
        let source = match piece.source {
            Source::Solid(colour) => colour.rgb.to_string(),
            gradient => format!("url(#{})", self.gradient(gradient)),
        };
        let end = transform(&piece.posed);
        let crisp = if piece.crisp {
            " shape-rendering=\"crispEdges\""
        } else {
            ""
        };
        let filled = |d: &str, rule: &str| {
            let faded = faded("fill-opacity");
            format!("<path d=\"{d}\" fill=\"{source}\"{rule}{faded}{crisp}{end}/>")
        };
        let (outline, stroke, dash) = match piece.form {
            Form::Fill(outline, FillRule::Winding) => return filled(&path(outline), ""),
            Form::Fill(outline, FillRule::EvenOdd) => {
                return filled(&path(outline), " fill-rule=\"evenodd\"");
            }
            Form::Region(drawn) => return filled(&region(drawn), ""),
            Form::Line(outline, stroke, dash) => (outline, stroke, dash),
            Form::Pixels(..) => return String::new(),
        };
        let cap = match stroke.line_cap {
            LineCap::Butt => "",
            LineCap::Round => " stroke-linecap=\"round\"",
            LineCap::Square => " stroke-linecap=\"square\"",
        };
        let join = match stroke.line_join {
            LineJoin::Round => " stroke-linejoin=\"round\"".to_owned(),
            LineJoin::Bevel => " stroke-linejoin=\"bevel\"".to_owned(),
            _ => {
                let limit = number(f64::from(stroke.miter_limit), 4);
                format!(" stroke-miterlimit=\"{limit}\"")
            }
        };
        let dashes = dash.map_or(String::new(), |(lengths, offset)| {
            let lengths: Vec<String> = lengths.iter().map(f32::to_string).collect();
            let lengths = lengths.join(" ");
            format!(" stroke-dasharray=\"{lengths}\" stroke-dashoffset=\"{offset}\"")
        });
        format!(
            "<path d=\"{}\" fill=\"none\" stroke=\"{source}\" stroke-width=\"{}\"{cap}{join}{dashes}{}{crisp}{end}/>",
            path(outline),
            stroke.width,
            faded("stroke-opacity"),
        )
    }

    fn gradient(&mut self, source: &Source) -> String {
        let id = self.next_id("gradient");
        let (name, geometry, gradient): (&str, String, &Gradient) = match source {
            Source::Solid(_) => return id,
            Source::Linear(g, [x1, y1, x2, y2]) => (
                "linearGradient",
                format!("x1=\"{x1}\" y1=\"{y1}\" x2=\"{x2}\" y2=\"{y2}\""),
                g,
            ),
            Source::Radial(g, [fx, fy, fr, cx, cy, r]) => {
                let focus = if *fr > 0.0 {
                    format!(" fr=\"{fr}\"")
                } else {
                    String::new()
                };
                (
                    "radialGradient",
                    format!("cx=\"{cx}\" cy=\"{cy}\" r=\"{r}\" fx=\"{fx}\" fy=\"{fy}\"{focus}"),
                    g,
                )
            }
        };
        let spread = match gradient.spread {
            SpreadMode::Pad => "",
            SpreadMode::Reflect => " spreadMethod=\"reflect\"",
            SpreadMode::Repeat => " spreadMethod=\"repeat\"",
        };
        let place = transform(&Affine::from_skia(gradient.transform))
            .replace(" transform=", " gradientTransform=");
        let _ = write!(
            self.defs,
            "<{name} id=\"{id}\" gradientUnits=\"userSpaceOnUse\" {geometry}{spread}{place}>"
        );
        for (offset, colour, alpha) in &gradient.stops {
            let rgb = colour.rgb;
            let alpha = if *alpha < 1.0 {
                format!(" stop-opacity=\"{}\"", number(f64::from(*alpha), 4))
            } else {
                String::new()
            };
            let _ = write!(
                self.defs,
                "<stop offset=\"{offset}\" stop-color=\"{rgb}\"{alpha}/>"
            );
        }
        let _ = writeln!(self.defs, "</{name}>");
        id
    }
}

fn image(pixels: &Pixmap, s: f64, [x, y]: [f64; 2], faded: &str) -> String {
    let Ok(png) = pixels.encode_png() else {
        return String::new();
    };
    let (w, h) = (
        f64::from(pixels.width()) / s,
        f64::from(pixels.height()) / s,
    );
    let [x, y, w, h] = [x, y, w, h].map(|v| number(v, 5));
    format!(
        "<image x=\"{x}\" y=\"{y}\" width=\"{w}\" height=\"{h}\" preserveAspectRatio=\"none\"{faded} href=\"data:image/png;base64,{}\"/>",
        base64::engine::general_purpose::STANDARD.encode(png),
    )
}
