"""Solids judged by strangers: Open CASCADE reads the STEP files, trimesh the meshes, lib3mf the packages.

`judge(folder)` reads `solids.json` in the folder (a list of {file, volume_mm3, chord_mm, samples}), prints one
line for each fact, and returns how many facts held and how many did not.
"""

import json
import math
import sys
from pathlib import Path

VOLUME = 1e-6  # STEP: relative difference of Open CASCADE's volume from the stated one
ON_FACE_MM = 1e-3  # STEP: how far a point of the exact upper side may lie from the read shape


class Tally:
    def __init__(self):
        self.held = self.failed = 0

    def fact(self, holds, text):
        self.held += bool(holds)
        self.failed += not holds
        print(f"{'ok  ' if holds else 'FAIL'} {text}")


def judge_step(path, entry, tally):
    from OCP.BRep import BRep_Tool
    from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeVertex
    from OCP.BRepCheck import BRepCheck_Analyzer
    from OCP.BRepExtrema import BRepExtrema_DistShapeShape
    from OCP.BRepGProp import BRepGProp
    from OCP.GProp import GProp_GProps
    from OCP.IFSelect import IFSelect_RetDone
    from OCP.STEPControl import STEPControl_Reader
    from OCP.TopAbs import TopAbs_EDGE, TopAbs_FACE, TopAbs_SHELL, TopAbs_SOLID, TopAbs_VERTEX
    from OCP.TopExp import TopExp_Explorer
    from OCP.TopoDS import TopoDS
    from OCP.gp import gp_Pnt

    def parts(shape, kind):
        explorer, found = TopExp_Explorer(shape, kind), []
        while explorer.More():
            found.append(explorer.Current())
            explorer.Next()
        return found

    name = path.name
    reader = STEPControl_Reader()
    status = reader.ReadFile(str(path))
    tally.fact(status == IFSelect_RetDone, f"{name}: Open CASCADE reads the file")
    reader.TransferRoots()
    shape = reader.OneShape()
    solids, shells = parts(shape, TopAbs_SOLID), parts(shape, TopAbs_SHELL)
    tally.fact(len(solids) == 1 and len(shells) == 1, f"{name}: one solid of one shell ({len(solids)}, {len(shells)})")
    tally.fact(shells and all(BRep_Tool.IsClosed_s(shell) for shell in shells), f"{name}: its shell is closed")
    tally.fact(BRepCheck_Analyzer(shape).IsValid(), f"{name}: BRepCheck finds it valid")
    cast = {TopAbs_VERTEX: "Vertex", TopAbs_EDGE: "Edge", TopAbs_FACE: "Face"}
    loosest = 0.0
    for kind, label in cast.items():
        to = getattr(TopoDS, f"{label}_s", None) or getattr(TopoDS, label)
        loosest = max([loosest] + [BRep_Tool.Tolerance_s(to(part)) for part in parts(shape, kind)])
    tally.fact(loosest <= 1e-4, f"{name}: no tolerance above 0.1 µm was needed ({loosest:.2e} mm)")
    properties = GProp_GProps()
    BRepGProp.VolumeProperties_s(shape, properties, 1e-10, False, False)
    away = properties.Mass() / entry["volume_mm3"] - 1
    tally.fact(abs(away) <= VOLUME, f"{name}: volume {properties.Mass():.6f} mm³, {away:+.2e} of the stated one away")
    worst = 0.0
    for point in entry["samples"]:
        vertex = BRepBuilderAPI_MakeVertex(gp_Pnt(*point)).Vertex()
        worst = max(worst, min(
            BRepExtrema_DistShapeShape(vertex, face).Value() for face in near(parts(shape, TopAbs_FACE), point)))
    tally.fact(entry["samples"] and worst <= ON_FACE_MM,
               f"{name}: {len(entry['samples'])} points of the exact upper side lie within {worst:.2e} mm of it")
    return abs(away)


