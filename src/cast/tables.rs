//! Tables in tables of a file.

use toml::de::DeValue;

use super::field::Field;
use super::fields::Fields;
use super::report::Report;
use super::value::{not, not_that};
use crate::diag::{Span, quoted};

/// A table.
pub(super) fn table<'t>(field: &Field<'t>, what: &str, report: &mut Report) -> Option<Fields<'t>> {
    table_or(field, what, &field.hint(), report)
}

fn table_or<'t>(
    field: &Field<'t>,
    what: &str,
    hint: &str,
    report: &mut Report,
) -> Option<Fields<'t>> {
    if let DeValue::Table(table) = field.value {
        let keys = field.key.kind.keys().expect("a key of tables has theirs");
        return Some(Fields::open(what, field.name_span, table, keys, report));
    }
    not_that(field, what, "a table", hint, report);
    None
}

/// The tables in a table of tables, `[part.hand]` in `[part]`: each with its name.
pub(super) fn tables<'t>(
    root: &mut Fields<'t>,
    key: &str,
    report: &mut Report,
) -> Vec<(Field<'t>, Fields<'t>)> {
    let Some(field) = root.take(key) else {
        return Vec::new();
    };
    let hint = format!("write [{key}.name]");
    let Some(outer) = table_or(&field, &format!("[{key}]"), &hint, report) else {
        return Vec::new();
    };
    outer
        .all()
        .filter(|field| !is_left_out(field))
        .filter_map(|field| {
            let what = format!("[{key}.{}]", shown(field.name));
            // In short, where the key has such a form: its reader takes it from the field.
            if matches!(field.value, DeValue::Array(_)) && field.key.kind.counts().is_some() {
                let keys = field.key.kind.keys()?;
                return Some((field, Fields::none(what, field.name_span, keys)));
            }
            let mut inner = table_or(&field, &what, &hint, report)?;
            inner.called = format!("{key} {}", quoted(field.name));
            Some((field, inner))
        })
        .collect()
}

/// The entries of a table of tables that say `false`, where that can be said.
pub(super) fn left_out<'t>(
    root: &mut Fields<'t>,
    key: &str,
    report: &Report,
) -> Vec<(&'t str, Span)> {
    let Some(field) = root.take(key) else {
        return Vec::new();
    };
    let (DeValue::Table(table), Some(keys)) = (field.value, field.key.kind.keys()) else {
        return Vec::new();
    };
    let all = Fields::open(key, field.span, table, keys, report).all();
    all.filter(is_left_out)
        .map(|field| (field.name, field.name_span))
        .collect()
}

fn is_left_out(field: &Field<'_>) -> bool {
    matches!(field.value, DeValue::Boolean(false)) && field.key.kind.takes_no()
}

/// The tables of a list, `what` each; the list itself must be what was `wanted`.
pub(super) fn tables_of<'t>(
    field: &Field<'t>,
    what: &str,
    wanted: &str,
    report: &mut Report,
) -> Vec<Fields<'t>> {
    let Some(items) = field.items() else {
        not(field, &quoted(field.name), wanted, report);
        return Vec::new();
    };
    let mut all = Vec::new();
    for item in items {
        if let (DeValue::Table(table), Some(keys)) = (item.value, field.key.kind.keys()) {
            all.push(Fields::open(what, item.span, table, keys, report));
        } else {
            let what = format!("an entry of {}", quoted(field.name));
            not(&item, &what, "a table", report);
        }
    }
    all
}

/// A name as it stands in a header, shortened and made safe.
fn shown(name: &str) -> String {
    let quoted = quoted(name);
    let bare = !name.is_empty()
        && name
            .chars()
            .all(|c| c.is_ascii_alphanumeric() || c == '_' || c == '-');
    if bare {
        quoted.trim_matches('"').to_owned()
    } else {
        quoted
    }
}
