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
pub const TOPICS: &[Topic] = &[
    Topic {
        name: "drawings",
        about: "What of an SVG file is drawn, where, and what is ink and what is paint",
        text: &[
            "A drawing's user units are the canvas's: a point is where its coordinates say, and the drawing's viewBox, width and height only tell drawing programs how to show it. The id of the root element stands for the whole drawing.",
            "A part is an SVG group. Inside it, elements whose id ends in ink or paint (cuff_ink, cuff-ink-2, cuffInk), or that sit in a group so named, are what they say; otherwise strokes are ink and fills are paint.",
            "A picture in a drawing that is missing, damaged or cut short is an error; a colour that is none is told. Art refers to swatches by colour, or by an element id such as swatch-skin.",
            "A member with several views keeps [character] and palettes in rig.toml, with [views] front = \"front.toml\", and one file of parts for each. Paths are relative to the file that names them.",
            "An element of a drawing is named by its id, else by its label (inkscape:label, data-name, serif:id, an id with its _x20_ undone), else by the names around it (front.svg#Lines/hand, where Fills has a hand too), else by where it stands, as XPointer counts: front.svg#element(/1/4) is the fourth child of the root. art = [\"front.svg#Fills/hand\", \"front.svg#Lines/hand\"] makes one drawing of two, the last in front.",
        ],
    },
    Topic {
        name: "drafting",
        about: "What layfig draft reads out of a drawing in layers",
        text: &[
            "layfig draft front.svg side.svg hands.svg takes drawings apart as the drawing program saved them, and writes a rig that works. It prints what it decided, how sure it is (certain, likely, a guess; --verbose with reasons) and what to look at first; the same words stand as comments in the files, which are yours to change. Nothing is written over without --overwrite.",
            "Parts are groups and layers with a name: torso, Upper Arm L, forearm.right, hind_paw_far. A group without a name is called after its place and colour. Layers Fills and Lines with the same names in them make one part of two. A hidden layer \"hand fist\" is a replacement of hand; so is a visible one that lies in its place. background, guides, notes are left out.",
            "Views are files called front, side, back, three-quarter ..., or the outermost layers of one file; other files hold replacements. What carries what: groups inside groups, else the names, else what overlaps what. Order is the drawing's.",
            "Pivots: a small mark, \"pivot upper arm L\", or \"upper arm L\" in a layer \"pivots\" (hide it); else the drawing program's own centre of rotation (inkscape:transform-center-x and -y); else the middle of the overlap; and where a seam holds at no turn about that, where layfig fit finds that it holds best. A page that does not begin at 0 0 is told once, with \"place\" of the view.",
            "Seams join a part and its carrier where both have one colour and their lines cross; masks come from clip paths (what is clipped to the shape of a part is seen inside it, what is clipped away from one outside), from irises, pupils and lids in eyes, and from rods whose straight sides run into what lies in front of them; garments from sleeves, cuffs, boots that lie on a limb without a line of their own at its edge. Limits are the norm of the joint, as far as the drawing holds together.",
            "After a change of the drawing layfig draft --update adds new layers at the ends of the files, new hidden drawings among the replacements of their part, new views under [views]; it tells what is gone, and changes nothing that stands there. Twice is the same as once.",
            "Of the demo cast's drawings, rigs put aside, it finds 96 % of what carries what, 93 % of the seams (3 % false), 91 % of the garments, 76 % of the masks (none false; of rods that slide only those whose straight sides it can follow), pivots of seams within 0.1 % of the limb's width at the median and 3 % at the 90th percentile; 98.7 % of overlapping parts are in the order of the rigs.",
        ],
    },
    Topic {
        name: "posing",
        about: "In which order a pose is put together, and what it takes from another",
        text: &[
            "A part is stretched, then scaled, then skewed, then turned, all about its pivot, then moved; what it carries goes with it: its place is its carrier's, times translate(pivot + move) * turn * skew * scale * translate(-pivot), with skew = (1, tan x; tan y, 1). \"place\" of a part in the rig has the same four, for its art alone. \"mirror\" changes left and right: x becomes width - x.",
            "\"stretch\" makes a limb longer or shorter along its line, which goes from its pivot to its \"tip\": as the rig says, else the farthest pivot of what it carries and is joined to by a seam, else the middle of the far end of its paint along its main axis. Between the two, lengths change softly: none at the joints, most in the middle, so that no outline gets a corner; what lies before the pivot stays and what lies beyond the tip moves with it, so that both joints keep their form. Its pivot moved so, a part that it carries is neither stretched nor scaled by it.",
            "\"from\" is taken over part by part: a pose that turns the forearm keeps the turns of all other parts of the pose that it is from, and \"behind\" or \"in_front\" of a part takes the place of either; \"palette\" and \"mirror\" are taken over too, \"note\" and \"compare\" are not.",
            "[expression.angry] in the rig gives drawings and small moves a name. A pose wears it, expression = \"angry\", or several, each over those before it; { angry = 0.5 } takes half of its numbers, and its drawings and depths from one half on. What the pose says itself goes over them. With \"from\" it wears what the other pose does; its own expressions take the place of those, not of what that pose says itself; expression = {} takes them off.",
            "[pose.haul.view.back] says what one view sees otherwise, any setting of a pose, over all that the pose says of all views. It is taken over with \"from\", but what the inheriting pose says itself, of all views, goes over it.",
            "What a pose says by places is solved to turns of the parts above, in this order: lean and aim, plant, reach, look. \"reach\" brings the end of a limb to a part (the first of its \"points\", else its pivot), a point of one, \"crate.handle\", the middle of an element, \"wear.svg#handle\" (files as seen from the member's folder; \"#handle\" in each view's own drawing), or, where one view is meant, [x, y]; it follows what shows it. The end touches with the first of its own \"points\", or the one that \"by\" names. By itself the two limbs above turn, of a leg that is one piece one; they fold as their limits let them, else as they are drawn. Reaches wait for each other where one goes to what another moves; in a circle nothing can be solved.",
            "\"plant\" keeps feet where they are at rest, angle and all, while what carries them moves. A part without art at the very top, which only says where the figure is, is the floor: planted feet go with it. A foot that the pose turns too turns about the point of it that stays, and so does one that its own limits keep from lying flat.",
            "Plain turns add to what is solved: one of the hand tilts it and it still touches, one of the arm takes it away from there. What does not come where it should is told, with the distance that is left; layfig check finds it as \"reach\". \"look\" moves every part that has \"look\" in the rig towards what is looked at, as far as that lets it; what is named under \"share\" turns along in views that say \"facing\".",
            "\"behind\" puts a part and all it carries just behind another. Of several parts that are put behind one (or in front of it) each stands with all it carries, and among themselves they keep the order of their depths; a part that is put behind one and in front of another stands just behind the first.",
            "Without \"turn\" a stress table turns no joint that its pose's reaches and planted feet turn. The poses of [stress.limbs] are called limbs@01, limbs@02 and so on. A seed gives the same numbers on every machine; a quarter of the turns are at the limits.",
        ],
    },
    Topic {
        name: "space",
        about: "How a pose is said once, in space, and seen from every view",
        text: &[
            "Views say what they face: [views] front = { file = \"front.toml\", facing = 0 }, degrees that the body is turned from the viewer to screen right: 45 three-quarter, 90 side, 180 back; a rig of one view says it under [character]. near = \"right\" under [character] says which side of the body near is; left, right, l and r speak for themselves, and \"side\" of a part says it where the name does not.",
            "aim = { upper_arm_near = [80, 10] }: lift from hanging (0) over level (90) to straight up (180), bearing from forward (0) over outward (90) to backward (180); below 0 it crosses the body. With x to the character's left, y up, z forward it points along (s sin(lift) sin(bearing), -cos(lift), sin(lift) cos(bearing)), s being 1 on the left and -1 on the right. A part of no side takes outward as to the left.",
            "lean = { torso = [20, 0, 0] } inclines the body: so far forward, then to the left, then turned to the left. What the part carries is aimed in the frame Ry(turn) Rx(forward) Rz(-left) of it, within that of what carries it; plain turns do not move that frame.",
            "A view turned by f shows (x cos f + z sin f, -y), and z cos f - x sin f is towards the viewer. A limb's turn goes from where its line is drawn to where that points, less what its carriers turn; a turn of the pose adds to it. Its stretch is the length that is shown over the one that is drawn; a limb is drawn hanging unless \"drawn\" of the part says lift and bearing. An unaimed limb goes on as the aimed one that carries it.",
            "A limb stands in front of what carries it, and of the body, where its middle is nearer to the viewer than theirs, unless the pose says behind or in_front; within 0.15 of its length the drawn order stays. Limbs are hinged beside the middle of the body, by half the distance of the pair's pivots in the view that faces most.",
            "No limb gets shorter than \"shortest\" under [character] says, a share of its drawn length; where it should, that is told, and so is one that points at the viewer. foreshortened = { fist = [0, 0.4] } of a part names a drawing for such shares: it shows as it is drawn, and what the part carries comes in.",
        ],
    },
    Topic {
        name: "sides",
        about: "Left and right written once: mirror_of",
        text: &[
            "A part that says mirror_of = \"upper_arm_near\" takes from that part what it does not say itself: parent and limits (negated and swapped), depth, pivot, drawing. Names in it change their side, near and far, left and right, l and r, where the view has a part of that name; a part whose name has no side, torso, stays what it is.",
            "Its drawing is its own where there is one: what \"art\" says, the element of its own name in the view's drawing, or the element called as the other part's is but for the side. Where nothing is drawn for it, it shows the other part's drawing, mirrored, replacements too, and \"place\" with it. The same holds of pivots that are marks: its own mark, else the other one mirrored. { of = \"...\" } is of the part of its own side; a pivot that is left out is found in its own drawing, else it is the other one mirrored.",
            "Mirrored is about x = axis of the view; without it about the middle of the canvas: x becomes 2 * axis - x. \"mirror\" of a pose is always about the middle of the canvas.",
            "Seams, masks and garments that name a part of the one side are there for the other too, with its parts, and called as they are with the side changed; those of names without a side have it at their end: hip, hip_far. What is written for the other side stands in place of it, and seam.wrist_far = false leaves it out. Zones and patches that are drawn must be drawn for both. Notes, crops, lengths, charts and [check.part] are for one part each.",
            "In a view that is like another, mirrors are of what that view has: it may say other pivots, or mirror_of = false.",
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
        about: "Kinds of sheet, and sheets that a pose list asks for",
        text: &[
            "--kind model: a view at rest: ruler in heads, measurements, colours with their codes, notes; out/<member>/<view>/model.sheet.png.",
            "--kind turnaround: all views on one ground, landmarks carried across; one that drifts by more than drift is flagged, and the exit code is 1; out/<member>/turnaround.sheet.png.",
            "--kind expressions: the poses that change no more than [crop.head]'s part carries, cropped to it; out/<member>/<view>/expressions.sheet.png.",
            "--kind charts: every replacement in its place: a sheet for each [chart.<name>], or one for all parts, and one of the rig's expressions, \"expressions\"; out/<member>/<view>/chart.<name>.sheet.png.",
            "--kind line-up: all members to one scale, by their heights in life; out/line-up.sheet.png.",
            "--kind colours: one pose in every palette; out/<member>/<view>/colours.sheet.png.",
            "--kind all makes them all, and those of pose lists.",
            "Sheets for print and sign-off: true paper size, vector figures, text that can be searched, a title block that takes nothing from the clock. --page knows a4, a3, letter, tabloid, 16:9 and pixels; one scale holds for all cells of a sheet. --kind onion lays poses over each other in tints; --join makes one sheet of all lists of a member. A turn over its joint's limit is framed and named.",
            "layfig sheet rigs/cast.toml --format both --page a3 --production \"The Wenderquay Crossing\" --revision C --date 2031-05-02 fills the title block.",
            "Letters are DejaVu Sans (Latin, Greek, Cyrillic, Arabic, Hebrew and more); Chinese, Japanese and Korean come in the 16-dot letters of Unifont; a character that neither has is written as its code point.",
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
    Topic {
        name: "fitting",
        about: "How fit finds the pivot at which a seam holds best",
        text: &[
            "layfig fit finds pivots from anywhere: where the pivot is now does not matter but that of equals the nearest is taken, only what the two parts share and the joint's limits. It makes three things least, added up: the jut and the gap that check measures, and the kink that a turn gives the outer contour where it passes from one part's outline to an end of the other that has come out, beyond what the drawing has at rest (only at seams that open both inks; the corner of the crook is none). Of the pivot as it is and as it would be best it prints jut, gap and safe range, the same numbers as check before and after the edit, and the radius that the seam's zone needs. The safe range of a joint, in both commands: the turns about rest, within its limits, at which neither jut nor gap is over its error limit in [check]; what other parts hide does not count. A pivot is better if it saves as much as [check] warns of, or ends a warning, and saves 5 % of jut, gap and kink. The picture shows the two parts alone at the ends of the limits and where it is worst, now and fitted, in one frame, the places circled. --part forearm_near takes some joints, --hard those without a seam too, but refuses a hinge that is more than half the limb's width outside what its parts share; cargo bench -- fit times it. --write changes the digits of pivot and not another byte.",
        ],
    },
    Topic {
        name: "linting",
        about: "How what lint finds is allowed, where it is meant",
        text: &[
            "layfig lint names the check behind each finding; --view takes some views, and what no view uses is then not asked. What is meant is allowed in rig.toml under [[lint.allow]], with a reason (an off-palette that is allowed is not warned of by other commands either): \"check\" is the name in brackets, \"of\" takes parts, palettes, \"part.replacement\", \"front.svg#group\"; without it all of the check's findings are meant.",
        ],
    },
    Topic {
        name: "reviewing",
        about: "The page on which comparisons are looked at and decided",
        text: &[
            "layfig review makes out/review/ of every out/<member>/compare/comparison.json (--out for another folder, --page for another place of the page), layfig compare RIG --review of what it compared: open its index.html in any browser, from the disk; nothing is sent anywhere. Poses are found by state, decision, cause, part, member, view and list, and looked at side by side, alone, as difference, by wipe, dissolve or blink (never more than 2.5 changes a second, and never by itself where the system asks for reduced motion). ? lists the keys for everything. Approve, reject, write notes, then export decisions.json; it names the pictures that were looked at, and holds for no others.",
        ],
    },
    Topic {
        name: "comparing",
        about: "What compare tells, and what approve takes",
        text: &[
            "compare names each edit since the approval with the poses that it changed, and for each pose the parts that moved, were redrawn, recoloured, reordered. What no edit comes near is because of layfig where another build drew the approved picture, and of nothing recorded where the same did. approve takes --all, --pose haul, --part hand_near or --cause forearm_near.pivot (poses that nothing else changed), or --decisions FILE from the review; pictures that nobody needs any more stay until --prune.",
        ],
    },
    Topic {
        name: "nights",
        about: "What a night makes again, and what it keeps",
        text: &[
            "A pose that is not as approved, an error of a check, a landmark that drifts give exit code 1, and are failing test cases of junit.xml. A member that has no approved set yet is told of and fails nothing; layfig approve makes the first.",
            "A picture is made again when something that it depends on changed: the drawings it shows, the rig, the pose, the palette, the style, the program (its version and the sources it was built from). Comments, limits and drawings that the pose does not show are none of it. out/night/.night (or --cache DIR) knows what was made; a run that was killed is gone on from by the next, and ends as if nothing had happened. --verify reads every file that is there, --again makes everything. A night is named by its --label or by the first digits of its inputs; the same night run again changes nothing. The history has times, and so has what only the next night reads (measured.jsonl and journals in .night, by which work is shared out); no other file has. Documents name files from the cast's folder, comparisons from the member's: they say the same from wherever the program is run.",
            "On several machines with one shared folder, each makes a share (--shard 2/4), and layfig merge ends the night with the bytes of a single run.",
        ],
    },
    Topic {
        name: "leaving",
        about: "A figure that leaves its picture",
        text: &[
            "A figure that leaves its picture is told of, each pose of each view: at which sides, by how many canvas units, which part goes furthest. With --grow (render, export, compare, approve, night), or grow = true in the rig, the picture grows there by whole pixels; those of the canvas stay what they are. compare lays grown pictures on each other by their canvases.",
        ],
    },
];
