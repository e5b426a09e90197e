//! A PDF's drawing with no more digits than can be seen.

/// Places after the point that are kept, 1/72 inch: under 2 thousandths of a millimetre.
const PLACES: usize = 2;

/// The drawing, in which the points of paths that are given in page units lose digits. What is drawn
/// in units of its own, after `cm`, stays as it is.
pub(super) fn tidied(drawing: &[u8]) -> Vec<u8> {
    let mut out = Vec::with_capacity(drawing.len());
    // Whether units are the page's own, now and outside of each open `q`.
    let mut own = false;
    let mut outer = Vec::new();
    let mut numbers: Vec<&[u8]> = Vec::new();
    // What has not been written yet begins here.
    let mut pending = 0;
    let mut at = 0;
    while at < drawing.len() {
        let blank = drawing[at..].iter().take_while(|b| b.is_ascii_whitespace());
        at += blank.count();
        let length = drawing[at..]
            .iter()
            .take_while(|b| !b.is_ascii_whitespace())
            .count();
        let token = &drawing[at..at + length];
        let (start, end) = (at, at + length);
        at = end;
        if is_number(token) {
            if numbers.is_empty() {
                out.extend_from_slice(&drawing[pending..start]);
                pending = start;
            }
            numbers.push(token);
            continue;
        }
        match token {
            b"m" | b"l" | b"c" | b"v" | b"y" | b"re" if !own && !numbers.is_empty() => {
                for number in &numbers {
                    shorten(number, &mut out);
                    out.push(b' ');
                }
                pending = start;
            }
            b"q" => outer.push(own),
            b"Q" => own = outer.pop().unwrap_or(false),
            b"cm" => own = true,
            _ => {}
        }
        out.extend_from_slice(&drawing[pending..end]);
        pending = end;
        numbers.clear();
    }
    out.extend_from_slice(&drawing[pending..]);
    out
}

fn is_number(token: &[u8]) -> bool {
    let digits = token.strip_prefix(b"-").unwrap_or(token);
    digits.iter().any(u8::is_ascii_digit) && digits.iter().all(|b| b.is_ascii_digit() || *b == b'.')
}

/// Rounds a number that has too many places.
fn shorten(number: &[u8], out: &mut Vec<u8>) {
    let places = number.iter().rposition(|b| *b == b'.');
    let places = places.map_or(0, |at| number.len() - at - 1);
    let value = std::str::from_utf8(number).ok();
    let value = value.and_then(|text| text.parse::<f64>().ok());
    match value {
        Some(value) if places > PLACES => {
            let text = format!("{value:.PLACES$}");
            let text = text.trim_end_matches('0').trim_end_matches('.');
            let text = if text == "-0" { "0" } else { text };
            out.extend_from_slice(text.as_bytes());
        }
        _ => out.extend_from_slice(number),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn tidy(drawing: &str) -> String {
        String::from_utf8(tidied(drawing.as_bytes())).unwrap()
    }

    #[test]
    fn points_of_the_page_lose_digits() {
        assert_eq!(
            tidy("q 25.195503 508.53952 m -0.0004 3 l 1.999 -2.50001 0 1 2 3.14159 c\nh\nW*\nn\nQ"),
            "q 25.2 508.54 m 0 3 l 2 -2.5 0 1 2 3.14 c\nh\nW*\nn\nQ"
        );
    }

    #[test]
    fn all_else_stays_as_it_is() {
        for drawing in [
            "q 0.35993576 0 0 -0.3599006 0 595.2756 cm 0.1234 0.5 0.9876 rg 1.23456 7.891011 m\nh\nf\nQ",
            "BT /f0 7.123456 Tf 1 0 0 1 10.123456 20.654321 Tm[<0001> 12.3456 <0002>]TJ ET",
            "",
            "\n q Q Q 3.14159",
        ] {
            assert_eq!(tidy(drawing), drawing);
        }
        assert_eq!(
            tidy("q 2 0 0 2 0 0 cm 1.23456 2 m Q 1.23456 2 m"),
            "q 2 0 0 2 0 0 cm 1.23456 2 m Q 1.23 2 m",
            "units are those of the page again"
        );
    }
}