def near(faces, point, air=0.01):
    """The faces whose bounding box holds the point; all of them when none does."""
    from OCP.BRepBndLib import BRepBndLib
    from OCP.Bnd import Bnd_Box
    from OCP.gp import gp_Pnt

    found = []
    for face in faces:
        box = Bnd_Box()
        BRepBndLib.Add_s(face, box)
        box.Enlarge(air)
        if not box.IsOut(gp_Pnt(*point)):
            found.append(face)
    return found or faces


def judge_mesh(path, entry, tally):
    import numpy as np
    import trimesh

    name = path.name
    mesh = trimesh.Trimesh(*packaged(path, tally)) if path.suffix == ".3mf" else trimesh.load(path)
    tally.fact(mesh.is_watertight, f"{name}: trimesh finds it watertight ({len(mesh.faces)} triangles)")
    tally.fact(mesh.is_winding_consistent, f"{name}: and wound one way")
    # Flat facets leave off at most the chord tolerance over the whole surface.
    away, bound = mesh.volume - entry["volume_mm3"], entry["chord_mm"] * mesh.area
    tally.fact(0 < mesh.volume and abs(away) <= bound,
               f"{name}: volume {mesh.volume:.3f} mm³, {away:+.4f} mm³ away, at most {bound:.3f}")
    worst = max((closest(np, trimesh, mesh, point) for point in entry["samples"]), default=math.nan)
    single = 2.0**-23 * abs(mesh.bounds).max()  # numbers in an STL file are of single precision
    tally.fact(worst <= entry["chord_mm"] + single,
               f"{name}: {len(entry['samples'])} points of the exact upper side lie within {worst:.2e} mm of it, asked {entry['chord_mm']}")


def closest(np, trimesh, mesh, point):
    """How far a point lies from the mesh: from those triangles whose bounding boxes come near, else from all."""
    air = 1.0
    corners = mesh.triangles
    close = np.all((corners.min(axis=1) <= np.add(point, air)) & (corners.max(axis=1) >= np.subtract(point, air)), axis=1)
    corners = corners[close] if close.any() else corners
    nearest = trimesh.triangles.closest_point(corners, np.broadcast_to(point, (len(corners), 3)))
    return np.linalg.norm(nearest - point, axis=1).min()


def packaged(path, tally):
    """The corners and triangles of a package, as lib3mf reads them."""
    import lib3mf

    model = lib3mf.get_wrapper().CreateModel()
    reader = model.QueryReader("3mf")
    reader.SetStrictModeActive(True)
    reader.ReadFromFile(str(path))
    warnings = [reader.GetWarning(index) for index in range(reader.GetWarningCount())]
    tally.fact(not warnings, f"{path.name}: lib3mf reads it strictly, {len(warnings)} warnings {warnings[:2]}")
    objects = model.GetMeshObjects()
    tally.fact(objects.Count() == 1, f"{path.name}: it holds one mesh")
    objects.MoveNext()
    mesh = objects.GetCurrentMeshObject()
    tally.fact(mesh.IsManifoldAndOriented(), f"{path.name}: lib3mf finds it manifold and oriented")
    millimetres = model.GetUnit() == lib3mf.ModelUnit.MilliMeter
    tally.fact(millimetres, f"{path.name}: its unit is the millimetre")
    return ([list(corner.Coordinates) for corner in mesh.GetVertices()],
            [list(triangle.Indices) for triangle in mesh.GetTriangleIndices()])


def judge(folder):
    folder, tally, worst = Path(folder), Tally(), 0.0
    entries = json.loads((folder / "solids.json").read_text())
    tally.fact(entries, f"{len(entries)} files are stated")
    for entry in entries:
        path = folder / entry["file"]
        if path.suffix == ".step":
            worst = max(worst, judge_step(path, entry, tally))
        else:
            judge_mesh(path, entry, tally)
    print(f"greatest difference of volume in STEP: {worst:.2e}")
    return tally.held, tally.failed


if __name__ == "__main__":
    held, failed = judge(sys.argv[1])
    print(f"{held} passed, {failed} failed")
    sys.exit(failed > 0 or not math.isfinite(held))
