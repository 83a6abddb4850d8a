"""The room from above, on which every piece has its place."""

import numpy as np
import shapely

from shellparts.build.room import build
from shellparts.drawing.places import places_page
from shellparts.drawing.strokes import Layer
from shellparts.openings import Doorway, Sleeve
from shellparts.parameters import Design, Shell


def test_a_sleeve_high_over_the_floor_is_drawn_over_it():
    """A steep room with a sleeve near its top, which from above lies within the outline of its foot."""
    room = build(
        Design(
            name="steep_room",
            shell=Shell(panels=12, across=4800, height=6400, profile="straight"),
            doorway=Doorway(width=1200, height=1400, length=900),
            sleeve=Sleeve(height=4200, length=500, diameter=300, slope=-30),
        )
    )
    drawn = places_page(room.design, room.pattern).drawn.drawing
    texts = {label.text for label in drawn.labels}
    assert {
        "tunnel",
        "cap",
        *(piece for one in room.pattern.pieces for piece in one.sheets if "panel" in piece),
    } <= texts
    assert any("sleeve" in text for text in texts)
    lines = [np.asarray(stroke.points) for stroke in drawn.strokes if stroke.layer is Layer.CUTTING]
    foot = shapely.Polygon(max(lines, key=lambda points: float(np.ptp(points, axis=0).max())))
    inside = [line for line in lines if len(line) > 3 and foot.buffer(-10.0).contains(shapely.Polygon(line))]
    assert len(inside) == 2  # the cap, and the sleeve
