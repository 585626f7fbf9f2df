"""Holes, slots, passages and scale, read back from the exact solid by OpenCASCADE.

Diameters of standard parts are held against this file's own tables, everything else against what the
manifest records of the print. Axes of a cradle in its file: x across, z up, y away from the trunk.
Millimetres, degrees.
"""

from __future__ import annotations

import math
import re
from collections import defaultdict

import numpy as np
from OCP.BRep import BRep_Tool
from OCP.BRepAdaptor import BRepAdaptor_Surface
from OCP.BRepAlgoAPI import BRepAlgoAPI_Common
from OCP.BRepBndLib import BRepBndLib
from OCP.BRepBuilderAPI import BRepBuilderAPI_Transform
from OCP.BRepGProp import BRepGProp
from OCP.Bnd import Bnd_Box
from OCP.GProp import GProp_GProps
from OCP.GeomAbs import GeomAbs_SurfaceType
from OCP.TopAbs import TopAbs_ShapeEnum
from OCP.TopoDS import TopoDS, TopoDS_Shape
from OCP.gp import gp, gp_Trsf, gp_Vec

from ledger import Ledger
from solids import each

K = "ocp"
# ISO 273:1979, medium series.
CLEARANCE = {3: 3.4, 4: 4.5, 5: 5.5, 6: 6.6, 8: 9.0, 10: 11.0, 12: 13.5}
# Pilot holes of one open data set of tapered heat-set inserts; there is no standard.
INSERT = {3: 4.04, 4: 5.61, 5: 6.53}
# Heads of ISO 4017: largest flats, largest height.
HEAD = {3: (5.5, 2.2), 4: (7.0, 3.0), 5: (8.0, 3.74)}
# Ticks every five degrees, a number every thirty.
TICK, NUMBER = 5.0, 30.0
# Text of a STEP file has all digits; places follow from sums of rounded ones.
SAME = 1e-6
# Marks are engraved less deep than this, and a tick or figure is no larger than that, which tells
# their floors from the cradle's own sides.
DEEPEST, LARGEST = 3.0, 10.0
# The direction of a tick's floor by its corners, degrees.
SAME_ANGLE = 0.01


class Solid:
    """Cylinders by direction, axis and radius; flat faces with their corners."""

    def __init__(self, shape: TopoDS_Shape) -> None:
        self.round: dict[tuple[int, float, float, float], int] = defaultdict(int)
        self.flat: list[tuple[np.ndarray, np.ndarray, int]] = []
        for shaped in each(shape, TopAbs_ShapeEnum.TopAbs_FACE):
            face = TopoDS.Face(shaped)
            surface = BRepAdaptor_Surface(face)
            if surface.GetType() == GeomAbs_SurfaceType.GeomAbs_Cylinder:
                cylinder = surface.Cylinder()
                way, at = cylinder.Axis().Direction(), cylinder.Axis().Location()
                along = int(np.argmax(np.abs([way.X(), way.Y(), way.Z()])))
                place = [c for i, c in enumerate((at.X(), at.Y(), at.Z())) if i != along]
                key = (along, round(place[0], 4), round(place[1], 4), round(cylinder.Radius(), 6))
                self.round[key] += 1
            elif surface.GetType() == GeomAbs_SurfaceType.GeomAbs_Plane:
                normal = surface.Plane().Axis().Direction()
                corners = [
                    BRep_Tool.Pnt_s(TopoDS.Vertex(v)) for v in each(face, TopAbs_ShapeEnum.TopAbs_VERTEX)
                ]
                wires = len(each(face, TopAbs_ShapeEnum.TopAbs_WIRE))
                points = np.unique(np.round([[p.X(), p.Y(), p.Z()] for p in corners], 6), axis=0)
                self.flat.append((np.array([normal.X(), normal.Y(), normal.Z()]), points, wires))
        box = Bnd_Box()
        BRepBndLib.AddOptimal_s(shape, box, False, False)
        low, high = box.CornerMin(), box.CornerMax()
        self.low, self.high = (np.array([c.X(), c.Y(), c.Z()]) for c in (low, high))

    def axes(self, along: int, radius: float) -> dict[tuple[float, float], int]:
        """Where cylinders of this radius lie, and how many faces each has."""
        return {
            (a, b): n for (way, a, b, r), n in self.round.items() if way == along and abs(r - radius) < 1e-4
        }


