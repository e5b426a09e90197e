//! Pose lists.

use super::goals::{LOOK, PLANT, REACH};
use super::sheets::SHEET;
use super::{
    ANGLES, FACTORS, Key, Kind, LENGTHS, SKEWS, STRETCHES, TURNED, Usual, form, joined, view,
};

/// Whole numbers that files can write exactly.
const MOST_SEED: f64 = 9_007_199_254_740_992.0;

pub(super) const POSES: &[Key] = &[
    Key::table(
        "pose",
        &[Key::table("<pose>", POSE, "", "Settings of the rig")],
        "",
        "Poses",
    ),
    Key::table(
        "sweep",
        &[Key::table(
            "<sweep>",
            SWEEP,
            "",
            "One joint or more through their range",
        )],
        "",
        "Sweeps",
    ),
    Key::table(
        "stress",
        &[Key::table(
            "<stress>",
            STRESS,
            "",
            "Random poses within the limits, the same on every machine",
        )],
        "",
        "Stress tables",
    ),
    Key::table(
        "sheet",
        &[Key::table(
            "<sheet>",
            SHEET,
            "",
            "A sheet that this list asks for",
        )],
        "",
        "Sheets",
    ),
];

const FROM: Key = Key::new(
    "from",
    Kind::Text(form::POSE),
    "\"rest\"",
    "The pose of this list that it is taken over from",
)
.wrong("write a pose's name");
pub(super) const NOTE: Key = Key::new(
    "note",
    Kind::Words,
    "\"weight on the back foot\"",
    "For the people who read the sheet",
)
.wrong("write a line of text, or leave it out");

/// A value for each of some parts.
const fn each(
    name: &'static str,
    keys: &'static [Key],
    example: &'static str,
    wrong: &'static str,
    about: &'static str,
) -> Key {
    Key::new(name, Kind::Table(keys), example, about).wrong(wrong)
}

const DEPTH: Key = each(
    "depth",
    &[Key::new(
        "<part>",
        Kind::Number(FACTORS),
        "-0.5",
        "Added to its depth; more is further in front",
    )
    .wrong("write a number; more is further in front")],
    "{ forearm = -0.5 }",
    "write depth = { part = -0.5 }",
    "Offsets of depth",
);

const OTHER: &[Key] = &[Key::new(
    "<part>",
    Kind::Text(form::PART),
    "\"torso\"",
    "The other part",
)
.wrong("write a part's name")];
const BEHIND: Key = each(
    "behind",
    OTHER,
    "{ forearm = \"torso\" }",
    "write behind = { part = \"torso\" }",
    "A part and all it carries, just behind that part",
);
const IN_FRONT: Key = each(
    "in_front",
    OTHER,
    "{ forearm = \"torso\" }",
    "write in_front = { part = \"torso\" }",
    "A part and all it carries, just in front of that part",
);

const POSE: &[Key] = &joined::<{ SETTINGS.len() + 3 }>(&[FROM, WEARS], OWN);

const WEARS: Key = Key::new(
    "expression",
    Kind::Any(&[
        Kind::Texts(form::EXPRESSION, [1, usize::MAX]),
        Kind::Table(&[Key::new(
            "<expression>",
            Kind::Number([0.0, 1.0]),
            "0.5",
            "The share of its numbers; drawings and depths are taken from one half on",
        )
        .wrong("write a share, 0 to 1")]),
    ]),
    "\"angry\"",
    "Expressions of the rig, each over those before it, with shares where not whole; what the pose says itself goes over them",
)
.usual(Usual::As("as in `from`"))
.wrong("write expression = \"angry\", a list, or { angry = 0.5 }");

/// What a pose says itself.
const OWN: &[Key] = &joined::<{ SETTINGS.len() + 1 }>(
    SETTINGS,
    &[each(
        "view",
        &[Key::table(
            "<view>",
            SETTINGS,
            "write [pose.name.view.side] and under it what is otherwise there",
            "What is otherwise in this view",
        )],
        "{ front = { turn = { head = 4 } } }",
        "write [pose.name.view.side] and under it what is otherwise there",
        "What single views see otherwise, over all else that the pose says",
    )],
);

const SETTINGS: &[Key] = &joined::<{ 1 + VALUES.len() + LOOKS.len() }>(
    &joined::<{ 1 + VALUES.len() }>(&[NOTE], VALUES),
    LOOKS,
);

