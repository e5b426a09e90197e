"""The law of lines read point set by point set in Shapely: nothing of the program is used.

Input, JSON on standard input: a list of scenes. A scene has `ink` (the lines' width), `limbs` (each the hull of
two discs, with the turn and the pivot that carry it from where it is drawn, through all that carry it), `seams`
(pairs of limbs, a pivot and a radius, opened both ways), `others` (polygons that belong to nobody, inked or not)
and `order` (names, back to front).
Output, JSON: for each scene, with `windows`, the area of limb ink that shows, the free ends that stand alone (middle, the side of
the window about it and its pixels as rows of hexadecimal digits, and the half disc's area), without, points along the
outline of all paint; and the area of ink round all limbs as if they were one: the outer union less the inner one.

Lines of a limb are the strip about the edge of its paint. What the law takes: see `opened`. Ends: see `ended`.
"""
import json, math, sys
import numpy as np, shapely
from shapely.geometry import LineString, Point, Polygon
from shapely.ops import linemerge, substring
from shapely import affinity

SEGMENTS = 64
PIXELS = 12  # of a window, to the unit
EMPTY = Polygon()


def disc(p, r):
    return Point(p).buffer(r, quad_segs=SEGMENTS)


class Part:
    def __init__(self, given, ink, limb):
        if limb:
            (p, r), (q, s) = given["ends"]
            shape = shapely.convex_hull(disc(p, r).union(disc(q, s)))
            for turn, pivot in given["turns"]:
                shape = affinity.rotate(shape, turn, origin=tuple(pivot))
        else:
            shape = disc(*given["disc"]) if "disc" in given else Polygon(given["ring"])
        self.limb, self.paint, self.edge = limb, shape, LineString(shape.exterior.coords)
        inked = limb or given["inked"]
        self.ink = self.edge.buffer(ink / 2, quad_segs=16, join_style="round") if inked else EMPTY
        self.inner = self.paint.difference(self.ink)
        self.cover = self.paint.union(self.ink)


def lines(shape):
    if shape.is_empty:
        return []
    if shape.geom_type == "LineString":
        return [shape]
    merged = linemerge([g for g in shape.geoms if g.geom_type == "LineString"])
    return [merged] if merged.geom_type == "LineString" else list(merged.geoms)


