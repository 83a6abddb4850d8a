"""A kind of opening that only the tests know: a round hole high in a panel, with a short collar, that stays open."""

import math
from typing import ClassVar

from attrs import frozen

from shellparts.base.fields import count_field, length_field
from shellparts.openings import Sleeve
from shellparts.parameters.opening import Floorplan, Opening, Share, Tube
from shellparts.parameters.part import Part, Role

COLLAR = Part(
    "collar", Role.TUBE, (0.5, 0.5, 0.5), "sleeve_seam", opening="vent", stage="vent hole", is_round=True
)


@frozen(kw_only=True)
class VentHole(Opening):
    """A round hole with a level collar; it goes through its panel as a short sleeve does."""

    word: ClassVar[str] = "vent hole"
    part: ClassVar[Part] = COLLAR

    diameter: float = length_field("diameter of the vent hole", 100.0, 600.0, "choose 0.1 m to 0.6 m")
    height: float = length_field("height of the vent hole", 50.0, 5000.0, "choose up to 5 m")
    length: float = length_field("collar of the vent hole", 200.0, 2000.0, "choose up to 2 m")
    panel: int | None = count_field("vent hole's panel", 1, 64, "count panels", optional=True)

    @property
    def open_area_m2(self) -> float:
        """The whole circle."""
        return math.pi * (self.diameter / 2000.0) ** 2

    @property
    def _as_sleeve(self) -> Sleeve:
        return Sleeve(diameter=self.diameter, height=self.height, length=self.length, panel=self.panel)

    def number(self, plan: Floorplan) -> int:
        return self._as_sleeve.number(plan)

    def tube(self, plan: Floorplan, suffix: str = "") -> Tube:
        level = self._as_sleeve.tube(plan)
        return Tube(
            f"collar{suffix}",
            COLLAR,
            level.section,
            level.origin,
            level.axes,
            level.start,
            level.end,
            level.covers,
        )

    def check(self, plan: Floorplan) -> None:
        self._as_sleeve.check(plan)

    def check_lines(self, plan: Floorplan) -> None:
        self._as_sleeve.check_lines(plan)

    def panels(self, plan: Floorplan) -> set[int]:
        return self._as_sleeve.panels(plan)

    def outside(self, plan: Floorplan):
        return self._as_sleeve.outside(plan)

    def volume(self, plan: Floorplan) -> float:
        return self._as_sleeve.volume(plan)

    def share(self, plan: Floorplan) -> Share:
        return self._as_sleeve.share(plan)
