"""Time from a plan to an STL: this program, OpenCASCADE with booleans, and manifold3d.

The same kind of solid in each: a cradle (curved back, pad recess, two strap passages with rounded
mouths, two ears with pivot holes and arc slots, a tilt scale of ticks) and a box (tray, flange,
groove, bosses, holes, standoffs). Engraved letters are left out for the other kernels, which is to
their advantage. Deviation 0.05 mm, same machine, same run; the least of several runs for the others,
criterion's mean for this program.
"""

from __future__ import annotations

import json
import math
import os
import subprocess
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

import manifold3d as m3
import numpy as np
from OCP.Bnd import Bnd_Box
from OCP.BRepAlgoAPI import BRepAlgoAPI_Cut, BRepAlgoAPI_Fuse
from OCP.BRepBndLib import BRepBndLib
from OCP.BRepFilletAPI import BRepFilletAPI_MakeFillet
from OCP.BRepMesh import BRepMesh_IncrementalMesh
from OCP.BRepPrimAPI import BRepPrimAPI_MakeBox, BRepPrimAPI_MakeCylinder
from OCP.gp import gp_Ax2, gp_Dir, gp_Pnt
from OCP.StlAPI import StlAPI_Writer
from OCP.TopAbs import TopAbs_ShapeEnum
from OCP.TopExp import TopExp_Explorer
from OCP.TopoDS import TopoDS, TopoDS_Shape
from OCP.collections import List_TopoDS_Shape

DEVIATION = 0.05
RUNS = 5
# Millimetres: width, saddle depth, height, trunk face radius, ear thickness and reach.
W, D, H, R, EAR, REACH = 130.0, 42.0, 80.0, 180.0, 7.0, 62.0
# Box: outside, wall, flange.
BX, BY, BZ, WALL, FLANGE = 200.0, 140.0, 95.0, 2.4, 12.0

Vec = tuple[float, float, float]


class Kernel:
    """Boxes and cylinders, and their sums and differences."""

    def box(self, low: Vec, size: Vec) -> object: ...
    def cylinder(self, base: Vec, axis: str, radius: float, height: float) -> object: ...
    def fuse(self, shapes: list) -> object: ...
    def cut(self, shape: object, tools: list) -> object: ...
    def round_mouths(self, shape: object) -> object: ...
    def stl(self, shape: object, path: Path) -> None: ...


class Occ(Kernel):
    """Boundary representation."""

    AXES = {"x": (1, 0, 0), "y": (0, 1, 0), "z": (0, 0, 1)}

    def box(self, low: Vec, size: Vec) -> TopoDS_Shape:
        return BRepPrimAPI_MakeBox(gp_Pnt(*low), *size).Shape()

    def cylinder(self, base: Vec, axis: str, radius: float, height: float) -> TopoDS_Shape:
        frame = gp_Ax2(gp_Pnt(*base), gp_Dir(*self.AXES[axis]))
        return BRepPrimAPI_MakeCylinder(frame, radius, height).Shape()

    @staticmethod
    def _boolean(operation: object, first: list, second: list) -> TopoDS_Shape:
        for shapes, give in ((first, operation.SetArguments), (second, operation.SetTools)):
            listed = List_TopoDS_Shape()
            for shape in shapes:
                listed.Append(shape)
            give(listed)
        operation.Build()
        return operation.Shape()

    def fuse(self, shapes: list) -> TopoDS_Shape:
        return self._boolean(BRepAlgoAPI_Fuse(), shapes[:1], shapes[1:])

    def cut(self, shape: TopoDS_Shape, tools: list) -> TopoDS_Shape:
        return self._boolean(BRepAlgoAPI_Cut(), [shape], tools)

    def round_mouths(self, shape: TopoDS_Shape) -> TopoDS_Shape:
        fillet = BRepFilletAPI_MakeFillet(shape)
        edges = TopExp_Explorer(shape, TopAbs_ShapeEnum.TopAbs_EDGE)
        found = 0
        while edges.More():
            edge = TopoDS.Edge(edges.Current())
            if is_mouth(edge):
                fillet.Add(2.0, edge)
                found += 1
            edges.Next()
        if not found:
            raise SystemExit("speed: no strap mouth to round")
        return fillet.Shape()

    def stl(self, shape: TopoDS_Shape, path: Path) -> None:
        BRepMesh_IncrementalMesh(shape, DEVIATION)
        writer = StlAPI_Writer()
        writer.ASCIIMode = False
        if not writer.Write(shape, str(path)):
            raise SystemExit("speed: OpenCASCADE wrote no STL")


def is_mouth(edge: object) -> bool:
    """An upright edge of a strap passage in the side faces, over which webbing turns."""
    bounds = Bnd_Box()
    BRepBndLib.AddOptimal_s(edge, bounds, False, False)
    low, high = bounds.CornerMin(), bounds.CornerMax()
    x0, y0, z0, x1, y1, z1 = low.X(), low.Y(), low.Z(), high.X(), high.Y(), high.Z()
    upright = x1 - x0 < 0.01 and y1 - y0 < 0.01 and 27 < z1 - z0 < 29
    return upright and abs(abs(x0) - W / 2) < 0.01 and D - 13 < y0 < D - 7


