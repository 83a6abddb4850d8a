"""A window: cut by CadQuery from the air of a room, and from the panel that it falls on."""

import cadquery as cq

from shellparts import Design, Shell, build

room = build(Design(name="porch", shell=Shell(panels=8, across="3 m", height="2.4 m", wall="1.2 m")))
window = cq.Solid.makeCylinder(150, 400, cq.Vector(0, 1200, 800), cq.Vector(0, 1, 0))  # through panel_03

air = room.envelope.cut(window)
cq.exporters.export(air, "porch_with_window.step")

# The same in the cloth: x from the middle of the panel's foot, y up along the cloth, seen from outside
panel = room.flat("panel_03").push([(0, 800)]).circle(150, mode="s").reset()
cq.exporters.export(panel, "panel_with_window.dxf")
