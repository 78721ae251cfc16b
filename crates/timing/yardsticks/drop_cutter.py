"""The yardstick beside `cargo bench -p timing --bench files`: opencamlib's drop-cutter lets a ball down
on the triangles of the board at every given point.

It reads the board's STL file, the ball's diameter and the points as JSON from its input. The last
line is for the benchmark: the best seconds, and the lowest tip that was found, mm."""

import json
import sys
import time

import opencamlib as ocl
import trimesh

problem = json.load(sys.stdin)
mesh = trimesh.load(problem["stl"])
surface = ocl.STLSurf()
for corners in mesh.triangles:
    surface.addTriangle(ocl.Triangle(*(ocl.Point(*map(float, corner)) for corner in corners)))

best, lowest = float("inf"), 0.0
for _ in range(problem["runs"]):
    dropper = ocl.BatchDropCutter()
    dropper.setSTL(surface)
    dropper.setCutter(ocl.BallCutter(problem["ball_mm"], 50.0))
    # One thread, as the program's own proof.
    dropper.setThreads(1)
    for x, y in problem["points_mm"]:
        dropper.appendPoint(ocl.CLPoint(x, y, -100.0))
    begun = time.perf_counter()
    dropper.run()
    best = min(best, time.perf_counter() - begun)
    lowest = min(point.z for point in dropper.getCLPoints())
print(
    f"  opencamlib {ocl.version()}, {len(mesh.triangles)} triangles, {len(problem['points_mm'])} points: "
    f"{best * 1e3:.1f} ms on one thread"
)
print(best, lowest)
