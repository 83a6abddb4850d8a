"""The picture of the working band, as SVG: pressure, and below it the chance, against vent opening for each speed.

Lines of pressure run through the middle of what is to be expected; a pale shade covers what nine cases in ten lie
between at the speed to use. The room works where a line runs inside the band. The scale of the pressure is
logarithmic, and says so: from 5 to 10 Pa is as far as from 10 to 20. Below, a line tells in how many cases of 100 an
opening holds the room up, keeps it down and keeps its air good; a bar shows from where to where the setting may be
off while that is 90 and more. A second scale tells the clips to take off on each side.
"""

import math
from pathlib import Path
from typing import Any

from shellparts.loads.band_picture import BandPicture
from shellparts.parameters import Marking, Tape
from shellparts.report.words import figure

__all__ = ["write_band_chart"]

_METRIC = Marking()
#: What openings are told in, and its millimetres.
_UNITS = {Tape.METRIC: ("cm", 10.0), Tape.IMPERIAL: ("in", 25.4)}
_INKS = ("#2f6f8f", "#b5651d", "#5b8c3a", "#7a4e8a", "#8a2f3f")
_SAND, _BROWN = "#f3e8c8", "#5e4812"
#: Names of lines keep at least this ratio of pressure apart.
_APART = 1.22
_TICKS = (0.5, 1, 2, 5, 10, 20, 50, 100, 200, 500, 1000)


def _draw(upper: Any, lower: Any, data: BandPicture, title: str, marking: Marking) -> None:
    unit, unit_mm = _UNITS[marking.tape]
    side = data.vent_opening_mm / data.sides / unit_mm
    longest = float(side[-1])
    hold_up, lift = data.hold_up_Pa.likely, data.lift_Pa.likely
    upper.axhspan(hold_up, lift, color=_SAND, zorder=0)
    for line, ink in zip(data.lines, _INKS, strict=False):
        if line.name == data.setting.speed:
            upper.fill_between(side, line.low_Pa, line.high_Pa, color=ink, alpha=0.12, linewidth=0, zorder=1)
        upper.plot(side, line.likely_Pa, color=ink, linewidth=1.8, zorder=3)
        lower.plot(side, 100.0 * line.chance, color=ink, linewidth=1.8, zorder=3)
    _name_lines(upper, data, longest)
    laid = marking.told(f" with {data.ballast_kg:.0f} kg of ballast") if data.ballast_kg else ""
    _limit(upper, hold_up, "-", longest, f"roof and way out held up from {figure(hold_up)} Pa", "top")
    _limit(upper, lift, "-", longest, f"base lifts at {figure(lift)} Pa{laid}", "bottom")
    low = max(0.2, min(hold_up / 4, min(float(line.low_Pa.min()) for line in data.lines)))
    upper.set_yscale("log")
    upper.set_ylim(max(low, hold_up / 20), max(float(line.high_Pa.max()) for line in data.lines) * 1.2)
    upper.set_yticks([tick for tick in _TICKS if upper.get_ylim()[0] <= tick <= upper.get_ylim()[1]])
    upper.yaxis.set_major_formatter("{x:g}")
    upper.yaxis.set_minor_formatter("")
    upper.set_ylabel("pressure [Pa], logarithmic")
    upper.set_title(title, loc="left", fontsize=10, pad=10)
    upper.tick_params(labelbottom=False)
    _clips(upper, data, longest, unit_mm)
    _setting(upper, lower, data, unit_mm)
    lower.set_ylim(0.0, 104.0)
    lower.set_yticks([0, 25, 50, 75, 90, 100])
    lower.axhline(90.0, color=_BROWN, linewidth=0.8, linestyle=(0, (4, 3)), zorder=2)
    lower.set_ylabel("works, cases in 100")
    lower.set_xlabel(f"vent open on each side, from the floor up [{unit}]")
    for axes in (upper, lower):
        axes.set_xlim(0.0, longest)
        axes.grid(True, which="major", linewidth=0.3, color="#cccccc", zorder=0)


def _setting(upper: Any, lower: Any, data: BandPicture, unit_mm: float) -> None:
    """A ring at the advised setting in both fields, and how far it may be off."""
    best = data.setting
    at = best.opening_mm / data.sides / unit_mm
    for axes, value in ((upper, best.pressure_Pa.likely), (lower, 100.0 * best.chance)):
        axes.plot(
            [at], [value], marker="o", markersize=9, markerfacecolor="none", markeredgecolor="#222222",
            markeredgewidth=1.6, linestyle="none", zorder=6, clip_on=False,
        )  # fmt: skip
    if best.from_mm is not None and best.to_mm is not None:
        ends = [mm / data.sides / unit_mm for mm in (best.from_mm, best.to_mm)]
        lower.plot(ends, [90.0, 90.0], color="#222222", linewidth=3.5, solid_capstyle="butt", zorder=5)


def _limit(axes: Any, pressure: float, style: Any, longest: float, words: str, side: str) -> None:
    """A line across with its words at the left, inside the field, above or below it."""
    axes.axhline(pressure, color="#8c6d1f", linewidth=1.1, linestyle=style, zorder=2)
    away = 1.05 if side == "bottom" else 1 / 1.05
    paper = {"facecolor": "white", "edgecolor": "none", "alpha": 0.7, "pad": 1.0}
    at = 0.012 * longest, pressure * away
    axes.text(*at, words, ha="left", va=side, fontsize=8, color=_BROWN, zorder=5, bbox=paper)


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


def _clips(axes: Any, data: BandPicture, longest: float, unit_mm: float) -> None:
    """The second scale: clips to take off on each side."""
    spacing = data.clip_spacing_mm / unit_mm
    count = math.ceil(longest / spacing - 1e-9)
    step = max(1, count // 10)
    clips = [k for k in range(0, count, step) if k * spacing < 0.96 * longest] + [count]
    above = axes.secondary_xaxis("top")
    above.set_xticks([min(k * spacing, longest) for k in clips])
    above.set_xticklabels([str(k) for k in clips])
    above.set_xlabel("clips taken off on each side", fontsize=9)


def _key(figure_: Any, data: BandPicture) -> None:
    """What shades, ring and bar are, in one line below."""
    bar = "; bar: how far it may be off" if data.setting.from_mm is not None else ""
    words = (
        f"ring: the setting to use{bar}; sand: the band in which the room stands; pale: nine cases in ten at speed "
        f"{data.setting.speed}"
    )
    figure_.supxlabel(words, fontsize=8, color="#444444")


def write_band_chart(data: BandPicture, title: str, path: Path, marking: Marking = _METRIC) -> None:
    """Write the chart.

    Parameters
    ----------
    data : BandPicture
    title : str
        Of the chart.
    path : Path
        The SVG file; its bytes depend on the data alone.
    marking : Marking, optional
        Which tape openings are told by.
    """
    import matplotlib
    from matplotlib.backends.backend_svg import FigureCanvasSVG
    from matplotlib.figure import Figure

    with matplotlib.rc_context(
        {"svg.hashsalt": "shellparts", "svg.fonttype": "none", "font.family": "sans-serif"}
    ):
        figure_ = Figure(figsize=(8.2, 7.2), layout="constrained")
        upper, lower = figure_.subplots(2, 1, height_ratios=(3.0, 2.0))
        _draw(upper, lower, data, title, marking)
        _key(figure_, data)
        FigureCanvasSVG(figure_).print_svg(str(path), metadata={"Date": None, "Creator": "shellparts"})