def cradle(shape: TopoDS_Shape, print_: dict, bolts: dict[int, int], name: str, ledger: Ledger) -> None:
    """Pivot, lock slot, ears, passages and the tilt scale of one cradle; `bolts` are to be bought for it."""
    solid, got, size = Solid(shape), print_["interface"]["cradle"], print_["shape"]
    pivots = [m for m in CLEARANCE if abs(CLEARANCE[m] - got["pivot_hole_mm"]) < SAME]
    ledger.require(K, "pivot hole is of ISO 273, for the bolt to buy", name,
                   len(pivots) == 1 and pivots == list(bolts), (pivots, bolts))
    middle, end = (solid.low + solid.high) / 2, size["ear_end_radius_mm"]
    centre = (solid.high[1] - end, solid.low[2] + size["pivot_height_mm"])
    front = solid.high[1] - end - size["pivot_reach_mm"]
    holes = solid.axes(0, got["pivot_hole_mm"] / 2)
    at = min(holes, key=lambda p: math.dist(p, centre), default=(math.nan, math.nan))
    # Four quarters through each of two ears.
    ledger.require(K, "pivot holes go through both ears", name, holes.get(at) == 8, holes)
    for axis, (found, wanted) in enumerate(zip(at, centre, strict=True)):
        ledger.compare(K, f"pivot, {'yz'[axis]}, mm", name, found, wanted, 2e-4)
    ledger.require(K, "ears are round about the pivot", name,
                   any(math.dist(p, centre) < 1e-3 for p in solid.axes(0, end)))
    inside, ear = got["gap_mm"] / 2, size["ear_mm"]
    # Flat faces that look across, beyond the front: the sides of the ears.
    sides = {
        round(abs(points[0][0] - middle[0]), 4)
        for normal, points, _ in solid.flat
        if abs(normal[0]) > 1 - 1e-9 and np.ptp(points[:, 1]) > end and points[:, 1].min() > front - 1e-3
    }
    ledger.require(K, "ears stand where they are recorded", name,
                   {round(inside, 4), round(inside + ear, 4)} <= sides, sides)
    locked = got.get("slot_mm")
    if locked:
        radius = got["lock_radius_mm"]
        for ends in ("slot_from_deg", "slot_to_deg"):
            turn = math.radians(got["lock_angle_deg"] + got[ends])
            wanted = (at[0] + radius * math.cos(turn), at[1] + radius * math.sin(turn))
            off = min((math.dist(p, wanted) for p in solid.axes(0, locked / 2)), default=math.inf)
            ledger.compare(K, "end of a lock slot, mm", name, off, 0.0, 3e-4)
        for side in (-0.5, 0.5):
            wall = solid.axes(0, radius + side * locked)
            ledger.require(K, "lock slot runs about the pivot", name,
                           any(math.dist(p, at) < 1e-3 for p in wall), wall)
    width = [0.0, 0.0]
    for normal, points, _ in solid.flat:
        if abs(normal[2]) > 1 - 1e-9 and np.ptp(points[:, 0]) > 2 * size["side_mm"] - 1e-3:
            depth = points[:, 1] - front + size["front_mm"]
            inner, outer = size["passage_inner_mm"], size["passage_outer_mm"]
            if any(abs(depth - inner) < 1e-3) and any(abs(depth - outer) < 1e-3):
                width[int(normal[2] < 0)] += points[0][2]
    straps = got["straps"]
    ledger.compare(K, "height of all passages, mm", name, abs(width[1] - width[0]),
                   straps * size["passage_height_mm"], 1e-3)
    scale(solid, got, at, middle[0] - inside - ear, name, ledger)


