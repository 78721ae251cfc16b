"""The yardstick beside `cargo bench -p timing --bench files`: Open CASCADE cuts the slots out of the
plain board by boolean operations, and writes the result as STEP.

It reads the plain board's STEP file and the slots' corners and floors as JSON from its input. The last
line is for the benchmark: the best seconds of cutting, of writing, and the volume, mm3."""

import contextlib
import json
import os
import sys
import tempfile
import time

from OCP.BRepAlgoAPI import BRepAlgoAPI_Cut
from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeFace, BRepBuilderAPI_MakePolygon
from OCP.BRepGProp import BRepGProp
from OCP.BRepPrimAPI import BRepPrimAPI_MakePrism
from OCP.GProp import GProp_GProps
from OCP.collections import List_TopoDS_Shape
from OCP.gp import gp_Pnt, gp_Vec
from OCP.STEPControl import STEPControl_AsIs, STEPControl_Reader, STEPControl_Writer

problem = json.load(sys.stdin)
reader = STEPControl_Reader()
reader.ReadFile(problem["step"])
reader.TransferRoots()
plain = reader.OneShape()

tools = List_TopoDS_Shape()
for slot in problem["slots"]:
    outline = BRepBuilderAPI_MakePolygon()
    for x, y in slot["corners_mm"]:
        outline.Add(gp_Pnt(x, y, slot["floor_mm"]))
    outline.Close()
    face = BRepBuilderAPI_MakeFace(outline.Wire()).Face()
    tools.Append(BRepPrimAPI_MakePrism(face, gp_Vec(0.0, 0.0, 20.0)).Shape())



@contextlib.contextmanager
def silent():
    """The library talks while it writes; what it says is thrown away."""
    sys.stdout.flush()
    kept, nothing = os.dup(1), os.open(os.devnull, os.O_WRONLY)
    os.dup2(nothing, 1)
    try:
        yield
    finally:
        os.dup2(kept, 1)
        os.close(kept)
        os.close(nothing)


cutting = writing = float("inf")
for _ in range(problem["runs"]):
    begun = time.perf_counter()
    arguments = List_TopoDS_Shape()
    arguments.Append(plain)
    cut = BRepAlgoAPI_Cut()
    cut.SetArguments(arguments)
    cut.SetTools(tools)
    cut.Build()
    shape = cut.Shape()
    cutting = min(cutting, time.perf_counter() - begun)
    with tempfile.TemporaryDirectory() as folder, silent():
        begun = time.perf_counter()
        writer = STEPControl_Writer()
        writer.Transfer(shape, STEPControl_AsIs)
        writer.Write(os.path.join(folder, "board.step"))
        writing = min(writing, time.perf_counter() - begun)
figures = GProp_GProps()
BRepGProp.VolumeProperties_s(shape, figures)
print(
    f"  Open CASCADE, {len(problem['slots'])} slots by booleans: {cutting * 1e3:.1f} ms, "
    f"and {writing * 1e3:.1f} ms to write STEP"
)
print(cutting, writing, figures.Mass())
