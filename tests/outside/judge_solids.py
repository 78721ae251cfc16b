"""Solids judged by strangers: Open CASCADE reads STEP, trimesh the meshes, lib3mf the packages.

A `Claim` says what a body ought to be, from the commission alone; see `bodies.py`.
"""

import math
from dataclasses import dataclass, field

import numpy as np

VOLUME = 1e-6  # of the volume
ON_FACE_MM = 1e-3  # how far a point of the exact upper side may lie from the read shape
LOOSE_MM = 1e-4  # the largest tolerance that Open CASCADE may need: 0.1 µm


@dataclass
class Claim:
    """What a body is: volume, places on its upper side, and its height anywhere (NaN at walls and outside)."""

    volume_mm3: float
    points: np.ndarray
    height: object
    base_mm: float
    chord_mm: float = 0.01
    notes: list = field(default_factory=list)


def judge_step(ledger, where, path, claim):
    from OCP.BRep import BRep_Tool
    from OCP.BRepCheck import BRepCheck_Analyzer
    from OCP.BRepGProp import BRepGProp
    from OCP.GProp import GProp_GProps
    from OCP.IFSelect import IFSelect_RetDone
    from OCP.STEPControl import STEPControl_Reader
    from OCP.TopAbs import TopAbs_EDGE, TopAbs_FACE, TopAbs_SHELL, TopAbs_SOLID, TopAbs_VERTEX
    from OCP.TopoDS import TopoDS

    reader = STEPControl_Reader()
    read = reader.ReadFile(str(path)) == IFSelect_RetDone
    ledger.holds("step: Open CASCADE reads the file", read, where)
    if not read:
        return
    reader.TransferRoots()
    shape = reader.OneShape()
    solids, shells = parts(shape, TopAbs_SOLID), parts(shape, TopAbs_SHELL)
    ledger.holds("step: one solid of one closed shell", len(solids) == 1 and len(shells) == 1 and BRep_Tool.IsClosed_s(shells[0]),
                 f"{where}: {len(solids)} solids, {len(shells)} shells")
    ledger.holds("step: BRepCheck finds it valid", BRepCheck_Analyzer(shape).IsValid(), where)
    cast = {TopAbs_VERTEX: "Vertex", TopAbs_EDGE: "Edge", TopAbs_FACE: "Face"}
    loosest = 0.0
    for kind, label in cast.items():
        to = getattr(TopoDS, f"{label}_s", None) or getattr(TopoDS, label)
        loosest = max([loosest] + [BRep_Tool.Tolerance_s(to(part)) for part in parts(shape, kind)])
    ledger.near("step: tolerance that Open CASCADE needs", loosest, 0.0, where, LOOSE_MM, "mm")
    properties = GProp_GProps()
    BRepGProp.VolumeProperties_s(shape, properties, 1e-8, False, False)
    ledger.share("step: volume", properties.Mass(), claim.volume_mm3, where, VOLUME)
    faces = boxed(parts(shape, TopAbs_FACE))
    for point in claim.points:
        ledger.near("step: places of the exact upper side", off(faces, point), 0.0, f"{where} at {point.round(4).tolist()}", ON_FACE_MM, "mm")


def parts(shape, kind):
    from OCP.TopExp import TopExp_Explorer

    explorer, found = TopExp_Explorer(shape, kind), []
    while explorer.More():
        found.append(explorer.Current())
        explorer.Next()
    return found


def boxed(faces, air=0.01):
    """Faces with the boxes around them, as corners."""
    from OCP.BRepBndLib import BRepBndLib
    from OCP.Bnd import Bnd_Box

    corners = []
    for face in faces:
        box = Bnd_Box()
        BRepBndLib.Add_s(face, box)
        box.Enlarge(air)
        low, high = box.CornerMin(), box.CornerMax()
        corners.append([[low.X(), low.Y(), low.Z()], [high.X(), high.Y(), high.Z()]])
    return faces, np.array(corners)


def off(faces, point):
    """How far a point lies from the nearest face whose box holds it; from all faces when none does."""
    from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeVertex
    from OCP.BRepExtrema import BRepExtrema_DistShapeShape
    from OCP.gp import gp_Pnt

    faces, corners = faces
    holds = np.flatnonzero(((corners[:, 0] <= point) & (point <= corners[:, 1])).all(axis=1))
    vertex = BRepBuilderAPI_MakeVertex(gp_Pnt(*map(float, point))).Vertex()
    best = math.inf
    for index in holds if len(holds) else range(len(faces)):
        best = min(best, BRepExtrema_DistShapeShape(vertex, faces[index]).Value())
        if best < ON_FACE_MM / 1000:
            break
    return best


def judge_mesh(ledger, where, path, claim):
    import trimesh

    mesh = trimesh.Trimesh(*packaged(ledger, where, path)) if path.suffix == ".3mf" else trimesh.load(path)
    kind = path.suffix[1:]
    ledger.holds(f"{kind}: trimesh finds it watertight", mesh.is_watertight, where)
    ledger.holds(f"{kind}: wound one way, outward", mesh.is_winding_consistent and mesh.volume > 0, where)
    # Flat facets leave off at most the chord tolerance over the whole surface.
    ledger.near(f"{kind}: volume within the chord over all of the surface", mesh.volume / (claim.chord_mm * mesh.area),
                claim.volume_mm3 / (claim.chord_mm * mesh.area), where, 1.0, "of the chord")
    single = 2.0**-23 * float(abs(mesh.bounds).max())  # numbers in an STL file are of single precision
    up = mesh.face_normals[:, 2] > 1e-3
    corners = mesh.triangles[up]
    middles = (corners + np.roll(corners, 1, axis=1)) / 2
    places = np.concatenate([corners.mean(axis=1), middles.reshape(-1, 3)])
    exact = claim.height(places[:, 0], places[:, 1])
    inside = np.isfinite(exact)
    away = np.abs(places[inside, 2] - exact[inside])
    ledger.near(f"{kind}: triangles on the exact upper side, in chords", float(away.max(initial=0.0) - single) / claim.chord_mm, 0.0,
                f"{where}: at {places[inside][int(np.argmax(away))].round(4).tolist() if len(away) else None}", 1.0, "chords")
    ledger.holds(f"{kind}: some of them lie clear of walls", inside.any(), where)
    low = mesh.triangles[mesh.face_normals[:, 2] < -0.5][:, :, 2]
    ledger.near(f"{kind}: the underside is level", float(np.abs(low - claim.base_mm).max()), 0.0, where, 1e-5, "mm")


def packaged(ledger, where, path):
    """The corners and triangles of a package, as lib3mf reads them."""
    import lib3mf

    model = lib3mf.get_wrapper().CreateModel()
    reader = model.QueryReader("3mf")
    reader.SetStrictModeActive(True)
    reader.ReadFromFile(str(path))
    warnings = [reader.GetWarning(index) for index in range(reader.GetWarningCount())]
    ledger.holds("3mf: lib3mf reads it strictly without a warning", not warnings, f"{where}: {warnings[:2]}")
    objects = model.GetMeshObjects()
    ledger.same("3mf: one mesh", objects.Count(), 1, where)
    objects.MoveNext()
    mesh = objects.GetCurrentMeshObject()
    ledger.holds("3mf: manifold and oriented", mesh.IsManifoldAndOriented(), where)
    ledger.holds("3mf: its unit is the millimetre", model.GetUnit() == lib3mf.ModelUnit.MilliMeter, where)
    return ([list(corner.Coordinates) for corner in mesh.GetVertices()],
            [list(triangle.Indices) for triangle in mesh.GetTriangleIndices()])