def scale(
    solid: Solid, got: dict, pivot: tuple[float, float], face: float, name: str, ledger: Ledger
) -> None:
    """Ticks by their angle about the pivot, numbers by place and by the shape of their figures."""
    zero = got["lock_angle_deg"] if got.get("slot_mm") else 0.0
    # On the one of the two ears that has cuts behind its outer face.
    sides = [cuts(solid, x) for x in (face, solid.low[0] + solid.high[0] - face)]
    ticks, figures = [], []
    for flat, wires in max(sides, key=len):
        points = flat[:, 1:] - pivot
        centre = points.mean(axis=0)
        spread = points - centre
        _, lengths, ways = np.linalg.svd(spread, full_matrices=False)
        radial = abs(ways[0] @ centre) / np.linalg.norm(centre)
        if wires == 1 and lengths[0] > 2.0 * lengths[1] and radial > 0.999:
            ticks.append(math.degrees(math.atan2(centre[1], centre[0])) - zero)
        else:
            figures.append((centre, wires))
    ticks = sorted((t + 180.0) % 360.0 - 180.0 for t in ticks)
    ledger.require(K, "the tilt scale has ticks", name, bool(ticks))
    if not ticks:
        return
    steps = [round(t / TICK) for t in ticks]
    ledger.require(K, "no tick is left out", name, steps == list(range(steps[0], steps[-1] + 1)), ticks)
    for tick, step in zip(ticks, steps, strict=True):
        ledger.compare(K, "tick of the tilt scale, degrees", name, tick, step * TICK, SAME_ANGLE)
    if got.get("slot_mm"):
        ends = [math.ceil(got["slot_from_deg"] / TICK - 1e-6), math.floor(got["slot_to_deg"] / TICK + 1e-6)]
        ledger.require(K, "scale spans the lock slot", name, [steps[0], steps[-1]] == ends, (ticks, ends))
    # At nothing stands one figure with a hole, which is a nought; at 30 and 60 two, the last a nought.
    at = defaultdict(list)
    for centre, wires in figures:
        turn = (math.degrees(math.atan2(centre[1], centre[0])) - zero + 180.0) % 360.0 - 180.0
        at[round(turn / NUMBER)].append(wires)
    if at and steps[0] <= 0 <= steps[-1]:
        ledger.require(K, "a lone nought stands at nothing", name, at.get(0) == [2], dict(at))
    for number, holes in at.items():
        if number in (1, 2, 3):
            expected = {1: [1, 2], 2: [2, 2], 3: [2, 2]}[number]
            ledger.require(K, "two figures stand at 30, 60, 90", name, sorted(holes) == expected, (number, holes))


def cuts(solid: Solid, face: float) -> list[tuple[np.ndarray, int]]:
    """Floors of what is engraved in a side of the cradle: corners, and how many outlines."""
    return [
        (points, wires) for normal, points, wires in solid.flat
        if abs(normal[0]) > 1 - 1e-9 and 1e-3 < abs(points[0][0] - face) < DEEPEST
        and np.ptp(points, axis=0).max() < LARGEST
    ]


def bought(about: dict, kind: str, place: str = "") -> dict[int, int]:
    """How many of a kind are to be bought for a place, by thread."""
    counts: dict[int, int] = defaultdict(int)
    for line in about["lists"]["buy"]:
        found = re.search(rf"^{kind}.* M(\d+)", line["name"])
        if found and line["place"].startswith(place):
            counts[int(found[1])] += line["count"]
    return counts


def box(shape: TopoDS_Shape, boxes: int, about: dict, name: str, ledger: Ledger) -> None:
    """As many insert holes as inserts are bought, each of its pilot diameter."""
    solid = Solid(shape)
    for thread, count in bought(about, "heat-set insert").items():
        holes = solid.axes(2, INSERT[thread] / 2)
        ledger.compare(K, "insert holes of the pilot diameter", name, len(holes), count / boxes, 0.0)


def lid(shape: TopoDS_Shape, print_: dict, name: str, ledger: Ledger) -> None:
    """A clearance hole of ISO 273 for each screw of the lid, in a ring's pocket about the same axis."""
    solid, size = Solid(shape), print_["shape"]
    thread = round(print_["interface"]["box"]["lid_screw_mm"])
    holes = solid.axes(2, CLEARANCE[thread] / 2)
    ledger.compare(K, "lid hole, ISO 273, mm", name, size["lid_hole_mm"], CLEARANCE[thread], SAME)
    ledger.require(K, "a ring's pocket about every lid hole", name,
                   bool(holes) and set(holes) <= set(solid.axes(2, size["lid_ring_mm"] / 2)), holes)


