//! JSON Schema (draft 7) of each file, as editors and validators take it. What needs the rest of the show, a part that is
//! declared or an order of numbers, is for the parser alone.

use serde_json::{Map, Value, json};

use super::form::{LINE, NAME};
use super::{Bounds, FileKind, Key, Kind, Usual};
use crate::cast::SheetKind;
use crate::cast::sheet_kind::LISTED;

impl FileKind {
    /// The schema of such files, for editors.
    #[must_use]
    pub fn schema(self) -> Value {
        let mut schema = Map::new();
        schema.insert(
            "$schema".into(),
            "http://json-schema.org/draft-07/schema#".into(),
        );
        schema.insert("title".into(), format!("Layfig: {}", self.name()).into());
        schema.insert("description".into(), self.about().into());
        schema.append(&mut table(self.keys()));
        match self {
            Self::Rig => {
                // What describes views stands here, or in files of their own.
                let moved = Self::View.keys().iter().filter(|key| key.name != "check");
                let moved: Vec<Value> =
                    moved.map(|key| json!({ "required": [key.name] })).collect();
                schema.insert("required".into(), json!(["character"]));
                // What these do not name is allowed by them: some editors ask each on its own.
                let any =
                    |rule: (&str, Value)| json!({ (rule.0): rule.1, "additionalProperties": true });
                schema.insert("if".into(), any(("required", json!(["views"]))));
                schema.insert("then".into(), any(("not", json!({ "anyOf": moved }))));
                schema.insert("else".into(), any(("required", json!(["part"]))));
            }
            Self::Poses => {
                schema.insert("minProperties".into(), 1.into());
            }
            Self::View => {
                // A view that is like another says only some of it, and may leave out what the other has.
                let full = schema.get("properties").cloned();
                let required = schema.remove("required").unwrap_or_default();
                let mut some = Value::Object(schema);
                loosen(&mut some, 0);
                let whole = json!({
                    "properties": full, "additionalProperties": false, "required": required,
                });
                some["if"] = json!({ "required": ["like"], "additionalProperties": true });
                some["else"] = whole;
                return some;
            }
            Self::Cast => {}
        }
        Value::Object(schema)
    }
}

/// Takes out of a schema of tables in tables what must be there, and lets any of it be `false`.
fn loosen(schema: &mut Value, depth: usize) {
    let kinds = schema.get_mut("anyOf").and_then(Value::as_array_mut);
    for one in kinds.into_iter().flatten() {
        loosen(one, depth);
    }
    let Some(table) = schema.as_object_mut() else {
        return;
    };
    for key in ["required", "minProperties", "dependencies"] {
        table.remove(key);
    }
    for key in ["properties", "patternProperties"] {
        let named = table.get_mut(key).and_then(Value::as_object_mut);
        for (_, value) in named.into_iter().flatten() {
            if depth < 2 {
                loosen(value, depth + 1);
            }
            *value = json!({ "anyOf": [value.clone(), { "const": false }] });
        }
    }
}

/// A table with these keys.
fn table(keys: &'static [Key]) -> Map<String, Value> {
    let mut schema = Map::new();
    schema.insert("type".into(), "object".into());
    if keys[0].is_chosen() {
        let named = json!({ NAME: key(&keys[0]) });
        schema.insert("patternProperties".into(), named);
    } else {
        let named: Map<String, Value> = keys.iter().map(|k| (k.name.into(), key(k))).collect();
        schema.insert("properties".into(), named.into());
    }
    schema.insert("additionalProperties".into(), false.into());
    let must = keys.iter().filter(|key| key.usual == Usual::Must);
    let must: Vec<&str> = must.map(|key| key.name).collect();
    if !must.is_empty() {
        schema.insert("required".into(), must.into());
    }
    let mut beside = Map::new();
    for key in keys {
        if !key.beside.is_empty() {
            beside.insert(key.name.into(), key.beside.into());
        }
        if !key.without.is_empty() {
            let never = key.without.iter().map(|name| json!({ "required": [name] }));
            let never: Vec<Value> = never.collect();
            beside.insert(key.name.into(), json!({ "not": { "anyOf": never } }));
        }
    }
    if !beside.is_empty() {
        schema.insert("dependencies".into(), beside.into());
    }
    if keys[0].name == "kind" {
        schema.insert("allOf".into(), kinds_of_sheet(keys).into());
    }
    schema
}

/// What says nothing on a sheet of some kind.
fn kinds_of_sheet(keys: &'static [Key]) -> Vec<Value> {
    let listed = SheetKind::listed().zip(LISTED);
    listed
        .map(|(kind, name)| {
            let idle = keys.iter().filter(|key| !kind.takes(key.name));
            let idle: Map<String, Value> =
                idle.map(|key| (key.name.into(), false.into())).collect();
            json!({
                "if": { "properties": { "kind": { "const": name } }, "required": ["kind"] },
                "then": { "properties": idle },
            })
        })
        .collect()
}

