//! Problems as JSON, one object per line.

use serde_json::{Map, Value};

use super::{Place, Position, Problem, Sources, Span};

/// One JSON object on one line, without a line break: `severity`, `message`, `file`, `line`,
/// `column`, `end_line`, `end_column`, `hint` (null where there is none) and `also`, a list of
/// objects with `file`, `line`, `column`, `end_line`, `end_column` and `label`. Lines and columns
/// are those of [`Position`].
#[must_use]
pub fn json(problem: &Problem, sources: &Sources) -> String {
    let mut object = Map::new();
    object.insert("severity".into(), problem.severity.word().into());
    object.insert("message".into(), problem.message.as_str().into());
    match &problem.place {
        Place::Span(span) => place(&mut object, *span, sources),
        Place::File(path) => no_place(&mut object, path.to_string_lossy().into()),
        Place::Nowhere => no_place(&mut object, Value::Null),
    }
    object.insert("hint".into(), problem.hint.as_deref().into());
    let also = problem.also.iter().map(|(span, label)| {
        let mut object = Map::new();
        place(&mut object, *span, sources);
        object.insert("label".into(), label.as_str().into());
        Value::Object(object)
    });
    object.insert("also".into(), also.collect());
    Value::Object(object).to_string()
}

fn place(object: &mut Map<String, Value>, span: Span, sources: &Sources) {
    let Some(source) = sources.get(span.source) else {
        no_place(object, Value::Null);
        return;
    };
    let at = Position::of(span, sources);
    let file = source.path.to_string_lossy();
    object.insert("file".into(), file.into());
    object.insert("line".into(), at.line.into());
    object.insert("column".into(), at.column.into());
    object.insert("end_line".into(), at.end_line.into());
    object.insert("end_column".into(), at.end_column.into());
}

fn no_place(object: &mut Map<String, Value>, file: Value) {
    object.insert("file".into(), file);
    for key in ["line", "column", "end_line", "end_column"] {
        object.insert(key.into(), Value::Null);
    }
}

#[cfg(test)]
mod tests {
    use std::path::Path;

    use super::*;

    #[test]
    fn a_problem_is_one_line_of_json() {
        let mut sources = Sources::default();
        let source = sources.add("a.toml", "one\ntwo\n");
        let one = Span {
            source,
            start: 0,
            end: 3,
        };
        let two = Span {
            source,
            start: 4,
            end: 7,
        };
        let problem = Problem::error(two, "a \"bad\"\nthing")
            .hint("no")
            .also(one, "first");
        assert_eq!(
            json(&problem, &sources),
            concat!(
                r#"{"severity":"error","message":"a \"bad\"\nthing","file":"a.toml","line":2,"column":1,"#,
                r#""end_line":2,"end_column":4,"hint":"no","also":[{"file":"a.toml","line":1,"column":1,"#,
                r#""end_line":1,"end_column":4,"label":"first"}]}"#
            )
        );
    }

    #[test]
    fn what_is_unknown_is_null() {
        let sources = Sources::default();
        assert_eq!(
            json(&Problem::warning(Path::new("b.svg"), "odd"), &sources),
            concat!(
                r#"{"severity":"warning","message":"odd","file":"b.svg","line":null,"column":null,"#,
                r#""end_line":null,"end_column":null,"hint":null,"also":[]}"#
            )
        );
        assert!(json(&Problem::error(Place::Nowhere, "x"), &sources).contains(r#""file":null"#));
    }
}
