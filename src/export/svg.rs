//! A figure as a standalone SVG document: curves stay curves, strokes stay strokes, and every cut is
//! a clip path. No filters, masks, scripts or outside references, so any SVG renderer draws the same.

use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::sync::Arc;

use base64::Engine as _;

use super::text::{escape, number, path, region, transform};
use crate::art::{Gradient, Outline, RasterArt, Rgb, Shape, Source};
use crate::cast::Keep;
use crate::geom::{Affine, Region};
use crate::solve::{Cut, Detail, Figure, Layer, Trim};

/// Clip regions are flattened for a picture this many times the document's size.
const FINER: f64 = 4.0;
/// Raster art is drawn for a picture this many times the document's size.
const RASTER: f64 = 2.0;
/// How far ink in its own colour runs on under a trim, document pixels: edges that only meet would
/// let what lies beneath shine through.
const LAP: f64 = 0.75;
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
        figure,
        detail: figure.detail(scale * FINER),
        area,
        scale,
        defs: String::new(),
        body: String::new(),
        clips: BTreeMap::new(),
        count: 0,
        names: BTreeMap::new(),
    };
    writer.layers();
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

struct Writer<'a> {
    figure: &'a Figure,
    detail: Arc<Detail>,
    /// Left, top, right, bottom, canvas units.
    area: [f64; 4],
    scale: f64,
    defs: String,
    body: String,
    /// Clip paths that several layers share. `None`: nothing to clip.
    clips: BTreeMap<Cut, Clip>,
    count: u32,
    /// How often each part's name has been used as an id.
    names: BTreeMap<String, u32>,
}

/// What a clip comes to.
#[derive(Clone, Debug)]
enum Clip {
    /// Everything passes.
    All,
    /// Nothing passes.
    Nothing,
    /// What the clip path with this id passes.
    Path(String),
}

