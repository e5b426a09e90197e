"""What a pivot costs, and the least cost of any on a grid, by Shapely: nothing of the program is used.

Input, JSON on standard input: parent and child (rings of points), limits, pivot (to be judged), width.
Output, JSON: cost of the pivot, least cost found, and where.

Cost: how far the stretch of either outline that is hidden inside the other part at rest, beyond the joint,
gets out of that part at worst, and the width of the widest daylight at worst.
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


def stretch(own, other):
    line = own.exterior.intersection(other.buffer(-0.02)).intersection(beyond(own))
    n = max(int(line.length / 0.5), 2)
    return np.array([line.interpolate(t, normalized=True).coords[0] for t in np.linspace(0, 1, n)]) if line.geom_type == "LineString" \
        else np.array([shapely.get_coordinates(line.segmentize(0.5))]).reshape(-1, 2)


sa, sb = stretch(A, B), stretch(B, A)
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


steps = max(math.ceil((high - low) / 10), 1)
angles = [low + (high - low) * k / steps for k in range(steps + 1)]


def cost(p, bound=math.inf):
    p = np.array(p)
    worst = 0.0
    for angle in angles:
        worst = max(worst, jut(angle, p))
        if worst > bound:
            return worst
    return worst + max(gap(a, p) for a in (low, high, low / 2, high / 2))


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
print(json.dumps({"cost": cost(q["pivot"]), "least": best, "at": list(at)}))
