"""Limbs in space, from what the words say, with NumPy alone: turns by Rodrigues' formula and by quaternions, no matrix
of the program. The body's frame: x to its left, y up, z forward.

Input, JSON on standard input: a list of cases. A case has `facing`, `shortest` and `parts`, carriers first, each with `parent`
(a place in the list or null), `pivot` and `tip` (on the canvas, y down; tip may be null), `side` (1 left, -1 right, 0 none),
`left` (how far to the left of the middle its pivot lies), `drawn`, `aim` (lift and bearing or null), `lean` (forward,
left, turn, or null).
Output: for each case and part `page` (the direction that the view shows, y down, of length 1, or null where it shows none),
`share` (of its drawn length), `toward` (how far its middle is nearer to the viewer than that of the part that carries it,
in its own lengths).
"""
import json, sys
import numpy as np

LEFT, UP, FORWARD = np.eye(3)


def rotated(v, axis, degrees):
    """Rodrigues: v about a unit axis, counter-clockwise for who looks against it."""
    t = np.radians(degrees)
    return v * np.cos(t) + np.cross(axis, v) * np.sin(t) + axis * (axis @ v) * (1 - np.cos(t))


def times(a, b):
    """The product of two quaternions, scalar first."""
    s, v, t, w = a[0], a[1:], b[0], b[1:]
    return np.concatenate(([s * t - v @ w], s * w + t * v + np.cross(v, w)))


def about(axis, degrees):
    h = np.radians(degrees) / 2
    return np.concatenate(([np.cos(h)], np.sin(h) * axis))


def by(q, v):
    """A vector turned by a quaternion."""
    conj = q * [1, -1, -1, -1]
    return times(times(q, np.concatenate(([0.0], v))), conj)[1:]


def pointing(side, lift, bearing):
    """An arm that hangs is lifted towards its bearing, which goes from forward round by the outer side."""
    outward = LEFT * side
    to = FORWARD * np.cos(np.radians(bearing)) + outward * np.sin(np.radians(bearing))
    return rotated(-UP, np.cross(-UP, to), lift)


def leaning(forward, left, turn):
    """First to the left, then forward, then the whole turned to the left."""
    # Leaning forward takes up to forward, leaning left up to left, a turn to the left forward to left.
    q = about(np.cross(UP, LEFT), left)
    q = times(about(np.cross(UP, FORWARD), forward), q)
    return times(about(np.cross(FORWARD, LEFT), turn), q)


def seen(v, facing):
    """The body turned so that forward goes to screen right; the viewer stands where it was forward."""
    x, y, z = by(about(UP, facing), v)
    return np.array([x, -y]), z


def solved(case):
    facing, all, out = case["facing"], [], []
    for part in case["parts"]:
        carrier = all[part["parent"]] if part["parent"] is not None else None
        frame = carrier["frame"] if carrier else np.array([1.0, 0, 0, 0])
        side = part["side"] or 1
        aim, lean, drawn = part["aim"], part["lean"], part["drawn"]
        limb = part["side"] != 0 or aim is not None
        rest = pointing(side, *drawn) if drawn else (-UP if limb else UP)
        inner = times(frame, leaning(*lean)) if lean else frame
        rides = part["side"] and carrier and carrier["aimed"]
        way = by(frame, pointing(side, *aim)) if aim else carrier["way"] if rides else by(inner, rest)
        pivot = np.array(part["pivot"])
        line = np.array(part["tip"]) - pivot if part["tip"] else np.zeros(2)
        shown_rest = np.linalg.norm(seen(rest, facing)[0])
        length = np.linalg.norm(line) / (shown_rest if shown_rest > 0.05 else 1)
        if not carrier:
            hinge = np.zeros(3)
        elif carrier["side"] and np.any(carrier["line"]):
            share = (pivot - carrier["pivot"]) @ carrier["line"] / (carrier["line"] @ carrier["line"])
            hinge = carrier["hinge"] + share * carrier["length"] * carrier["way"]
        else:
            up = carrier["pivot"][1] - pivot[1]
            aside = part["left"] - carrier["left"]
            hinge = carrier["hinge"] + by(carrier["frame"], aside * LEFT + up * UP)
        me = dict(aimed=aim is not None or rides, frame=inner, way=way, line=line, length=length, hinge=hinge, pivot=pivot,
                  side=part["side"], left=part["left"], middle=hinge + way * length / 2)
        all.append(me)
        page, _ = seen(way, facing)
        shown = np.linalg.norm(page)
        nearer = seen(me["middle"] - carrier["middle"], facing)[1] if carrier else 0.0
        out.append(dict(page=(page / shown).tolist() if shown > 1e-9 else None,
                        share=shown / shown_rest if shown_rest > 0.05 else None,
                        toward=nearer / length if length else 0.0))
    return out


def body_of_capsules(case):
    """A body whose limbs are capsules, each from the end of another; how many pixels a picture of it has wrong by more
    than half a pixel, and of how many."""
    import shapely

    facing, [x0, y0], ends, discs = case["facing"], case["middle"], {}, []
    for limb in case["limbs"]:
        side = limb["side"] or 1
        frame = ends[limb["on"]][1] if limb["on"] else np.array([1.0, 0, 0, 0])
        hinge = ends[limb["on"]][0] if limb["on"] else np.zeros(3)
        hinge = hinge + by(frame, np.array(limb["at"]))
        if limb["lean"]:
            frame = times(frame, leaning(*limb["lean"]))
        way = by(frame, pointing(side, *limb["aim"]) if limb["aim"] else UP if limb["side"] == 0 else -UP)
        tip = hinge + limb["length"] * way
        ends[limb["name"]] = (tip, frame)
        pair = [seen(p, facing)[0] + [x0, y0] for p in (hinge, tip)]
        # A ball is seen as a disc, a capsule as the hull of two.
        balls = [shapely.Point(p).buffer(limb["radius"], quad_segs=64) for p in pair]
        discs.append(shapely.convex_hull(shapely.union_all(balls)))
    whole = shapely.union_all(discs)
    inner, outer = whole.buffer(-0.5), whole.buffer(0.5)
    side = case["side"]
    x, y = np.meshgrid(np.arange(side) + 0.5, np.arange(side) + 0.5)
    drawn = np.zeros((side, side), bool)
    for row, start, end in case["runs"]:
        drawn[row, start:end] = True
    wrong = (shapely.contains_xy(inner, x, y) & ~drawn) | (~shapely.contains_xy(outer, x, y) & drawn)
    return dict(wrong=int(wrong.sum()), drawn=int(drawn.sum()))


asked = json.load(sys.stdin)
json.dump([body_of_capsules(c) if "limbs" in c else solved(c) for c in asked], sys.stdout)
