"""The picture of the working band: pressure against vent opening for each speed, as SVG.

Lines run through the likely values, shades over the whole range; the room works where a line runs inside the
band.
"""

from pathlib import Path
from typing import Any

from shellparts.loads.band_tables import BandPicture

__all__ = ["write_band_chart"]

_INKS = ("#2f6f8f", "#b5651d", "#5b8c3a", "#7a4e8a", "#8a2f3f")


def _draw(axes: Any, data: BandPicture, title: str) -> None:
    opening = data.vent_opening_mm / 1000.0
    band = (data.hold_up_Pa.likely, data.lift_Pa.likely)
    axes.axhspan(*band, color="#e9d8a6", label="working band", zorder=0)
    axes.axhline(band[1], color="#8c6d1f", linewidth=1.2)
    axes.axhline(band[0], color="#8c6d1f", linewidth=1.2, linestyle=(0, (6, 3)))
    for line, ink in zip(data.lines, _INKS, strict=False):
        axes.fill_between(opening, line.low_Pa, line.high_Pa, color=ink, alpha=0.10, linewidth=0)
        axes.plot(opening, line.likely_Pa, color=ink, linewidth=1.8, label=f"speed {line.name}")
    right = 0.985 * float(opening[-1])
    axes.text(
        right, band[1] * 1.06, "above: the base lifts", ha="right", va="bottom", fontsize=8, color="#5e4812"
    )
    axes.text(
        right, band[0] / 1.06, "below: the cloth sags", ha="right", va="top", fontsize=8, color="#5e4812"
    )
    axes.set_yscale("log")
    axes.set_ylim(max(0.5, band[0] / 6), max(float(line.high_Pa.max()) for line in data.lines) * 1.2)
    axes.set_xlim(0.0, float(opening[-1]))
    axes.yaxis.set_major_formatter("{x:g}")
    axes.yaxis.set_minor_formatter("")
    axes.set_xlabel("length of the vent that is open [m]")
    axes.set_ylabel("pressure in the room [Pa]")
    axes.set_title(title, loc="left", fontsize=10)
    axes.grid(True, which="both", linewidth=0.3, color="#cccccc")
    axes.legend(loc="upper right", fontsize=8, frameon=False)


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
        figure = Figure(figsize=(7.5, 4.8), layout="constrained")
        _draw(figure.add_subplot(), data, title)
        FigureCanvasSVG(figure).print_svg(str(path), metadata={"Date": None, "Creator": "shellparts"})
