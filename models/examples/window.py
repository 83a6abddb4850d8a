"""A window: cut by CadQuery from the air of a room, and from the panel that it falls on."""

import cadquery as cq

from shellparts import Design, Shell, build, laid_flat

room = build(Design(name="porch", shell=Shell(panels=8, across="3 m", height="2.4 m", wall="1.2 m")))
window = cq.Solid.makeCylinder(150, 400, cq.Vector(0, 1200, 800), cq.Vector(0, 1, 0))  # through panel_03

air = room.envelope.cut(window)
cq.exporters.export(air, "porch_with_window.step")

panel = room.sheet("panel_03").cut(window)
cq.exporters.export(laid_flat(panel), "panel_with_window.dxf")
