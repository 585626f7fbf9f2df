"""Meshes and exact solids, read by trimesh, manifold3d, lib3mf and OpenCASCADE (OCP).

Every number is measured afresh from the file and set against what the manifest says of the part.
Millimetres; volumes in mm3.
"""

from __future__ import annotations

import re
from pathlib import Path

import lib3mf
import manifold3d
import numpy as np
import trimesh
from OCP.BRep import BRep_Builder
from OCP.BRepAdaptor import BRepAdaptor_Curve, BRepAdaptor_Surface
from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeVertex
from OCP.BRepCheck import BRepCheck_Analyzer
from OCP.BRepExtrema import BRepExtrema_DistShapeShape
from OCP.BRepGProp import BRepGProp
from OCP.GeomAbs import GeomAbs_CurveType, GeomAbs_SurfaceType
from OCP.gp import gp_Pnt
from OCP.GProp import GProp_GProps
from OCP.IFSelect import IFSelect_ReturnStatus
from OCP.STEPControl import STEPControl_Reader
from OCP.TopAbs import TopAbs_ShapeEnum
from OCP.TopExp import TopExp_Explorer
from OCP.TopoDS import TopoDS, TopoDS_Compound, TopoDS_Shape

from ledger import Ledger

# A binary STL and a 3MF hold what the gate measured: only the order of summation differs.
SAME_MESH = 1e-6
# Corners of the bounding box, mm: single precision at 500 mm is 3e-5.
SAME_BOX = 1e-4
# Adaptive integration in OpenCASCADE over cylinders and cones, relative.
SAME_SOLID = 1e-6
# What a machinist's program recognises. Under the lid's flange a box body widens askew in its corners:
# those are no cones, and stay splines.
NAMED_FACES = {
    GeomAbs_SurfaceType.GeomAbs_Plane, GeomAbs_SurfaceType.GeomAbs_Cylinder, GeomAbs_SurfaceType.GeomAbs_Cone,
}
NAMED_EDGES = {GeomAbs_CurveType.GeomAbs_Line, GeomAbs_CurveType.GeomAbs_Circle}
ASKEW = {"box-body": 8}
# Vertices lie on the exact surface, mm: single precision, and the snapping of the finished mesh.
ON_SURFACE = 2e-3
# Points of each mesh whose distance to the exact solid is measured.
PROBES = 24


def stl(path: Path, part: dict, ledger: Ledger) -> trimesh.Trimesh:
    """A binary STL by trimesh and by manifold3d."""
    name = str(path)
    # Vertices of equal coordinates are one; nothing is repaired.
    mesh = trimesh.load_mesh(path, process=False)
    mesh.merge_vertices(digits_vertex=9)
    k = "trimesh"
    ledger.require(k, "every edge is used twice", name, mesh.is_watertight)
    ledger.require(k, "triangles are wound one way", name, mesh.is_winding_consistent)
    ledger.require(k, "no triangle without area", name, bool((mesh.area_faces > 0).all()))
    ledger.require(k, "one body", name, mesh.body_count == 1, mesh.body_count)
    ledger.require(k, "triangles as listed", name, len(mesh.faces) == part["triangles"])
    genus = 1 - mesh.euler_number / 2
    ledger.compare(k, "genus from Euler's number", name, genus, part["genus"], 0.0)
    ledger.ratio(k, "volume of the mesh", name, mesh.volume, part["volume_mm3"], SAME_MESH)
    ledger.ratio(k, "area of the mesh", name, mesh.area, part["area_mm2"], SAME_MESH)
    for axis in range(3):
        size, listed = mesh.extents[axis], part["bounding_box_mm"][axis]
        ledger.compare(k, "size of the bounding box, mm", name, size, listed, SAME_BOX)
    ledger.compare(k, "lies on the bed, mm", name, mesh.bounds[0][2], 0.0, SAME_BOX)

    k = "manifold3d"
    solid = manifold3d.Manifold(
        manifold3d.Mesh(
            vert_properties=np.asarray(mesh.vertices, dtype=np.float32),
            tri_verts=np.asarray(mesh.faces, dtype=np.uint32),
        )
    )
    fine = solid.status() == manifold3d.Error.NoError and not solid.is_empty()
    ledger.require(k, "accepted as a manifold", name, fine, solid.status())
    if fine:
        ledger.compare(k, "genus", name, solid.genus(), part["genus"], 0.0)
        ledger.ratio(k, "volume", name, solid.volume(), part["volume_mm3"], SAME_MESH)
        bodies = solid.decompose()
        ledger.require(k, "one body", name, len(bodies) == 1, len(bodies))
    return mesh


def threemf(path: Path, ledger: Ledger) -> list[tuple[str, trimesh.Trimesh]]:
    """Every object of a 3MF package by lib3mf, the format's reference reader."""
    name, k = str(path), "lib3mf"
    model = lib3mf.get_wrapper().CreateModel()
    reader = model.QueryReader("3mf")
    reader.SetStrictModeActive(True)
    reader.ReadFromFile(name)
    warnings = [reader.GetWarning(i)[0] for i in range(reader.GetWarningCount())]
    ledger.require(k, "read without a warning", name, not warnings, warnings)
    ledger.require(k, "unit is millimetres", name, model.GetUnit() == lib3mf.ModelUnit.MilliMeter)
    found = []
    items = model.GetBuildItems()
    while items.MoveNext():
        item = items.GetCurrent()
        ledger.require(k, "placement baked in", name, not item.HasObjectTransform())
        mesh = model.GetMeshObjectByID(item.GetObjectResourceID())
        sound = mesh.IsManifoldAndOriented()
        ledger.require(k, "manifold and oriented", f"{name} {mesh.GetName()}", sound)
        vertices = np.array([list(v.Coordinates) for v in mesh.GetVertices()])
        faces = np.array([list(t.Indices) for t in mesh.GetTriangleIndices()])
        found.append((mesh.GetName(), trimesh.Trimesh(vertices, faces, process=False)))
    ledger.require(k, "something to build", name, bool(found))
    return found


