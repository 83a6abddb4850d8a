"""A solid of your own, nothing of ours: its side laid flat, as a face of CadQuery and as a file to cut by."""

import cadquery as cq

from shellparts import laid_flat

hood = cq.Workplane(cq.Solid.makeCone(600, 150, 900))
(side,) = laid_flat(hood.faces("%CONE"))
print(f"{side.Area() / 1e6:.3f} m2, {len(side.Edges())} edges")
cq.exporters.export(side, "hood.dxf")