/// A key's value, explained.
fn key(key: &'static Key) -> Value {
    let mut schema = Map::new();
    let mut about = key.about.to_owned();
    if let Usual::As(words) = key.usual {
        about = format!("{about} (default: {words})");
    }
    schema.insert("description".into(), about.into());
    schema.append(&mut kind(&key.kind));
    if key.usual == Usual::Must && key.kind.keys().is_some() {
        // A table that must be there must hold something.
        schema.insert("minProperties".into(), 1.into());
    }
    if let Some(usual) = key.usual.value() {
        schema.insert("default".into(), usual);
    }
    if !key.example.is_empty() {
        schema.insert("examples".into(), json!([key.value()]));
    }
    Value::Object(schema)
}

fn kind(kind: &'static Kind) -> Map<String, Value> {
    let schema = match kind {
        Kind::No => json!({ "const": false }),
        Kind::Flag => json!({ "type": "boolean" }),
        Kind::Number(bounds) => number("number", *bounds),
        Kind::Whole(bounds) => number("integer", *bounds),
        Kind::Above(most) => above(*most),
        Kind::Pair(bounds) => list(number("number", *bounds), [2, 2]),
        Kind::Sides(most) => list(above(*most), [2, 2]),
        Kind::Scale => {
            let mut one = number("number", super::FACTORS);
            one["not"] = json!({ "const": 0 });
            json!({ "anyOf": [one.clone(), list(one, [2, 2])] })
        }
        Kind::Words => json!({ "type": "string", "maxLength": 1000, "pattern": LINE }),
        Kind::Word(words) => json!({ "type": "string", "enum": words }),
        Kind::Text(form) => form.schema(),
        Kind::Texts(form, counts) if counts[0] > 1 => list(form.schema(), *counts),
        Kind::Texts(form, counts) => {
            json!({ "anyOf": [form.schema(), list(form.schema(), *counts)] })
        }
        // A date of TOML is text to JSON.
        Kind::Date => {
            let text = json!({ "type": "string", "pattern": "^([0-9]{4}-[0-9]{2}-[0-9]{2}|[0-9]{2}:[0-9]{2})" });
            let mut date = text.clone();
            date["format"] = "date".into();
            json!({ "anyOf": [text, date] })
        }
        Kind::List(item, counts) => list(Value::Object(self::kind(item)), *counts),
        Kind::Table(keys) => return table(keys),
        Kind::Any(kinds) => {
            let kinds: Vec<Value> = kinds.iter().map(|one| self::kind(one).into()).collect();
            json!({ "anyOf": kinds })
        }
    };
    match schema {
        Value::Object(schema) => schema,
        _ => Map::new(),
    }
}

fn above(most: f64) -> Value {
    json!({ "type": "number", "exclusiveMinimum": 0, "maximum": tidy(most) })
}

fn number(sort: &str, [least, most]: Bounds) -> Value {
    json!({ "type": sort, "minimum": tidy(least), "maximum": tidy(most) })
}

/// A whole number without `.0`.
#[expect(clippy::cast_possible_truncation, reason = "whole and small enough")]
fn tidy(number: f64) -> Value {
    if number.fract() == 0.0 && number.abs() < 1e16 {
        (number as i64).into()
    } else {
        number.into()
    }
}

fn list(item: Value, [least, most]: [usize; 2]) -> Value {
    let mut schema = json!({ "type": "array", "items": item, "minItems": least });
    if most < usize::MAX {
        schema["maxItems"] = most.into();
    }
    schema
}

impl Usual {
    /// What holds without the key, where that can be written.
    #[must_use]
    pub fn value(self) -> Option<Value> {
        match self {
            Self::Flag(flag) => Some(flag.into()),
            Self::Number(number) => Some(tidy(number)),
            Self::Pair(pair) => Some(pair.map(tidy).to_vec().into()),
            Self::Word(word) => Some(word.into()),
            Self::Must | Self::Nothing | Self::As(_) => None,
        }
    }
}

impl Key {
    /// The example as a value.
    fn value(&self) -> Value {
        let table = format!("value = {}", self.example).parse::<toml::Table>();
        let value = table.ok().and_then(|mut table| table.remove("value"));
        value.map_or(Value::Null, |value| json!(value))
    }
}

impl super::Form {
    fn schema(&self) -> Value {
        match self.pattern {
            "" => json!({ "type": "string" }),
            pattern => json!({ "type": "string", "pattern": pattern }),
        }
    }
}
