//! Names for what has none: from its place on the figure and its colour.

use svgtypes::Color;

use super::part::Shown;
use crate::art::{Rgb, Role, difference};

/// The colour names of CSS, one for each colour.
#[rustfmt::skip]
const NAMES: [&str; 138] = [
    "aliceblue", "antiquewhite", "aquamarine", "azure", "beige", "bisque", "black", "blanchedalmond",
    "blue", "blueviolet", "brown", "burlywood", "cadetblue", "chartreuse", "chocolate", "coral",
    "cornflowerblue", "cornsilk", "crimson", "cyan", "darkblue", "darkcyan", "darkgoldenrod", "darkgray",
    "darkgreen", "darkkhaki", "darkmagenta", "darkolivegreen", "darkorange", "darkorchid", "darkred", "darksalmon",
    "darkseagreen", "darkslateblue", "darkslategray", "darkturquoise", "darkviolet", "deeppink", "deepskyblue", "dimgray",
    "dodgerblue", "firebrick", "floralwhite", "forestgreen", "gainsboro", "ghostwhite", "gold", "goldenrod",
    "gray", "green", "greenyellow", "honeydew", "hotpink", "indianred", "indigo", "ivory",
    "khaki", "lavender", "lavenderblush", "lawngreen", "lemonchiffon", "lightblue", "lightcoral", "lightcyan",
    "lightgoldenrodyellow", "lightgray", "lightgreen", "lightpink", "lightsalmon", "lightseagreen", "lightskyblue", "lightslategray",
    "lightsteelblue", "lightyellow", "lime", "limegreen", "linen", "magenta", "maroon", "mediumaquamarine",
    "mediumblue", "mediumorchid", "mediumpurple", "mediumseagreen", "mediumslateblue", "mediumspringgreen", "mediumturquoise", "mediumvioletred",
    "midnightblue", "mintcream", "mistyrose", "moccasin", "navajowhite", "navy", "oldlace", "olive",
    "olivedrab", "orange", "orangered", "orchid", "palegoldenrod", "palegreen", "paleturquoise", "palevioletred",
    "papayawhip", "peachpuff", "peru", "pink", "plum", "powderblue", "purple",
    "red", "rosybrown", "royalblue", "saddlebrown", "salmon", "sandybrown", "seagreen", "seashell",
    "sienna", "silver", "skyblue", "slateblue", "slategray", "snow", "springgreen", "steelblue",
    "tan", "teal", "thistle", "tomato", "turquoise", "violet", "wheat", "white",
    "whitesmoke", "yellow", "yellowgreen",
];

/// The CSS colour name that is nearest to a colour.
#[must_use]
pub fn colour_name(rgb: Rgb) -> String {
    let named = NAMES.iter().filter_map(|name| {
        let c: Color = name.parse().ok()?;
        Some((name, Rgb([c.red, c.green, c.blue])))
    });
    let nearest = named.min_by(|a, b| {
        let off = |c: Rgb| difference(rgb, c);
        off(a.1).total_cmp(&off(b.1)).then_with(|| a.0.cmp(b.0))
    });
    nearest.map_or_else(|| "colour".to_owned(), |(name, _)| (*name).to_owned())
}

/// `upper_left_tomato`: where on the figure, and its largest colour.
#[must_use]
pub fn place_name(shown: &Shown, figure: [f64; 4]) -> String {
    let third = |k: usize, words: [&'static str; 3]| {
        let size = (figure[k + 2] - figure[k]).max(f64::MIN_POSITIVE);
        let at = (shown.middle()[k] - figure[k]) / size;
        if at < 1.0 / 3.0 {
            words[0]
        } else if at > 2.0 / 3.0 {
            words[2]
        } else {
            words[1]
        }
    };
    let mut colours = shown.colours(Role::Paint, None);
    colours.extend(shown.colours(Role::Ink, None));
    let colour = colours.first().map(|(rgb, _)| colour_name(*rgb));
    let (high, wide) = (
        third(1, ["upper", "middle", "lower"]),
        third(0, ["left", "middle", "right"]),
    );
    let mut words = vec![high];
    if wide != high {
        words.push(wide);
    }
    words.extend(colour.as_deref());
    words.join("_")
}

#[cfg(test)]
mod tests {
    use super::*;

    // SVG 1.1, section 4.4: 147 names, of which 9 are second names of a colour (aqua and fuchsia, seven greys with an e).
    #[test]
    fn every_colour_name_is_its_own_nearest() {
        assert_eq!(NAMES.len(), 138);
        for name in NAMES {
            let c: Color = name.parse().unwrap();
            assert_eq!(colour_name(Rgb([c.red, c.green, c.blue])), name);
        }
    }
}
