"""The machine that prints the scale model: its bed, its nozzle, and how well two parts fit into each other.

Glossary: the *bed* is the plate that it prints on; a *line* is a thread of plastic as wide as the nozzle; the
*play* is the gap left between two parts that are put together. This module does not know what is printed.
"""

import math

from attrs import frozen

from shellparts.base.calls import plain_init
from shellparts.base.checks import require
from shellparts.base.fields import count_field, length_field

__all__ = ["Printer"]


@plain_init
@frozen(kw_only=True)
class Printer:
    """A machine that lays lines of plastic, layer by layer.

    Parameters
    ----------
    width, depth : float or str
        Of its bed [mm].
    height : float or str
        It prints so high [mm].
    nozzle : float or str
        Diameter of its nozzle [mm].
    lines : int
        A wall of the model is so many lines thick.
    margin : float or str
        Outermost strip of the bed that is not used [mm].
    play : float or str
        Gap between two parts that are put together [mm].

    Raises
    ------
    ParameterError
        If a value is outside its limits, or the margins leave too little of the bed.

    Examples
    --------
    >>> Printer().usable_mm
    (172.0, 172.0, 178.0)
    >>> Printer(width="220 mm", depth="220 mm", height="250 mm", nozzle="0.6 mm", lines=2).wall_mm
    1.2
    """

    width: float = length_field(
        "width of the printer's bed",
        80.0,
        1000.0,
        "measure the bed, or read it in the leaflet",
        default=180.0,
    )
    depth: float = length_field(
        "depth of the printer's bed",
        80.0,
        1000.0,
        "measure the bed, or read it in the leaflet",
        default=180.0,
    )
    height: float = length_field(
        "printer's height", 80.0, 1000.0, "read in the leaflet how high it prints", default=180.0
    )
    nozzle: float = length_field(
        "printer's nozzle", 0.2, 1.2, "read it off the nozzle; most are 0.4 mm", default=0.4
    )
    lines: int = count_field("number of lines in a wall", 2, 8, "make it 2 to 4", default=3)
    margin: float = length_field(
        "margin of the printer's bed", 0.0, 30.0, "leave 2 mm to 10 mm of each edge", default=4.0
    )
    play: float = length_field(
        "play between printed parts",
        0.05,
        0.6,
        "print two small parts and try; 0.15 mm is usual",
        default=0.15,
    )

    def __attrs_post_init__(self) -> None:
        """Refuse margins that leave no bed."""
        least = min(self.usable_mm[:2])
        require(
            least >= 60.0,
            "printer's bed inside its margins",
            f"{least:g} mm",
            "at least 60 mm wide",
            "make the margins narrower",
        )

    @property
    def usable_mm(self) -> tuple[float, float, float]:
        """Width, depth and height that a part may have [mm]; a layer or two of the height is kept free."""
        width, depth = self.width - 2.0 * self.margin, self.depth - 2.0 * self.margin
        return round(width, 6), round(depth, 6), round(self.height - 2.0, 6)

    @property
    def wall_mm(self) -> float:
        """Thickness of a wall [mm]: whole lines."""
        return round(self.lines * self.nozzle, 6)

    @property
    def ridge_mm(self) -> float:
        """How far a seam stands out [mm]: a line and a half, which a finger feels."""
        return round(1.5 * self.nozzle, 6)

    @property
    def bridge_mm(self) -> float:
        """Widest flat gap that lines are drawn across freely [mm]: common practice."""
        return 10.0

    @property
    def steepest_rad(self) -> float:
        """Largest lean of an overhanging face from the vertical that needs no support [rad]: common practice."""
        return math.radians(50.0)