impl Writer<'_> {
    fn layers(&mut self) {
        let mut open = None;
        for layer in self.figure.layers() {
            if open != Some(layer.part) {
                if open.is_some() {
                    self.body.push_str("</g>\n");
                }
                let id = self.part_id(layer);
                let _ = writeln!(self.body, "<g id=\"{id}\">");
                open = Some(layer.part);
            }
            self.layer(layer);
        }
        if open.is_some() {
            self.body.push_str("</g>\n");
        }
    }

    /// A part's name, with a number from its second appearance on: a garment shows once a host.
    fn part_id(&mut self, layer: &Layer) -> String {
        let name = escape(self.figure.model().name(layer.part)).replace(' ', "_");
        let n = self.names.entry(name.clone()).or_insert(0);
        *n += 1;
        if *n == 1 { name } else { format!("{name}.{n}") }
    }

    fn next_id(&mut self, kind: &str) -> String {
        self.count += 1;
        format!("_{kind}{}", self.count)
    }

    fn layer(&mut self, layer: &Layer) {
        let shape = self.figure.shape(layer);
        let mut clips: Vec<String> = Vec::new();
        for &cut in &layer.cuts {
            match self.cut(layer, cut) {
                Clip::All => {}
                Clip::Nothing => return,
                Clip::Path(id) => clips.push(id),
            }
        }
        for clip in &shape.clips {
            let id = self.next_id("clip");
            let _ = write!(self.defs, "<clipPath id=\"{id}\">");
            for (outline, rule, to_canvas) in &clip.paths {
                let t = transform(&layer.posed.after(*to_canvas));
                let _ = write!(
                    self.defs,
                    "<path d=\"{}\" clip-rule=\"{}\"{t}/>",
                    path(outline),
                    rule_name(*rule)
                );
            }
            self.defs.push_str("</clipPath>\n");
            clips.push(id);
        }
        if layer.trims.is_empty() {
            let element = self.element(layer, shape, None);
            self.put(&element, &clips);
            return;
        }
        // Ink in its own colour stops a little inside the garments; each trim stops a little inside
        // the later ones.
        let regions: Vec<(Arc<Region>, Affine)> = layer
            .trims
            .iter()
            .map(|t| self.figure.trim_region(&self.detail, t))
            .collect();
        let inner: Vec<Clip> = regions
            .iter()
            .map(|(r, posed)| {
                let lap = LAP / (self.scale * posed.max_scale().max(1e-6));
                let less = r.shrunk(lap, 0.05 / self.scale);
                self.clip(Keep::Outside, &less, posed)
            })
            .collect();
        for k in 0..=layer.trims.len() {
            let mut here = clips.clone();
            let mut nothing = false;
            if let Some((region, posed)) = k.checked_sub(1).and_then(|j| regions.get(j)) {
                match self.clip(Keep::Inside, region, posed) {
                    Clip::Path(id) => here.push(id),
                    Clip::Nothing => nothing = true,
                    Clip::All => {}
                }
            }
            for later in &inner[k..] {
                match later {
                    Clip::Path(id) => here.push(id.clone()),
                    Clip::Nothing => nothing = true,
                    Clip::All => {}
                }
            }
            if nothing {
                continue;
            }
            let trim: Option<&Trim> = k.checked_sub(1).map(|j| &layer.trims[j]);
            let element = self.element(layer, shape, trim.map(|t| t.colour));
            self.put(&element, &here);
        }
    }

    fn put(&mut self, element: &str, clips: &[String]) {
        for id in clips {
            let _ = write!(self.body, "<g clip-path=\"url(#{id})\">");
        }
        self.body.push_str(element);
        for _ in clips {
            self.body.push_str("</g>");
        }
        self.body.push('\n');
    }

    fn cut(&mut self, layer: &Layer, cut: Cut) -> Clip {
        if let Some(known) = self.clips.get(&cut) {
            return known.clone();
        }
        let Some(found) = self.figure.cut_region(&self.detail, layer, cut) else {
            return Clip::All;
        };
        let clip = self.clip(found.keep, &found.region, &found.posed);
        if !matches!(cut, Cut::LaterPaint { .. }) {
            self.clips.insert(cut, clip.clone());
        }
        clip
    }

    fn clip(&mut self, keep: Keep, area: &Region, posed: &Affine) -> Clip {
        if area.is_empty() {
            return if keep == Keep::Inside {
                Clip::Nothing
            } else {
                Clip::All
            };
        }
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
        Clip::Path(id)
    }

    /// A shape as one element; `colour` overrides its own.
    fn element(&mut self, layer: &Layer, shape: &Shape, colour: Option<Rgb>) -> String {
        let posed = layer.posed.after(shape.to_canvas);
        if let Outline::Raster(raster) = &shape.outline {
            return self.image(self.figure.raster(layer, raster), &posed, shape.opacity);
        }
        let (source, alpha) = match (colour, &shape.source) {
            (Some(rgb), _) => (rgb.to_string(), shape.opacity),
            (None, Source::Solid(c)) => (self.figure.colour(c).to_string(), shape.opacity),
            (None, gradient) => (format!("url(#{})", self.gradient(gradient)), shape.opacity),
        };
        let crisp = if shape.crisp {
            " shape-rendering=\"crispEdges\""
        } else {
            ""
        };
        let faded = |name: &str| {
            if alpha < 1.0 {
                format!(" {name}=\"{}\"", number(f64::from(alpha), 4))
            } else {
                String::new()
            }
        };
        match &shape.outline {
            Outline::Fill {
                path: outline,
                rule,
            } => {
                let rule = match rule {
                    tiny_skia::FillRule::Winding => "",
                    tiny_skia::FillRule::EvenOdd => " fill-rule=\"evenodd\"",
                };
                format!(
                    "<path d=\"{}\" fill=\"{source}\"{rule}{}{crisp}{}/>",
                    path(outline),
                    faded("fill-opacity"),
                    transform(&posed),
                )
            }
            Outline::Stroke { stroke, .. }
                if stroke.line_join == tiny_skia::LineJoin::MiterClip =>
            {
                // SVG 2 has this join, most renderers have not: its outline says the same.
                let drawn = self.figure.regions(&self.detail, layer.art);
                format!(
                    "<path d=\"{}\" fill=\"{source}\"{}{crisp}{}/>",
                    region(&drawn.shapes[layer.shape]),
                    faded("fill-opacity"),
                    transform(&layer.posed),
                )
            }
            Outline::Stroke {
                path: outline,
                stroke,
                dash,
            } => {
                let cap = match stroke.line_cap {
                    tiny_skia::LineCap::Butt => "",
                    tiny_skia::LineCap::Round => " stroke-linecap=\"round\"",
                    tiny_skia::LineCap::Square => " stroke-linecap=\"square\"",
                };
                let join = match stroke.line_join {
                    tiny_skia::LineJoin::Round => " stroke-linejoin=\"round\"".to_owned(),
                    tiny_skia::LineJoin::Bevel => " stroke-linejoin=\"bevel\"".to_owned(),
                    _ => format!(
                        " stroke-miterlimit=\"{}\"",
                        number(f64::from(stroke.miter_limit), 4)
                    ),
                };
                let dashes = dash.as_ref().map_or(String::new(), |(lengths, offset)| {
                    let lengths: Vec<String> = lengths.iter().map(f32::to_string).collect();
                    format!(
                        " stroke-dasharray=\"{}\" stroke-dashoffset=\"{offset}\"",
                        lengths.join(" ")
                    )
                });
                format!(
                    "<path d=\"{}\" fill=\"none\" stroke=\"{source}\" stroke-width=\"{}\"{cap}{join}{dashes}{}{crisp}{}/>",
                    path(outline),
                    stroke.width,
                    faded("stroke-opacity"),
                    transform(&posed),
                )
            }
            Outline::Raster(_) => String::new(),
        }
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
            tiny_skia::SpreadMode::Pad => "",
            tiny_skia::SpreadMode::Reflect => " spreadMethod=\"reflect\"",
            tiny_skia::SpreadMode::Repeat => " spreadMethod=\"repeat\"",
        };
        let place = transform(&Affine::from_skia(gradient.transform))
            .replace(" transform=", " gradientTransform=");
        let _ = write!(
            self.defs,
            "<{name} id=\"{id}\" gradientUnits=\"userSpaceOnUse\" {geometry}{spread}{place}>"
        );
        for (offset, colour, alpha) in &gradient.stops {
            let rgb = self.figure.colour(colour);
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

    /// Raster art, drawn in its pose and embedded.
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "clamped"
    )]
    fn image(&self, raster: &RasterArt, posed: &Affine, opacity: f32) -> String {
        let [left, top, right, bottom] = self.area;
        let s = self.scale * RASTER;
        let side = |v: f64| libm::ceil(v * s).clamp(1.0, 16_384.0) as u32;
        let to_pixels = Affine::scale([s, s]).after(Affine::translate([-left, -top]));
        let Some(drawn) = raster.draw(
            &to_pixels.after(*posed),
            side(right - left),
            side(bottom - top),
        ) else {
            return String::new();
        };
        let Ok(png) = drawn.pixels.encode_png() else {
            return String::new();
        };
        let units = |v: f64, from: f64| number(from + v / s, 5);
        let faded = if opacity < 1.0 {
            format!(" opacity=\"{}\"", number(f64::from(opacity), 4))
        } else {
            String::new()
        };
        format!(
            "<image x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\" preserveAspectRatio=\"none\"{faded} href=\"data:image/png;base64,{}\"/>",
            units(f64::from(drawn.x), left),
            units(f64::from(drawn.y), top),
            units(f64::from(drawn.pixels.width()), 0.0),
            units(f64::from(drawn.pixels.height()), 0.0),
            base64::engine::general_purpose::STANDARD.encode(png),
        )
    }
}

const fn rule_name(rule: tiny_skia::FillRule) -> &'static str {
    match rule {
        tiny_skia::FillRule::Winding => "nonzero",
        tiny_skia::FillRule::EvenOdd => "evenodd",
    }
}
