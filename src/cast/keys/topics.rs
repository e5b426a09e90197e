//! What keys mean together, and no line of explanation of one of them can say.

/// Something that several keys are about.
#[derive(Clone, Copy, Debug)]
pub struct Topic {
    /// What it is asked for by.
    pub name: &'static str,
    /// What it is about, in a line.
    pub about: &'static str,
    /// Paragraphs.
    pub text: &'static [&'static str],
}

/// All of them.
pub const TOPICS: [Topic; 6] = [
    Topic {
        name: "drawings",
        about: "What of an SVG file is drawn, where, and what is ink and what is paint",
        text: &[
            "A drawing's user units are the canvas's: a point is where its coordinates say, and the drawing's viewBox, width and height only tell drawing programs how to show it. The id of the root element stands for the whole drawing.",
            "A part is an SVG group. Inside it, elements whose id ends in ink or paint (cuff_ink, cuff-ink-2, cuffInk), or that sit in a group so named, are what they say; otherwise strokes are ink and fills are paint.",
            "A picture in a drawing that is missing, damaged or cut short is an error; a colour that is none is told. Art refers to swatches by colour, or by an element id such as swatch-skin.",
            "A member with several views keeps [character] and palettes in rig.toml, with [views] front = \"front.toml\", and one file of parts for each. Paths are relative to the file that names them.",
        ],
    },
    Topic {
        name: "posing",
        about: "In which order a pose is put together, and what it takes from another",
        text: &[
            "A part is scaled, then skewed, then turned, all about its pivot, then moved; what it carries goes with it: its place is its carrier's, times translate(pivot + move) * turn * skew * scale * translate(-pivot), with skew = (1, tan x; tan y, 1). \"place\" of a part in the rig has the same four, for its art alone. \"mirror\" changes left and right: x becomes width - x.",
            "\"from\" is taken over part by part: a pose that turns the forearm keeps the turns of all other parts of the pose that it is from, and \"behind\" or \"in_front\" of a part takes the place of either; \"palette\" and \"mirror\" are taken over too, \"note\" and \"compare\" are not.",
            "\"behind\" puts a part and all it carries just behind another. Of several parts that are put behind one (or in front of it) each stands with all it carries, and among themselves they keep the order of their depths; a part that is put behind one and in front of another stands just behind the first.",
            "The poses of [stress.limbs] are called limbs@01, limbs@02 and so on. A seed gives the same numbers on every machine; a quarter of the turns are at the limits.",
        ],
    },
    Topic {
        name: "lines",
        about: "Where a seam opens ink, and where a line stays",
        text: &[
            "A line is drawn wherever two things meet that are seen and not joined. A seam opens a part's ink inside its zone where the other part's paint lies there too, and nothing that has ink and paint of its own comes between them in depth: a crate between upper arm and forearm, a scarf between arm and chest keep the line.",
            "Where three parts make one mass (hips, belly, thigh), join each to each, or put the one between behind.",
            "An automatic zone lets lines meet at the crook up to a bend of 100 degrees; beyond, one crease runs in. A zone that is a drawing says where, on the other part.",
        ],
    },
    Topic {
        name: "norms",
        about: "Limits that are a human joint's",
        text: &[
            "Limits (and \"over\") can name a human joint: limits = \"elbow\", or where the drawing needs it limits = { joint = \"elbow\", clockwise = \"extension\", rest = 15 }: what a positive turn does, and how far in that direction the drawing is bent already. source = \"CDC\", group = \"M 20-44\" takes other norms than those of the AAOS.",
            "layfig joints lists all, tells where each number comes from and which are from memory and unchecked. They are for drawing: people differ, and this is no medical guidance.",
        ],
    },
    Topic {
        name: "sheets",
        about: "Sheets that a pose list asks for",
        text: &[
            "layfig sheet makes the sheets of a list beside the usual ones, as <list>.<name>.sheet.png, and with --sheet acting alone. One of all poses, or all sweeps, stands for the usual sheet. What is typed beats what a sheet says of its pages.",
            "\"poses\" is also of onion, expressions and colours (one); \"sweeps\" of range and onion; \"charts\" of charts.",
        ],
    },
    Topic {
        name: "checking",
        about: "What check measures, and how its limits are read",
        text: &[
            "check takes each joint through its limits, along limbs two together, and at each depth order of the poses, and measures on geometry, the worst angle to 0.1 degree: what juts out and what daylight opens where no other part hides it, ink left standing, zones, overlaps, patches, paint and line across seams, masks, garments and trims. Where parts come in pairs (arm_near and arm_far, left and right, l and r) it compares the two sides: what one joins, masks or wears, and where a limb or garment sits on it. Every pose of the lists is looked at for turns beyond limits, and for what the canvas cuts off.",
            "The safe range of a joint, in check and fit: the turns about rest, within its limits, at which neither jut nor gap is over its error limit in [check]; what other parts hide does not count.",
            "Limits are [warning, error], or \"off\"; for overlap, zone_small, shown and island less is worse. jut and gap may be twice as much where no seam joins the parts. bare_edge, loose_end, island and floating look at every pose of the lists, at what is seen after all that lies in front; what the rest pose shows in the same drawing is meant.",
            "spill is also of patches outside the paint that they lie on. edge: % of a garment's way along a host's edge on which it stops short of the ink. loose_end is 22 when a line is cut square; of a line cut along its length, what is missing of it. island is the smallest bit of a part or of opened ink; ink alone that only thickens another line is none, nor is what goes on behind something thin, a brow. cut_off does not count where pictures grow.",
            "[check.part.forearm_near] is for one part; both tables may stand in a view's own file, for that view.",
        ],
    },
];