def knob(shape: TopoDS_Shape, print_: dict, name: str, ledger: Ledger) -> None:
    """A pocket that takes the screw's head and holds it from turning, over a hole of ISO 273."""
    solid = Solid(shape)
    thread = round(print_["interface"]["box"]["lid_screw_mm"])
    ledger.require(K, "hole of a knob, ISO 273", name, len(solid.axes(2, CLEARANCE[thread] / 2)) == 1)
    middle = ((solid.low + solid.high) / 2)[:2]
    across = [
        abs(float(np.dot(points[0][:2] - middle, normal[:2]))) * 2
        for normal, points, _ in solid.flat if abs(normal[2]) < 1e-9
    ]
    pocket = [a for a in across if a < HEAD[thread][0] + 1.0]
    ledger.require(K, "six flats round the head", name, len(pocket) == 6, across)
    for flats in pocket:
        ledger.require(K, "head held within half a millimetre", name, 0.0 < flats - HEAD[thread][0] < 0.5, flats)
    seat = max(points[:, 2].max() for normal, points, _ in solid.flat
               if abs(normal[2]) > 1 - 1e-9 and points[:, 2].max() < solid.high[2] - SAME)
    ledger.require(K, "head below the knob's top", name, solid.high[2] - seat > HEAD[thread][1], seat)


def closed(body: TopoDS_Shape, lid_: TopoDS_Shape, print_: dict, name: str, ledger: Ledger) -> None:
    """The lid on its box, and lifted by half its skirt: nothing meets, and its holes lie over the inserts."""
    size, box_, cover = print_["shape"], Solid(body), Solid(lid_)
    thread = round(print_["interface"]["box"]["lid_screw_mm"])
    over = gp_Trsf()
    over.SetRotation(gp.OX_s(), math.pi)
    # The lid prints on its outer face: turned over, that lies its thickness above the land.
    middle = (box_.low + box_.high) / 2 - (cover.low + cover.high) / 2 * [1, -1, 1]
    for lift in (0.0, size["lid_skirt_mm"] / 2):
        moved = gp_Trsf()
        moved.SetTranslation(gp_Vec(middle[0], middle[1], box_.high[2] + size["lid_thickness_mm"] + lift))
        placed = BRepBuilderAPI_Transform(lid_, moved.Multiplied(over), True).Shape()
        props = GProp_GProps()
        BRepGProp.VolumeProperties_s(BRepAlgoAPI_Common(body, placed).Shape(), props)
        ledger.compare(K, "lid and body share, mm3", name, abs(props.Mass()), 0.0, 1e-3)
        holes = Solid(placed).axes(2, CLEARANCE[thread] / 2)
        inserts = box_.axes(2, INSERT[thread] / 2)
        off = [min(math.dist(a, b) for b in inserts) for a in holes]
        ledger.compare(K, "hole of the lid off its insert, mm", name, max(off), 0.0, 1e-3)


def rail(shape: TopoDS_Shape, print_: dict, name: str, ledger: Ledger) -> None:
    """Two holes through the flanges, as far apart as recorded."""
    solid, got = Solid(shape), print_["interface"]["rail"]
    holes = sorted(solid.axes(1, got["screw_hole_mm"] / 2))
    ledger.require(K, "screw hole of a rail is of ISO 273", name,
                   any(abs(d - got["screw_hole_mm"]) < SAME for d in CLEARANCE.values()), got)
    apart = holes[-1][0] - holes[0][0] if len(holes) == 2 else math.nan
    ledger.compare(K, "screws of a rail, mm apart", name, apart, 2 * got["screw_x_mm"], 2e-4)


def check(shape: TopoDS_Shape, part: dict, about: dict, name: str, ledger: Ledger) -> None:
    """What there is to read back from a part of this kind."""
    kind, mark = part["kind"], part["name"].rsplit("-", 1)[-1].upper()
    recorded = {(p["kind"], p.get("mark")): p for p in about["prints"]}
    print_ = recorded.get((kind, mark)) or recorded.get(("box", None))
    if kind == "cradle":
        cradle(shape, print_, bought(about, "ISO 4762", "pivot"), name, ledger)
    elif kind == "rail":
        rail(shape, print_, name, ledger)
    elif kind == "box-body":
        box(shape, part["copies"], about, name, ledger)
    elif kind == "box-lid":
        lid(shape, print_, name, ledger)
    elif kind == "knob":
        knob(shape, print_, name, ledger)