/// What an expression says.
pub(super) const EXPRESSION: &[Key] = &joined::<{ VALUES.len() + 2 }>(
    &joined::<{ VALUES.len() + 1 }>(&[NOTE], VALUES),
    &[each(
        "view",
        &[Key::table(
            "<view>",
            &joined::<{ VALUES.len() + 1 }>(&[NOTE], VALUES),
            "write [expression.name.view.side] and under it what is otherwise there",
            "What is otherwise in this view",
        )],
        "{ front = { turn = { head = 4 } } }",
        "write [expression.name.view.side] and under it what is otherwise there",
        "What single views see otherwise",
    )],
);

/// What is said of parts.
const VALUES: &[Key] = &[
    each(
        "turn",
        &[Key::new(
            "<part>",
            Kind::Number(ANGLES),
            "-70",
            "Degrees, positive clockwise",
        )
        .wrong("write a number of degrees")],
        "{ forearm = 35 }",
        "write turn = { part = -70 }",
        "Turns",
    ),
    each(
        "move",
        &[Key::new(
            "<part>",
            Kind::Pair(LENGTHS),
            "[0, 14]",
            "Units of the parent's frame",
        )
        .wrong("write two numbers, [0, 14]")],
        "{ torso = [0, 14] }",
        "write move = { part = [0, 14] }",
        "Moves",
    ),
    each(
        "scale",
        &[Key::new(
            "<part>",
            Kind::Scale,
            "1.2",
            "A factor, or one for each way",
        )
        .more(", or [1.2, 0.9] for each way")],
        "{ head = [1.0, 0.96] }",
        "write scale = { part = [1.0, 0.96] }",
        "Factors",
    ),
    each(
        "skew",
        &[Key::new(
            "<part>",
            Kind::Pair(SKEWS),
            "[10, 0]",
            "Degrees: x goes with y by the tangent of the first, y with x by that of the second",
        )
        .wrong("write two angles, [10, 0]")],
        "{ cap = [10, 0] }",
        "write skew = { part = [10, 0] }",
        "Skews",
    ),
    each(
        "stretch",
        &[Key::new(
            "<part>",
            Kind::Number(STRETCHES),
            "0.8",
            "Its length along its line, from its pivot to its `tip`; 1 is as drawn",
        )
        .wrong("write a number, 0.8; 1 is as drawn")],
        "{ forearm = 0.8 }",
        "write stretch = { part = 0.8 }",
        "Lengths of limbs: what they carry moves with their ends and keeps its shape",
    ),
    each(
        "aim",
        &[Key::new(
            "<part>",
            Kind::Any(&[Kind::Pair(TURNED), Kind::No]),
            "[80, 10]",
            "Lift from hanging (0) over level (90) to straight up (180), bearing from forward (0) over outward (90) to backward (180), degrees; `false`: not aimed",
        )
        .wrong("write lift and bearing, [80, 10]; or false")],
        "{ forearm = [80, 10] }",
        "write aim = { part = [80, 10] }, lift and bearing",
        "Directions of limbs in space: every view that says what it faces takes its own turn, length and depth of them",
    ),
    each(
        "lean",
        &[Key::new(
            "<part>",
            Kind::Any(&[Kind::List(&Kind::Number(TURNED), [3, 3]), Kind::No]),
            "[20, 0, 0]",
            "How far forward and to the left it leans, and how far to the left it is turned, degrees; `false`: not at all",
        )
        .wrong("write how far forward, left and turned, [20, 0, 0]; or false")],
        "{ torso = [20, 0, 0] }",
        "write lean = { torso = [20, 0, 0] }, forward, left, turn",
        "How the body is inclined in space: what the part carries is aimed from there",
    ),
    DEPTH,
    BEHIND,
    IN_FRONT,
    each(
        "replace",
        &[Key::new(
            "<part>",
            Kind::Text(form::REPLACEMENT),
            "\"none\"",
            "Its drawing: a replacement, \"art\" for its own, \"none\" for nothing",
        )
        .wrong("write a replacement's name")],
        "{ mouth = \"fist\" }",
        "write replace = { part = \"fist\" }",
        "Drawings",
    ),
];

