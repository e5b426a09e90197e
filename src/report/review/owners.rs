//! Maps of part owners as scripts: runs of one owner, in bytes, in base64.

use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use serde_json::{Value, json};

use super::data::literal;
use crate::draw::OwnerMap;

/// The file `owners/NUMBER.js`: who owned which pixel before and after, each with its parts' names.
#[must_use]
pub fn owners_js(
    number: usize,
    before: Option<(&OwnerMap, &[String])>,
    after: Option<(&OwnerMap, &[String])>,
) -> String {
    let value = json!({ "before": before.map(map), "after": after.map(map) });
    format!("layfigReview.owners.take({number}, {});\n", literal(&value))
}

fn map((map, parts): (&OwnerMap, &[String])) -> Value {
    json!({
        "width": map.width,
        "height": map.height,
        "parts": parts,
        "runs": STANDARD.encode(runs(&map.owners)),
    })
}

/// Owner and length, each seven bits a byte, low bits first, the high bit where more follow.
fn runs(owners: &[u16]) -> Vec<u8> {
    let mut out = Vec::new();
    for run in owners.chunk_by(|a, b| a == b) {
        number(run[0].into(), &mut out);
        number(run.len(), &mut out);
    }
    out
}

fn number(mut n: usize, out: &mut Vec<u8>) {
    while n >= 0x80 {
        out.push((n & 0x7f) as u8 | 0x80);
        n >>= 7;
    }
    out.push((n & 0x7f) as u8);
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn runs_are_owner_and_length() {
        assert_eq!(runs(&[]), [0_u8; 0]);
        assert_eq!(runs(&[0, 0, 0, 5, 5, 0]), [0, 3, 5, 2, 0, 1]);
        let mut wide = vec![0; 300];
        wide.push(200);
        // LEB128: 300 is 0xac 0x02 (DWARF 5, appendix C; value from memory), 200 is 0xc8 0x01.
        assert_eq!(runs(&wide), [0, 0xac, 0x02, 0xc8, 0x01, 1]);
    }
}
