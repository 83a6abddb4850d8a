"""A window: cut by CadQuery from the air of a room, and from the panel that it falls on."""

import cadquery as cq

from shellparts import Design, Shell, build, laid_flat

room = build(Design(name="porch", shell=Shell(panels=8, across="3 m", height="2.4 m", wall="1.2 m")))
window = cq.Workplane("XZ", origin=(0, 1200, 800)).circle(150).extrude(-400)  # along +y, through panel_03

air = room.envelope.cut(window.val())
cq.exporters.export(air, "porch_with_window.step")

panel = room.sheet("panel_03").cut(window.val())
cq.exporters.export(laid_flat(panel), "panel_with_window.dxf")
