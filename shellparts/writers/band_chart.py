"""The picture of the working band: pressure against vent opening for each speed, as SVG.

Lines run through the likely values; a pale shade covers the whole range of the speed to use, or of all where
none is advised. The room works where a line runs inside the band. The scale of the pressure is logarithmic, and
says so: from 5 to 10 Pa is as far as from 10 to 20. A second scale tells the clips to take off on each side, and
a ring the point that is advised.
"""

import math
from pathlib import Path
from typing import Any

from shellparts.loads.band_picture import BandPicture
from shellparts.report.words import figure

__all__ = ["write_band_chart"]

_INKS = ("#2f6f8f", "#b5651d", "#5b8c3a", "#7a4e8a", "#8a2f3f")
_SAND, _BROWN = "#f3e8c8", "#5e4812"
#: Names of lines keep at least this ratio of pressure apart.
_APART = 1.22
_TICKS = (0.5, 1, 2, 5, 10, 20, 50, 100, 200, 500, 1000)


def _draw(axes: Any, data: BandPicture, title: str) -> None:
    side = data.vent_opening_mm / 20.0
    longest = float(side[-1])
    hold_up, lift = data.hold_up_Pa.likely, data.lift_Pa.likely
    axes.axhspan(hold_up, lift, color=_SAND, zorder=0)
    for line, ink in zip(data.lines, _INKS, strict=False):
        if data.advised is None or line.name == data.advised.speed:
            axes.fill_between(side, line.low_Pa, line.high_Pa, color=ink, alpha=0.08, linewidth=0, zorder=1)
        axes.plot(side, line.likely_Pa, color=ink, linewidth=1.8, zorder=3)
    _name_lines(axes, data, longest)
    _limit(axes, hold_up, "-", longest, f"cloth held up from {figure(hold_up)} Pa", "top")
    _limit(axes, lift, "-", longest, f"base lifts at {figure(lift)} Pa", "bottom")
    if data.advised is not None:
        _advised(axes, data, longest)
    low = max(0.2, min(hold_up / 4, min(float(line.low_Pa.min()) for line in data.lines)))
    axes.set_yscale("log")
    axes.set_ylim(max(low, hold_up / 20), max(float(line.high_Pa.max()) for line in data.lines) * 1.2)
    axes.set_yticks([tick for tick in _TICKS if axes.get_ylim()[0] <= tick <= axes.get_ylim()[1]])
    axes.yaxis.set_major_formatter("{x:g}")
    axes.yaxis.set_minor_formatter("")
    axes.set_xlim(0.0, longest)
    axes.set_xlabel("vent open on each side, from the floor up [cm]")
    axes.set_ylabel("pressure in the room [Pa], logarithmic scale")
    axes.set_title(title, loc="left", fontsize=10, pad=10)
    axes.grid(True, which="major", linewidth=0.3, color="#cccccc", zorder=0)
    _clips(axes, data, longest)


def _limit(axes: Any, pressure: float, style: Any, longest: float, words: str, side: str) -> None:
    """A line across with its words at the left, inside the field, above or below it."""
    axes.axhline(pressure, color="#8c6d1f", linewidth=1.1, linestyle=style, zorder=2)
    away = 1.05 if side == "bottom" else 1 / 1.05
    axes.text(0.012 * longest, pressure * away, words, ha="left", va=side, fontsize=8, color=_BROWN, zorder=5)


def _name_lines(axes: Any, data: BandPicture, longest: float) -> None:
    """The name of each line at its right end, moved apart where they would touch."""
    ends = sorted(
        (float(line.likely_Pa[-1]), line.name, ink) for line, ink in zip(data.lines, _INKS, strict=False)
    )
    at = 0.0
    for pressure, name, ink in ends:
        at = max(pressure, at * _APART)
        axes.text(
            1.012 * longest, at, f"speed {name}", ha="left", va="center", fontsize=8, color=ink, clip_on=False
        )


def _advised(axes: Any, data: BandPicture, longest: float) -> None:
    """A ring where to work, and the pressure at which the base lifts with the ballast."""
    point = data.advised
    assert point is not None
    if point.lift_Pa > 1.02 * data.lift_Pa.likely:
        words = f"base lifts at {figure(point.lift_Pa)} Pa with {point.ballast_kg:.0f} kg of ballast"
        _limit(axes, point.lift_Pa, (0, (5, 3)), longest, words, "bottom")
    axes.plot(
        [point.opening_mm / 20.0], [point.pressure_Pa], marker="o", markersize=9, markerfacecolor="none",
        markeredgecolor="#222222", markeredgewidth=1.6, linestyle="none", zorder=6, clip_on=False,
    )  # fmt: skip


def _clips(axes: Any, data: BandPicture, longest: float) -> None:
    """The second scale: clips to take off on each side."""
    spacing = data.clip_spacing_mm / 10.0
    count = math.ceil(longest / spacing - 1e-9)
    step = max(1, count // 10)
    clips = [k for k in range(0, count, step) if k * spacing < 0.96 * longest] + [count]
    upper = axes.secondary_xaxis("top")
    upper.set_xticks([min(k * spacing, longest) for k in clips])
    upper.set_xticklabels([str(k) for k in clips])
    upper.set_xlabel("clips taken off on each side", fontsize=9)


def _key(figure_: Any, data: BandPicture) -> None:
    """What the shades and the ring are, in one line below."""
    ring = "ring: where to work; " if data.advised is not None else ""
    whose = f"at speed {data.advised.speed}" if data.advised is not None else "at each speed"
    words = f"{ring}sand: the band in which the room stands; lines: likely; pale: lowest to highest {whose}"
    figure_.supxlabel(words, fontsize=8, color="#444444")


def write_band_chart(data: BandPicture, title: str, path: Path) -> None:
    """Write the chart.

    Parameters
    ----------
    data : BandPicture
    title : str
        Of the chart.
    path : Path
        The SVG file; its bytes depend on the data alone.
    """
    import matplotlib
    from matplotlib.backends.backend_svg import FigureCanvasSVG
    from matplotlib.figure import Figure

    with matplotlib.rc_context(
        {"svg.hashsalt": "shellparts", "svg.fonttype": "none", "font.family": "sans-serif"}
    ):
        figure_ = Figure(figsize=(8.2, 5.4), layout="constrained")
        _draw(figure_.add_subplot(), data, title)
        _key(figure_, data)
        FigureCanvasSVG(figure_).print_svg(str(path), metadata={"Date": None, "Creator": "shellparts"})
