"""What a pivot costs, and the least cost of any on a grid, by Shapely: nothing of the program is used.

Input, JSON on standard input: parent and child (rings of points), limits, pivot (to be judged), now (another),
kinks_at (a turn for now, one for pivot), width.
Output, JSON: cost of the pivot, least cost found, and where; jut and gap of the pivot, its kink and that of now.

Cost: how far the stretch of either outline that is hidden inside the other part at rest, beyond the joint,
gets out of that part at worst, the width of the widest daylight at worst, and width / 2 (1 - cos kink).
Kink: going along the outer ring of the union, how much sharper than at rest it turns in where it changes from
one outline to the other on such a stretch; of the side that a turn closes, beyond that turn.
"""
import json, math, sys
import numpy as np, shapely
from shapely import affinity
from shapely.geometry import Point, Polygon

q = json.load(sys.stdin)
A, B = Polygon(q["parent"]), Polygon(q["child"])
low, high = q["limits"]
both = A.union(B)
circle = shapely.maximum_inscribed_circle(A.intersection(B), tolerance=0.01)
middle = np.array(circle.coords[0])


def beyond(own):
    c = np.array(own.centroid.coords[0])
    way = (middle - c) / np.linalg.norm(middle - c)
    side = np.array([-way[1], way[0]])
    far = 1000
    return Polygon([middle - far * side, middle + far * way - far * side, middle + far * way + far * side, middle + far * side])


def hidden(own, other):
    return own.exterior.intersection(other.buffer(-0.02)).intersection(beyond(own))


def stretch(own, other):
    line = hidden(own, other)
    n = max(int(line.length / 0.5), 2)
    return np.array([line.interpolate(t, normalized=True).coords[0] for t in np.linspace(0, 1, n)]) if line.geom_type == "LineString" \
        else np.array([shapely.get_coordinates(line.segmentize(0.5))]).reshape(-1, 2)


sa, sb = stretch(A, B), stretch(B, A)
ha, hb = hidden(A, B), hidden(B, A)
radius = min(both.exterior.distance(Point(middle)) - 0.02, 0.6 * q["width"])
shapely.prepare(A), shapely.prepare(B)


def turned(points, angle, p):
    t = math.radians(angle)
    r = np.array([[math.cos(t), -math.sin(t)], [math.sin(t), math.cos(t)]])
    return (points - p) @ r.T + p


def jut(angle, p):
    out = shapely.distance(shapely.points(turned(sb, angle, p)), A).max()
    return max(out, shapely.distance(shapely.points(turned(sa, -angle, p)), B).max())


def gap(angle, p):
    disc = Point(p).buffer(radius, quad_segs=64)
    light = disc.intersection(both).difference(A).difference(affinity.rotate(B, angle, origin=tuple(p)))
    if light.area < 1e-6 * q["width"] ** 2:
        return 0.0
    return 2 * shapely.length(shapely.maximum_inscribed_circle(light, tolerance=0.01))


def passes(child):
    """Direction, sharpness in degrees and place of each change of outline along the outer ring."""
    whole = shapely.union(A, child)
    whole = max(getattr(whole, "geoms", [whole]), key=lambda g: g.area)
    ring = shapely.get_coordinates(shapely.geometry.polygon.orient(whole).exterior)[:-1]
    ahead = np.roll(ring, -1, axis=0)
    middles = shapely.points((ring + ahead) / 2)
    on_a, on_b = shapely.distance(middles, A.exterior) < 1e-6, shapely.distance(middles, child.exterior) < 1e-6
    ways = ahead - ring
    sure = [k for k in range(len(ring)) if on_a[k] != on_b[k]]
    for before, now in zip(sure, sure[1:] + sure[:1]):
        if on_a[before] != on_a[now]:
            u, v = ways[now - 1], ways[now]
            turn = math.degrees(math.atan2(u[0] * v[1] - u[1] * v[0], u @ v))
            if np.linalg.norm(ring[now] - middle) <= q["width"]:
                yield bool(on_a[now]), max(-turn, 0.0), ring[now]


at_rest = {}
for to_parent, degrees, _ in passes(B):
    at_rest[to_parent] = max(at_rest.get(to_parent, 0.0), degrees)


def kink(angle, p):
    worst = 0.0
    for to_parent, degrees, at in passes(affinity.rotate(B, angle, origin=tuple(p))):
        own = Point(turned(at, -angle, p))
        if to_parent in at_rest and (ha.distance(Point(at)) < 1e-3 or hb.distance(own) < 1e-3):
            worst = max(worst, degrees - at_rest[to_parent] - max(angle if to_parent else -angle, 0.0))
    return worst


def length(degrees):
    return q["width"] / 2 * (1 - math.cos(math.radians(degrees)))


steps = max(math.ceil((high - low) / 10), 1)
angles = [low + (high - low) * k / steps for k in range(steps + 1)]


def cost(p, bound=math.inf):
    p = np.array(p)
    worst = 0.0
    for angle in angles:
        worst = max(worst, jut(angle, p))
        if worst > bound:
            return worst
    ends = (low, high, low / 2, high / 2)
    worst += max(gap(a, p) for a in ends)
    # Last, for it takes the longest.
    return worst if worst > bound else worst + length(max(kink(a, p) for a in ends))


best, at = math.inf, middle
for reach, step in ((9, 1.5), (1.5, 0.25), (0.25, 0.05)):
    centre = np.array(at)
    ticks = np.arange(-reach, reach + step / 2, step)
    for x in ticks:
        for y in ticks:
            p = centre + (x, y)
            c = cost(p, best)
            if c < best:
                best, at = c, p
pivot, now = np.array(q["pivot"]), np.array(q["now"])
print(json.dumps({
    "cost": cost(pivot), "least": best, "at": list(at),
    "jut": max(jut(a, pivot) for a in angles), "gap": max(gap(a, pivot) for a in (low, high, low / 2, high / 2)),
    "kink": kink(q["kinks_at"][1], pivot), "kink_now": kink(q["kinks_at"][0], now),
}))
