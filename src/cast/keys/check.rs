//! `[check]`: a row for each measure, in the order of [`Measure`](crate::cast::Measure). The limits are our own,
//! from looking at what a viewer notices at the size of a picture; there is no source.

use super::{Key, Kind, Usual, joined};

/// Two limits, or off.
const LIMITS: Kind = Kind::Any(&[Kind::Pair([0.0, 1e6]), Kind::Word(&["off"])]);

const fn row(
    name: &'static str,
    limits: [f64; 2],
    example: &'static str,
    about: &'static str,
) -> Key {
    Key::new(name, LIMITS, example, about).usual(Usual::Pair(limits))
}

/// Warning limit, error limit; where less is worse, the error limit is the smaller one.
#[rustfmt::skip]
pub(in crate::cast) const MEASURES: &[Key] = &[
    row("jut", [6.0, 16.0], "[8, 16]", "How far outline hidden at rest comes out of the other part, % of the limb's width"),
    row("gap", [3.0, 8.0], "[4, 9]", "Width of the daylight that opens in the joint's disc, % of the limb's width"),
    row("ink", [8.0, 25.0], "[10, 25]", "Length of the ink left standing within a seam's zone, % of the limb's width"),
    row("seam", [25.0, 60.0], "\"off\"", "Length of the ink across a limb of one colour where there is no seam, % of its width"),
    row("zone_small", [97.0, 85.0], "[95, 80]", "How far the zone goes, % of how far hidden outline goes; the less the worse"),
    row("zone_large", [300.0, 500.0], "[400, 600]", "How far the zone goes, % of how far hidden outline goes; the more the worse"),
    row("overlap", [40.0, 20.0], "[30, 15]", "Width of the paint that both parts share at rest, % of the limb's width; the less the worse"),
    row("colour", [4.0, 10.0], "[5, 10]", "Difference of the two paints at a seam, CIEDE2000"),
    row("line", [140.0, 180.0], "[150, 200]", "Heavier line over lighter at a seam, %"),
    row("shown", [20.0, 5.0], "[10, 2]", "How much of a masked part or garment is seen at rest, % of its area; the less the worse"),
    row("spill", [1.0, 5.0], "[2, 5]", "Masked art or garment seen outside what it must stay in, % of its area"),
    row("bare", [3.0, 10.0], "[5, 12]", "Host that a garment covers at rest and leaves bare, % of the joint's disc"),
    row("trim", [4.0, 10.0], "[5, 12]", "Difference of a trim and the garment's own line, CIEDE2000"),
    row("edge", [15.0, 35.0], "[20, 40]", "Hosts' edge that a garment runs along without reaching their ink, % of the edge it runs along"),
    row("pivot", [15.0, 30.0], "[20, 30]", "How far a seam's pivot is from the middle of the limb's width, % of that width"),
    row("sides", [8.0, 18.0], "[10, 20]", "How differently a limb or garment sits on the two sides, % of the limb's length"),
    row("over", [0.5, 15.0], "[1, 15]", "How far a pose turns a joint beyond its limits, degrees"),
    row("reach", [0.05, 1e6], "[0.05, 1]", "How far the end of a limb is from where a pose says that it goes, canvas units"),
    row("cut_off", [0.5, 8.0], "[1, 8]", "How far a pose goes beyond the canvas, canvas units"),
    row("bare_edge", [2.0, 5.0], "[3, 6]", "Length of a part's edge that is seen against a stranger without a line, widths of its line"),
    row("loose_end", [15.0, 40.0], "[20, 50]", "How far the end of a cut line is from a half disc of its width, % of that half disc"),
    row("island", [1.5, 0.75], "[1, 0.5]", "The smallest bit of a part that is seen, widths of the line; the less the worse"),
    row("floating", [90.0, 99.0], "[92, 99]", "Of the place where a seam joins two parts, as far as it is seen, what shows no contact, %"),
];

const PARTS: &[Key] = &[Key::table(
    "<part>",
    MEASURES,
    "",
    "What is a finding on this part",
)];

const KEYS: &[Key] = &joined::<{ MEASURES.len() + 1 }>(
    MEASURES,
    &[Key::table("part", PARTS, "", "Limits for single parts")],
);

/// `[check]` stands in rigs and in the files of views.
pub(super) const CHECK: Key = Key::table(
    "check",
    KEYS,
    "write [check] and under it jut = [8, 16]",
    "From what on a measure of `layfig check` is a warning and an error, [warning, error], or \"off\"",
);