/// Where things go, and what is said of the whole figure.
const LOOKS: &[Key] = &[
    each(
        "reach",
        &[Key::new(
            "<part>",
            Kind::Any(&[
                Kind::Text(form::TARGET),
                Kind::Pair(LENGTHS),
                Kind::Table(REACH),
                Kind::No,
            ]),
            "\"crate.handle\"",
            "Where it goes, or a table; `false` lets an inherited one go",
        )
        .wrong("write what it reaches for: a part, \"crate.handle\", \"wear.svg#handle\", or a table")],
        "{ hand = \"crate.handle\" }",
        "write reach = { hand = \"crate\" }",
        "Where ends of limbs go: what is above them turns so that they come there",
    ),
    Key::new(
        "plant",
        Kind::Any(&[
            Kind::Texts(form::PART, [1, usize::MAX]),
            Kind::Table(&[Key::new(
                "<part>",
                Kind::Any(&[Kind::Flag, Kind::Text(form::POINT), Kind::Table(PLANT)]),
                "true",
                "Whether it stays, the point of it that stays, or a table",
            )
            .wrong("write true, the point of it that stays, or a table")]),
        ]),
        "[\"hand\"]",
        "Feet that stay where they are at rest, with the angle that they have there, while the body moves",
    )
    .wrong("write plant = [\"foot_near\", \"foot_far\"], or a table"),
    Key::new(
        "look",
        Kind::Any(&[
            Kind::Text(form::TARGET),
            Kind::Pair(LENGTHS),
            Kind::Table(LOOK),
            Kind::No,
        ]),
        "\"hand\"",
        "Where the eyes turn; `false` lets an inherited look go",
    )
    .wrong("write what is looked at: a part, \"wear.svg#lamp\", or { turn = 20, up = 10 }"),
    PALETTE,
    Key::new(
        "mirror",
        Kind::Flag,
        "true",
        "Left and right changed about the middle of the canvas",
    )
    .usual(Usual::As("false, or as in `from`")),
    Key::new(
        "compare",
        Kind::Table(COMPARE_POSE),
        "{ pixels = 20 }",
        "What counts as changed here",
    )
    .usual(Usual::As("as the rig says")),
];

const PALETTE: Key = Key::new(
    "palette",
    Kind::Text(form::PALETTE),
    "\"dusk\"",
    "Its palette",
)
.usual(Usual::As("the first of the rig, or as in `from`"))
.wrong("write a palette's name");

const SWEEP: &[Key] = &[
    FROM,
    NOTE,
    Key::new(
        "turn",
        Kind::Texts(form::PART, [1, usize::MAX]),
        "\"forearm\"",
        "The joint, or a list of joints, for a grid",
    )
    .must()
    .more(", the part that turns, or a list of parts"),
    Key::new(
        "over",
        Kind::Any(&[
            Kind::Pair(ANGLES),
            Kind::List(&Kind::Pair(ANGLES), [1, usize::MAX]),
            JOINT,
            NORM,
        ]),
        "[-10, 145]",
        "First and last angle, a human joint, or a range for each joint",
    )
    .usual(Usual::As("the joints' limits"))
    .more(", first and last angle"),
    Key::new(
        "step",
        Kind::Any(&[STEP, Kind::List(&STEP, [1, usize::MAX])]),
        "20",
        "Degrees from one pose to the next; or a list, one for each joint",
    )
    .usual(Usual::Number(15.0))
    .wrong("write step = 15, degrees from one pose to the next"),
];

const JOINT: Kind = view::RANGE.all()[1];
const NORM: Kind = view::RANGE.all()[2];
/// Names of poses keep as many decimals.
const STEP: Kind = Kind::Number([0.001, ANGLES[1]]);

const STRESS: &[Key] = &[
    FROM,
    NOTE,
    Key::new(
        "seed",
        Kind::Whole([0.0, MOST_SEED]),
        "40",
        "Another seed, other poses",
    )
    .usual(Usual::Number(0.0)),
    Key::new(
        "count",
        Kind::Whole([1.0, 10_000.0]),
        "40",
        "The number of poses",
    )
    .must()
    .more(", the number of poses")
    .wrong("write a whole number, count = 40"),
    Key::new(
        "turn",
        Kind::Texts(form::PART, [1, usize::MAX]),
        "[\"upper_arm\", \"forearm\"]",
        "The joints that turn",
    )
    .usual(Usual::As("all that have limits"))
    .more(", the parts that turn"),
    Key::new(
        "changes",
        Kind::List(&Kind::Table(&[DEPTH, BEHIND, IN_FRONT]), [0, usize::MAX]),
        "[{ behind = { forearm = \"torso\" } }]",
        "Depths that poses take: none, then each in turn",
    ),
];

pub(super) const COMPARE_POSE: &[Key] = &[
    Key::new(
        "colour",
        Kind::Number([0.0, 200.0]),
        "1.0",
        "Colour differences up to this count for nothing, CIEDE2000",
    )
    .usual(Usual::Number(1.0))
    .more(", a colour difference (CIEDE2000) that counts for nothing"),
    Key::new(
        "edge",
        Kind::Number([0.0, 1.0]),
        "0.1",
        "How far an edge may move, pixels",
    )
    .usual(Usual::Number(0.1))
    .more(", how far an edge may move, in pixels"),
    Key::new(
        "pixels",
        Kind::Whole([0.0, 1e9]),
        "20",
        "So many changed pixels pass",
    )
    .usual(Usual::Number(0.0))
    .more(", how many pixels may change"),
];
