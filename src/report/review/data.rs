//! The review as a script that hands it to the page.

use serde_json::{Map, Value, json};

use super::types::{Entry, Review};

/// The file `data.js`.
#[must_use]
pub fn data_js(review: &Review) -> String {
    let causes: Vec<Value> = review
        .causes
        .iter()
        .map(|c| json!({ "member": c.member, "subject": c.subject, "text": c.text }))
        .collect();
    let entries: Vec<Value> = review.entries.iter().map(entry).collect();
    let value = json!({
        "title": review.title,
        "engine": review.engine,
        "causes": causes,
        "entries": entries,
    });
    format!("layfigReview.start({});\n", literal(&value))
}

/// Only what is there is told: with thousands of poses the rest would be most of the file.
fn entry(entry: &Entry) -> Value {
    let mut map = Map::new();
    for (name, text) in [
        ("member", &entry.member),
        ("view", &entry.view),
        ("list", &entry.list),
        ("pose", &entry.pose),
        ("key", &entry.key),
    ] {
        map.insert(name.to_owned(), json!(text));
    }
    map.insert("state".to_owned(), json!(entry.state));
    map.insert("size".to_owned(), json!(entry.size));
    for (name, text) in [
        ("note", &entry.note),
        ("reason", &entry.reason),
        ("rejected", &entry.rejected),
        ("approved", &entry.approved),
        ("picture", &entry.picture),
    ] {
        if let Some(text) = text {
            map.insert(name.to_owned(), json!(text));
        }
    }
    if entry.more_regions > 0 {
        map.insert("more".to_owned(), json!(entry.more_regions));
    }
    if entry.amount.is_finite() && entry.amount > 0.0 {
        map.insert("amount".to_owned(), json!(entry.amount));
    }
    let mut list = |name: &str, values: Vec<Value>| {
        if !values.is_empty() {
            map.insert(name.to_owned(), Value::Array(values));
        }
    };
    list(
        "figures",
        entry
            .figures
            .iter()
            .map(|f| json!([f.label, f.value, f.limit]))
            .collect(),
    );
    list(
        "regions",
        entry
            .regions
            .iter()
            .map(|r| {
                json!([
                    r.area[0], r.area[1], r.area[2], r.area[3], r.pixels, r.parts
                ])
            })
            .collect(),
    );
    list(
        "parts",
        entry
            .parts
            .iter()
            .map(|p| json!([p.part, p.change, p.area]))
            .collect(),
    );
    list(
        "causes",
        entry
            .causes
            .iter()
            .map(|(c, share)| json!([c, share]))
            .collect(),
    );
    list(
        "looks",
        entry.looks.iter().map(|l| json!(l.word())).collect(),
    );
    if entry.owners {
        map.insert("owners".to_owned(), json!(true));
    }
    Value::Object(map)
}

/// JSON that is safe as a script wherever it is put, in a page as well as in a file.
pub(super) fn literal(value: &Value) -> String {
    let text = value.to_string();
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        // These stand in strings only.
        match c {
            '<' => out.push_str("\\u003c"),
            '>' => out.push_str("\\u003e"),
            '&' => out.push_str("\\u0026"),
            '\u{2028}' => out.push_str("\\u2028"),
            '\u{2029}' => out.push_str("\\u2029"),
            c => out.push(c),
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_in_a_name_ends_the_script() {
        let value = json!({ "pose": "</script><!--\u{2028}&\"\\" });
        let text = literal(&value);
        for bad in ["<", ">", "&", "\u{2028}"] {
            assert!(!text.contains(bad), "{text}");
        }
        assert_eq!(serde_json::from_str::<Value>(&text).unwrap(), value);
    }

    #[test]
    fn what_is_empty_is_left_out() {
        let review = Review {
            entries: vec![Entry::default()],
            ..Review::default()
        };
        let text = data_js(&review);
        assert!(
            !text.contains("regions") && !text.contains("amount"),
            "{text}"
        );
        assert!(text.starts_with("layfigReview.start({"));
    }
}