class Scene:
    def __init__(self, q):
        self.w = q["ink"]
        self.parts = {n: Part(g, self.w, True) for n, g in q["limbs"].items()}
        self.parts |= {n: Part(g, self.w, False) for n, g in q["others"].items()}
        self.order = q["order"]
        self.seams = [(s["of"], disc(s["pivot"], s["zone"])) for s in q["seams"]]

    def between(self, a, b):
        i, j = sorted((self.order.index(a), self.order.index(b)))
        return self.order[i + 1 : j]

    def partners(self, a):
        for pair, zone in self.seams:
            if a in pair:
                yield pair[1 - pair.index(a)], zone

    def through(self, p, but=None):
        """Where seams open the outline of `p`, that with one partner left out."""
        out = EMPTY
        for q, zone in self.partners(p):
            if q != but:
                one = zone.intersection(self.parts[q].inner)
                for x in self.between(p, q):
                    one = one.difference(self.parts[x].cover)
                out = out.union(one)
        return out

    def covers(self, a, b):
        """What lies between: ink that is opened itself, with no paint under it, covers nothing."""
        out = EMPTY
        for x in self.between(a, b):
            part = self.parts[x]
            out = out.union(part.cover.difference(self.through(x).difference(part.paint)) if part.limb else part.cover)
        return out

    def opened(self, a):
        """For each partner: (a) the zone, (b) the partner's clear paint, (c) nothing between."""
        for b, zone in self.partners(a):
            part = self.parts[b]
            hem = part.paint.intersection(part.ink).intersection(self.through(b, but=a))
            yield b, zone, part.inner.union(hem), self.covers(a, b)

    def ended(self, a):
        """Ink of a limb that stays, and its free ends: a half disc about the point where the line's middle crosses
        the rim of a zone or a cover's edge without ink; no island shorter than two widths that touches no line."""
        part, w = self.parts[a], self.w
        found = list(self.opened(a))
        open_ = EMPTY
        for _, zone, clear, cover in found:
            open_ = open_.union(zone.intersection(clear).difference(cover))
        ink = part.ink.difference(open_)
        taken_up = EMPTY
        for b, _, _, cover in found:
            taken_up = taken_up.union(self.parts[b].ink).union(cover)
        ends = []
        pieces = lines(part.edge.difference(open_))
        for piece in pieces:
            if piece.is_ring or piece.length > part.edge.length - 1e-6:
                continue
            if piece.length < 2 * w and not piece.buffer(w / 2, cap_style="flat").intersects(taken_up):
                ink = ink.difference(piece.buffer(w * 0.8))
                continue
            for way in (piece, piece.reverse()):
                m = Point(way.coords[0])
                clear = self.free(m, a, found)
                if clear is None:
                    continue
                keep = substring(way, 0, min(2 * w, way.length / 2))
                ahead = self.ahead(part.edge, m, keep)
                strip = ahead.buffer(w / 2 + 0.01, cap_style="flat").intersection(clear)
                ink = ink.difference(strip).union(keep.buffer(w / 2, cap_style="flat")).union(disc(m, w / 2))
                ends.append(m)
        return ink, ends

    def free(self, m, a, found):
        """Where a line that ends here may open further, or None where it ends on other ink."""
        for b, zone, clear, cover in found:
            others = [z.intersection(c).difference(k) for o, z, c, k in found if o != b]
            if any(o.buffer(-1e-3).contains(m) for o in others):
                continue
            if zone.exterior.distance(m) < 1e-3 and self.parts[b].inner.contains(m):
                return self.parts[b].inner.difference(cover)
            for x in self.between(a, b):
                x = self.parts[x]
                if not x.limb and x.ink.is_empty and x.paint.exterior.distance(m) < 1e-3 and zone.contains(m):
                    return self.parts[b].inner.difference(cover)
        return None

    def ahead(self, edge, m, keep):
        """The line from m on, away from what is kept."""
        length, at = edge.length, edge.project(m)
        ring = LineString(list(edge.coords) + list(edge.coords)[1:])
        at = at if at > length / 4 else at + length
        forward, back = substring(ring, at, at + 2 * self.w), substring(ring, at, at - 2 * self.w)
        probe = keep.interpolate(keep.length / 2)
        return back if forward.distance(probe) < back.distance(probe) else forward

    def shown(self):
        kept, ends = {}, []
        for n in self.order:
            if self.parts[n].limb:
                kept[n], found = self.ended(n)
                ends += [(n, m) for m in found]
        black = EMPTY
        for n in self.order:
            part = self.parts[n]
            black = black.difference(part.paint if part.limb else part.cover)
            black = black.union(kept[n]) if part.limb else black
        return black, kept, ends

    def answer(self, windows):
        black, kept, ends = self.shown() if windows else (EMPTY, {}, [])
        out = []
        for n, m in ends:
            # It stands alone where nothing but the line and its half disc shows around it.
            around = disc(m, 1.6 * self.w)
            strip = lines(self.parts[n].edge.intersection(around))
            alone = len(strip) == 1 and strip[0].buffer(self.w / 2 + 1e-6, cap_style="flat")
            if not alone or black.intersection(around).difference(alone).area > 1e-3:
                continue
            if black.intersection(around).symmetric_difference(kept[n].intersection(around)).area > 1e-3:
                continue
            edges = [p.paint.exterior for k, p in self.parts.items() if k != n and self.order.index(k) > self.order.index(n)]
            if any(e.distance(m) < 1.3 * self.w for e in edges):
                continue
            side = 3 * self.w
            k = int(side * PIXELS)
            at = (np.arange(k) + 0.5) / PIXELS - side / 2
            xs, ys = np.meshgrid(m.x + at, m.y + at)
            shapely.prepare(black)
            bits = shapely.contains_xy(black, xs.ravel(), ys.ravel())
            out.append({"at": [m.x, m.y], "side": side, "pixels": k, "bits": np.packbits(bits).tobytes().hex(),
                        "half": math.pi * self.w ** 2 / 8})
        edge = shapely.union_all([p.paint for p in self.parts.values()]).boundary
        points = [] if windows else [edge.interpolate(d).coords[0] for d in np.arange(0, edge.length, 0.5)]
        limbs = [p for p in self.parts.values() if p.limb]
        union = lambda shapes: shapely.union_all(list(shapes))
        ideal = union(p.cover for p in limbs).difference(union(p.inner for p in limbs))
        return {"area": black.area, "ends": out, "outline": points, "ideal": ideal.area}


scenes = json.load(sys.stdin)
json.dump([Scene(q).answer(q["windows"]) for q in scenes], sys.stdout)
