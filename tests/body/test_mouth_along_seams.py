"""A doorway exactly as wide as its panel: its sides run up the seams of the wall and leave them without an angle.

Where the profile goes on from the wall without a bend, seam and tunnel part so slowly that rounding alone decides where.
"""

import pytest
from room_checks import check_room

from shellparts.build.room import build
from shellparts.openings import Doorway
from shellparts.parameters import Design, Shell


@pytest.mark.parametrize("profile", ["pointed", "dome"])
@pytest.mark.parametrize(
    ("head", "wall"), [("gabled", 50.0), ("gabled", 600.0), ("arched", 50.0), ("flat", 900.0)]
)
def test_sides_that_leave_the_seams_without_an_angle(profile: str, head: str, wall: float) -> None:
    rise = 1275.0 if profile == "pointed" else 1200.0
    # A regular hexagon is as long on each side as its radius: 2500 mm across gives panels of 1250 mm.
    shell = Shell(panels=6, across=2500.0, wall=wall, height=wall + rise, profile=profile)
    door = Doorway(width=1250.0, height=1016.0 + 2 / 3, length=1200.0, head=head, vent=0.0, overlap=50.0)
    check_room(build(Design(name="along_seams", shell=shell, doorway=door)))
