"""The picture of how high roof and way out stand at each pressure, as SVG: shares of their heights as sewn.

A shade covers the pressures from which the room is held up, a ring on the axis the pressure of the setting to use.
"""

from pathlib import Path
from typing import Any

from shellparts.base.ranges import Range
from shellparts.inflate.standing import StandingCurve
from shellparts.parameters import Marking
from shellparts.report.words import figure

__all__ = ["write_standing_chart"]

_METRIC = Marking()
_ROOF, _WAY, _SAND = "#2f6f8f", "#b5651d", "#f3e8c8"


def _draw(
    axes: Any, curve: StandingCurve, hold_up_Pa: Range, setting_Pa: float, title: str, marking: Marking
) -> None:
    axes.axvspan(hold_up_Pa.low, hold_up_Pa.high, color=_SAND, zorder=0)
    axes.axvline(hold_up_Pa.likely, color="#8c6d1f", linewidth=1.1, zorder=1)
    lines = [("roof", 100.0 * curve.roof_mm / curve.sewn_roof_mm, curve.sewn_roof_mm, _ROOF)]
    for number, height in enumerate(curve.sewn_ways_mm):
        name = "way out" if len(curve.sewn_ways_mm) == 1 else f"way out {number + 1}"
        lines.append((name, 100.0 * curve.ways_mm[:, number] / height, float(height), _WAY))
    for name, shares, sewn, ink in lines:
        label = marking.told(f"{name}, {sewn / 1000:.2f} m as sewn")
        axes.plot(
            curve.pressure_Pa, shares, color=ink, linewidth=1.8, marker="o", markersize=3.5, label=label
        )
    axes.plot(
        [setting_Pa], [0.0], marker="o", markersize=9, markerfacecolor="none", markeredgecolor="#222222",
        markeredgewidth=1.6, linestyle="none", transform=axes.get_xaxis_transform(), clip_on=False, zorder=6,
        label=f"the setting: {figure(setting_Pa)} Pa",
    )  # fmt: skip
    axes.set_xlim(0.0, max(float(curve.pressure_Pa[-1]), 1.1 * setting_Pa))
    axes.set_xlabel("pressure in the room [Pa]")
    axes.set_ylabel("height, in 100 of that as sewn")
    axes.set_title(title, loc="left", fontsize=10, pad=10)
    axes.grid(True, linewidth=0.3, color="#cccccc", zorder=0)
    axes.legend(loc="lower right", fontsize=8, frameon=False)


def write_standing_chart(
    curve: StandingCurve,
    hold_up_Pa: Range,
    setting_Pa: float,
    title: str,
    path: Path,
    marking: Marking = _METRIC,
) -> None:
    """Write the chart.

    Parameters
    ----------
    curve : StandingCurve
        With at least one form.
    hold_up_Pa : Range
        Pressure that holds roof and way out up [Pa].
    setting_Pa : float
        Pressure to be expected at the setting to use [Pa].
    title : str
        Of the chart.
    path : Path
        The SVG file; its bytes depend on the data alone.
    marking : Marking, optional
        Which tape heights are told by.
    """
    import matplotlib
    from matplotlib.backends.backend_svg import FigureCanvasSVG
    from matplotlib.figure import Figure

    with matplotlib.rc_context(
        {"svg.hashsalt": "shellparts", "svg.fonttype": "none", "font.family": "sans-serif"}
    ):
        figure_ = Figure(figsize=(8.2, 4.4), layout="constrained")
        _draw(figure_.add_subplot(), curve, hold_up_Pa, setting_Pa, title, marking)
        figure_.supxlabel(
            "sand: from here the room is held up, nine cases in ten; ring: the setting to use",
            fontsize=8,
            color="#444444",
        )
        FigureCanvasSVG(figure_).print_svg(str(path), metadata={"Date": None, "Creator": "shellparts"})