def part_3mf(path: Path, part: dict, ledger: Ledger) -> None:
    """The package of one part holds that part once."""
    name, k = str(path), "lib3mf"
    objects = threemf(path, ledger)
    ledger.require(k, "one object a part", name, len(objects) == 1, len(objects))
    for title, mesh in objects:
        ledger.require(k, "object has the part's name", name, title == part["name"], title)
        ledger.ratio(k, "volume", name, mesh.volume, part["volume_mm3"], SAME_MESH)
        ledger.require(k, "triangles as listed", name, len(mesh.faces) == part["triangles"])


def each(shape: TopoDS_Shape, kind: TopAbs_ShapeEnum) -> list[TopoDS_Shape]:
    """All shapes of a kind in a shape."""
    explorer, found = TopExp_Explorer(shape, kind), []
    while explorer.More():
        found.append(explorer.Current())
        explorer.Next()
    return found


def step(path: Path, part: dict, ledger: Ledger) -> TopoDS_Shape | None:
    """A STEP file by OpenCASCADE: one valid solid of the listed volume."""
    name, k = str(path), "ocp"
    reader = STEPControl_Reader()
    status = reader.ReadFile(name)
    read = status == IFSelect_ReturnStatus.IFSelect_RetDone and reader.TransferRoots() > 0
    ledger.require(k, "read", name, read, status)
    if not read:
        return None
    check = reader.WS().Model().GlobalCheck(True)
    faults = [check.CFail(i + 1) for i in range(check.NbFails())]
    ledger.require(k, "no fault in the file", name, not faults, faults)
    products = re.findall(r"= PRODUCT\('([^']*)'", path.read_text())
    ledger.require(k, "product has the part's name", name, products == [part["name"]], products)
    shape = reader.OneShape()
    solids = len(each(shape, TopAbs_ShapeEnum.TopAbs_SOLID))
    ledger.require(k, "one solid", name, solids == 1, solids)
    ledger.require(k, "valid", name, BRepCheck_Analyzer(shape).IsValid())
    props = GProp_GProps()
    BRepGProp.VolumeProperties_s(shape, props, 1e-7)
    ledger.ratio(k, "volume", name, props.Mass(), part["exact_volume_mm3"], SAME_SOLID)
    faces = [BRepAdaptor_Surface(TopoDS.Face(f)).GetType() for f in each(shape, TopAbs_ShapeEnum.TopAbs_FACE)]
    edges = [BRepAdaptor_Curve(TopoDS.Edge(e)).GetType() for e in each(shape, TopAbs_ShapeEnum.TopAbs_EDGE)]
    askew = sum(f not in NAMED_FACES for f in faces)
    ledger.require(k, "planes, cylinders and cones are such", name, askew <= ASKEW.get(part["kind"], 0), askew)
    ledger.require(k, "lines and circles are such", name, set(edges) <= NAMED_EDGES, set(edges))
    return shape


def mesh_on_solid(
    mesh: trimesh.Trimesh, shape: TopoDS_Shape, part: dict, deviation: float, where: str,
    ledger: Ledger,
) -> None:
    """The mesh follows the exact solid: corners on its surface, the rest within the deviation."""
    k = "ocp"
    room = part["area_mm2"] * deviation
    ledger.compare(
        k, "mesh volume, share of area x deviation", where,
        (mesh.volume - part["exact_volume_mm3"]) / room, 0.0, 1.0,
    )
    shells = shell_of(shape)
    # Large triangles first: a plane that is missing or misplaced shows there.
    order = np.argsort(-mesh.area_faces, kind="stable")
    picked = np.concatenate([order[:4], order[np.linspace(4, len(order) - 1, PROBES - 4, dtype=int)]])
    for face in picked:
        corner = mesh.triangles[face][0]
        ledger.compare(k, "mesh corner off the surface, mm", where, distance(corner, shells), 0.0,
                       ON_SURFACE)
        middle = mesh.triangles_center[face]
        ledger.compare(k, "mesh face off the surface, mm", where, distance(middle, shells), 0.0,
                       deviation + ON_SURFACE)


def shell_of(shape: TopoDS_Shape) -> TopoDS_Shape:
    """The surface of a solid, so that a point inside has a distance as well."""
    compound, builder = TopoDS_Compound(), BRep_Builder()
    builder.MakeCompound(compound)
    explorer = TopExp_Explorer(shape, TopAbs_ShapeEnum.TopAbs_SHELL)
    while explorer.More():
        builder.Add(compound, explorer.Current())
        explorer.Next()
    return compound


def distance(point: np.ndarray, shape: TopoDS_Shape) -> float:
    """Least distance from a point to a surface."""
    vertex = BRepBuilderAPI_MakeVertex(gp_Pnt(*map(float, point))).Vertex()
    return BRepExtrema_DistShapeShape(vertex, shape).Value()
