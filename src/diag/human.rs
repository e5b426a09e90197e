//! Problems for people: the line, a caret, labels and a hint.

use std::ops::Range;

use annotate_snippets::renderer::DecorStyle;
use annotate_snippets::{Annotation, AnnotationKind, Group, Level, Origin, Renderer, Snippet};

use super::{Place, Position, Problem, Severity, Source, Sources, Span, clean, wrapped};

/// How problems look on a terminal.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Look {
    /// With ANSI colours.
    pub colour: bool,
    /// Words go on in further lines after so many columns, source lines are trimmed to them.
    pub width: usize,
}

impl Default for Look {
    /// No colours, 100 columns.
    fn default() -> Self {
        Self {
            colour: false,
            width: 100,
        }
    }
}

/// A label this many lines away or nearer is shown in one piece with the problem's own line.
const NEAR: usize = 200;
/// Of a line longer than this many bytes only the surroundings of the place are looked at.
const LONG: usize = 1 << 20;
/// How many bytes of such a line are looked at before and after the start of the place.
const AROUND: [usize; 2] = [1024, 2048];

/// The problem with its source line and a caret under the place; several lines, no line break at
/// the end.
#[must_use]
pub fn human(problem: &Problem, sources: &Sources, look: Look) -> String {
    let level = match problem.severity {
        Severity::Error => Level::ERROR,
        Severity::Warning => Level::WARNING,
    };
    let width = look.width.max(40);
    let fitted = |text: &str, before: usize| wrapped(&clean(text), width - before).join("\n");
    let before = match problem.severity {
        Severity::Error => "error: ".len(),
        Severity::Warning => "warning: ".len(),
    };
    let title = fitted(&problem.message, before);
    let mut group = Group::with_title(level.primary_title(title));
    let mut also: Vec<&(Span, String)> = problem.also.iter().collect();
    match &problem.place {
        Place::Span(span) => {
            group = show(group, *span, None, &mut also, sources);
        }
        Place::File(path) => {
            group = group.element(Origin::path(clean(&path.to_string_lossy())));
        }
        Place::Nowhere => {}
    }
    while !also.is_empty() {
        let (span, label) = also.remove(0);
        group = show(group, *span, Some(label), &mut also, sources);
    }
    if let Some(hint) = &problem.hint {
        // Before it stand numbers of lines and its name.
        let lines = hint
            .lines()
            .map(|line| fitted(line, "99999 = hint: ".len()));
        let hint = lines.collect::<Vec<_>>().join("\n");
        group = group.element(Level::HELP.with_name("hint").message(hint));
    }
    let renderer = if look.colour {
        Renderer::styled().hyperlink(false)
    } else {
        Renderer::plain()
    };
    renderer
        .decor_style(DecorStyle::Ascii)
        .term_width(width)
        .render(&[group])
}

/// Adds one piece of a file; takes from `also` what can be shown in the same piece.
/// The problem's own place has no label.
fn show<'a>(
    group: Group<'a>,
    span: Span,
    label: Option<&'a str>,
    also: &mut Vec<&'a (Span, String)>,
    sources: &'a Sources,
) -> Group<'a> {
    let Some(source) = sources.get(span.source) else {
        return group;
    };
    let own = on_one_line(source, span);
    let line = source.line_at(own.start);
    let kind = match label {
        None => AnnotationKind::Primary,
        Some(_) => AnnotationKind::Context,
    };
    let path = clean(&source.path.to_string_lossy());

    if source.line_range(line).len() > LONG {
        let part = around(source, &own);
        let at = Position::of(span, sources);
        let marks = own.start - part.start..own.end.min(part.end) - part.start;
        let origin = Origin::path(path).line(at.line).char_column(at.column);
        return group.element(origin).element(
            Snippet::source(&source.text[part])
                .line_start(at.line)
                .annotation(mark(kind, marks, label)),
        );
    }

    let mut first = line;
    let mut last = line;
    let mut marks = vec![(kind, own, label)];
    also.retain(|(other, label)| {
        let range = on_one_line(source, *other);
        let at = source.line_at(range.start);
        let near = other.source == span.source
            && at.abs_diff(line) <= NEAR
            && source.line_range(at).len() <= LONG;
        if near {
            first = first.min(at);
            last = last.max(at);
            marks.push((AnnotationKind::Context, range, Some(label.as_str())));
        }
        !near
    });
    let piece = source.line_range(first).start..source.line_range(last).end;
    let snippet = Snippet::source(&source.text[piece.clone()])
        .path(path)
        .line_start(first + 1)
        .annotations(marks.into_iter().map(|(kind, range, label)| {
            let range = range.start - piece.start..range.end - piece.start;
            mark(kind, range, label)
        }));
    group.element(snippet)
}

fn mark(kind: AnnotationKind, range: Range<usize>, label: Option<&str>) -> Annotation<'_> {
    let mark = kind.span(range);
    match label {
        Some(label) => mark.label(clean(label)),
        None => mark,
    }
}

/// The bytes of a span as far as they lie on its first line, at the borders of letters.
fn on_one_line(source: &Source, span: Span) -> Range<usize> {
    let start = source.text.floor_char_boundary(span.start as usize);
    let line = source.line_range(source.line_at(start));
    let start = start.min(line.end);
    let end = source.text.ceil_char_boundary(span.end as usize);
    start..end.clamp(start, line.end)
}

/// The surroundings of a place in a very long line.
fn around(source: &Source, place: &Range<usize>) -> Range<usize> {
    let line = source.line_range(source.line_at(place.start));
    let before = place.start.saturating_sub(AROUND[0]).max(line.start);
    let after = (place.start + AROUND[1]).min(line.end);
    source.text.floor_char_boundary(before)..source.text.floor_char_boundary(after)
}