class Manifold(Kernel):
    """Triangle meshes; chords within the deviation."""

    TURN = {"x": (0, 90, 0), "y": (-90, 0, 0), "z": (0, 0, 0)}

    def box(self, low: Vec, size: Vec) -> m3.Manifold:
        return m3.Manifold.cube(size).translate(low)

    def cylinder(self, base: Vec, axis: str, radius: float, height: float) -> m3.Manifold:
        segments = math.ceil(math.pi / math.acos(1 - DEVIATION / radius))
        shape = m3.Manifold.cylinder(height, radius, radius, max(segments, 8))
        return shape.rotate(self.TURN[axis]).translate(base)

    def fuse(self, shapes: list) -> m3.Manifold:
        return m3.Manifold.batch_boolean(shapes, m3.OpType.Add)

    def cut(self, shape: m3.Manifold, tools: list) -> m3.Manifold:
        return m3.Manifold.batch_boolean([shape, *tools], m3.OpType.Subtract)

    def round_mouths(self, shape: m3.Manifold) -> m3.Manifold:
        return shape  # Meshes have no fillet; left out, to its advantage.

    def stl(self, shape: m3.Manifold, path: Path) -> None:
        mesh = shape.to_mesh()
        corners = mesh.vert_properties[:, :3][mesh.tri_verts]
        records = np.zeros(len(corners), dtype=[("n", "<f4", 3), ("v", "<f4", (3, 3)), ("a", "<u2")])
        records["v"] = corners
        path.write_bytes(bytes(80) + np.uint32(len(corners)).tobytes() + records.tobytes())


def cradle(k: Kernel) -> object:
    """A cradle from primitives."""
    saddle = k.cut(
        k.box((-W / 2, 0, 0), (W, D, H)),
        [k.cylinder((0, -R + 14, -1), "z", R, H + 2)]
        + [k.box((-W / 2 - 1, D - 12, z), (W + 2, 4, 28)) for z in (6.0, H - 34)],
    )
    saddle = k.round_mouths(saddle)
    ears, holes = [], []
    for x in (-W / 2, W / 2 - EAR):
        ears.append(k.box((x, D - 1, 0), (EAR, REACH, H)))
        pivot = (x - 1, D + REACH - 24, H / 2)
        holes.append(k.cylinder(pivot, "x", 3.3, EAR + 2))
        # An arc slot as a row of holes along it; the tilt scale as ticks on the outside.
        for i in range(19):
            a = math.radians(-60 + 5 * i)
            at = (x - 1, pivot[1] - 16 * math.cos(a), pivot[2] + 16 * math.sin(a))
            holes.append(k.cylinder(at, "x", 2.8, EAR + 2))
        outside = x - 0.6 if x < 0 else x + EAR - 0.6
        for i in range(10):
            holes.append(k.box((outside, D + 6 + 4 * i, 4), (1.2, 0.8, 3)))
    return k.cut(k.fuse([saddle, *ears]), holes)


def tray(k: Kernel) -> object:
    """A box from primitives."""
    bosses = [(x, y) for x in (8.0, BX / 2, BX - 8) for y in (8.0, BY - 8)]
    outer = k.fuse(
        [k.box((FLANGE, FLANGE, 0), (BX - 2 * FLANGE, BY - 2 * FLANGE, BZ)),
         k.box((0, 0, BZ - 6), (BX, BY, 6))]
    )
    inside = (FLANGE + WALL, FLANGE + WALL)
    room = k.box((*inside, WALL), (BX - 2 * inside[0], BY - 2 * inside[1], BZ))
    ring = k.cut(
        k.box((FLANGE - 4, FLANGE - 4, BZ - 2), (BX - 2 * FLANGE + 8, BY - 2 * FLANGE + 8, 3)),
        [k.box((FLANGE - 1, FLANGE - 1, BZ - 3), (BX - 2 * FLANGE + 2, BY - 2 * FLANGE + 2, 5))],
    )
    drilled = [k.cylinder((x, y, BZ - 7), "z", 2.1, 8) for x, y in bosses]
    drilled += [k.cylinder((60.0 + 40 * i, FLANGE - 1, 40), "y", 8.2, WALL + 2) for i in range(3)]
    posts, pilots = [], []
    for x in (50.0, 126.0):
        for y in (50.0, 94.0):
            posts.append(k.cylinder((x, y, WALL - 0.5), "z", 4, 8))
            pilots.append(k.cylinder((x, y, WALL + 1), "z", 1.25, 8))
    return k.cut(k.fuse([k.cut(outer, [room, ring]), *posts]), drilled + pilots)


def least(work: Callable[[], None]) -> float:
    """Seconds of the fastest of several runs, the first one not counted."""
    work()
    times = []
    for _ in range(RUNS):
        start = time.perf_counter()
        work()
        times.append(time.perf_counter() - start)
    return min(times)


def ours(part: str) -> float:
    """Criterion's mean, seconds."""
    target = Path(os.environ["BOLEWRIGHT"]).parents[1]
    # Criterion puts a line for the colon in a folder's name.
    file = target / "criterion" / f"{part}_ plan to STL" / "new" / "estimates.json"
    return json.loads(file.read_text())["mean"]["point_estimate"] * 1e-9


def main() -> int:
    """Prints the table of times."""
    subprocess.run(["cargo", "bench", "--quiet", "--bench", "parts", "--", "plan to STL"], check=True)
    print(f"\n{'plan to STL, ms':<18} {'this program':>13} {'OpenCASCADE':>12} {'ratio':>7} "
          f"{'manifold3d':>11} {'ratio':>7}")
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder, "part.stl")
        for name, part, build in (("cradle", "cradle-a", cradle), ("box", "box-body", tray)):
            mine = ours(part)
            cells = []
            for kernel in (Occ(), Manifold()):
                took = least(lambda k=kernel, b=build: k.stl(b(k), path))
                cells.append((took * 1e3, took / mine))
            (occ, r1), (man, r2) = cells
            print(f"{name:<18} {mine * 1e3:>13.1f} {occ:>12.1f} {r1:>6.1f}x {man:>11.1f} {r2:>6.1f}x")
    return 0
