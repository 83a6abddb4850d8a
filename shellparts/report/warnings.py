"""What a builder should know before cutting: a code, the figure, its limit and the remedy."""

import math
from collections.abc import Iterator

from attrs import frozen

from shellparts.base.units import metric
from shellparts.inflate.form import InflatedForm
from shellparts.parameters import Design
from shellparts.parameters.part import Role
from shellparts.pattern.made import Pattern
from shellparts.pattern.narrow import widest_mm

__all__ = ["Warning", "design_warnings", "form_warnings", "piece_warnings"]

_LEAST_PIECE_MM = 100.0
_CLEAR_WIDTH_MM = 813.0
#: An end that is sewn to a cap is at least so many allowances long.
_ENDS = 3.0


@frozen
class Warning:
    """One warning.

    Parameters
    ----------
    code : str
        Stable, for scripts.
    message : str
        What is the matter; with the figure and the limit where these are not given apart.
    remedy : str
        What to do.
    figure, limit : str
        What it is and what it may be, each with its unit; empty if the message says it.
    source : str
        Where the limit is from.
    """

    code: str
    message: str
    remedy: str
    figure: str = ""
    limit: str = ""
    source: str = ""

    def record(self) -> dict[str, str]:
        """Plain data."""
        names = ("code", "message", "figure", "limit", "source", "remedy")
        return {name: getattr(self, name) for name in names if getattr(self, name)}


def piece_warnings(pattern: Pattern) -> Iterator[Warning]:
    """Look through a pattern for what is legal geometry and poor cloth work."""
    yield from _cap_warnings(pattern)
    for piece in pattern.pieces:
        if piece.kind.role is Role.CAP:
            continue
        widest = widest_mm(piece)
        if widest < _LEAST_PIECE_MM:
            yield Warning(
                "narrow-piece",
                f"{piece.name} is nowhere wider than {metric(widest)} (less than {metric(_LEAST_PIECE_MM)}), "
                "which is hard to sew",
                "change the doorway's width or height a little, so that no sliver of a panel is left",
            )


def _cap_warnings(pattern: Pattern) -> Iterator[Warning]:
    """Say that panels' ends are too short to be sewn to the cap with the allowance that they have."""
    for piece in pattern.pieces:
        if piece.kind.role is not Role.CAP:
            continue
        shortest = min(piece.edges, key=lambda edge: edge.length_mm)
        least = _ENDS * shortest.allowance_mm
        if shortest.length_mm < least:
            times = math.ceil(10.0 * least / shortest.length_mm) / 10.0
            yield Warning(
                "cap-ends-short",
                f"{len(piece.edges)} ends of {metric(shortest.length_mm)} with {metric(shortest.allowance_mm)} of "
                f"allowance meet the cap; ends shorter than {metric(least)} pucker under the foot of the machine",
                f"let the panels stop short {times:g} times as far (stop_short=…), or sew the cap on flat with "
                'cap_seam="lapped" and clip the ends of the panels up to the sewing line',
                source="common practice",
            )


def form_warnings(form: InflatedForm) -> Iterator[Warning]:
    """Look at the form under air."""
    if not form.stands:
        yield Warning(
            "no-inflated-form",
            f"at {form.pressure_Pa:.1f} Pa no inflated form is shown: {form.panel.outcome.value}",
            "raise the pressure (a stronger fan, less of the vent open), or make the room lower",
        )


def design_warnings(design: Design) -> Iterator[Warning]:
    """Look through a design for what is legal geometry and a poor room."""
    widths = [way.width for way in design.ways_out]
    if widths and max(widths) < _CLEAR_WIDTH_MM:
        yield Warning(
            "doorway-narrow",
            f"the doorway is {metric(max(widths))} wide; a wheelchair needs a clear width of "
            f"{metric(_CLEAR_WIDTH_MM)} (32 in, ADA 404.2.3)",
            "widen the doorway, or give another way in",
        )
    if not widths:
        yield Warning("no-doorway", "the room has no doorway: nobody may go in", "add a doorway")
