"""The working band drawn in plain text.

Glossary: the *band* lies between the pressure that holds the cloth up and the one at which the base lifts.
Rows stand at round pressures, in steps of about a quarter, and at the limits themselves, which are therefore
shown where they are; a point is drawn in the row nearest to it by ratio. What lies above the highest row is
drawn in the row marked *higher* at the last place before it comes down.
"""

import numpy as np
from numpy.typing import NDArray

from shellparts.loads.band_picture import BandPicture
from shellparts.report.words import figure

__all__ = ["band_sketch", "sketch_rows"]

#: Round pressures, about a quarter apart [Pa].
_ROUND_PA = tuple(
    base * ten
    for ten in (0.1, 1.0, 10.0, 100.0)
    for base in (1.0, 1.2, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 8.0)
)
#: A round pressure this near to a limit, by ratio, makes room for it.
_TOO_NEAR = 1.12
#: With more round pressures than this, every second is left out.
_MOST_ROUND = 7
_MARGIN = "          "


def _limits(data: BandPicture) -> dict[float, str]:
    """Pressures that have a row of their own, each with its label."""
    hold_up, lift = data.hold_up_Pa.likely, data.lift_Pa.likely
    found = {hold_up: f"cloth held up: {figure(hold_up)} Pa"}
    if lift > hold_up * 1.02:
        found[lift] = f"base lifts: {figure(lift)} Pa"
    else:
        found[hold_up] = "cloth held up, base lifts"
    if data.advised is not None and data.advised.lift_Pa > lift * 1.02:
        found[data.advised.lift_Pa] = (
            f"lifts with {data.advised.ballast_kg:.0f} kg: {figure(data.advised.lift_Pa)} Pa"
        )
    if data.advised is not None:
        aim = data.advised.pressure_Pa
        if all(max(aim / one, one / aim) > 1.02 for one in found):
            found[aim] = f"aim here: {figure(aim)} Pa"
    return found


def sketch_rows(data: BandPicture) -> list[float]:
    """Pressures of the rows of `band_sketch`, highest first."""
    limits = _limits(data)
    low, high = 0.7 * min(limits), 1.3 * max(limits)
    highest = max(float(line.likely_Pa.max()) for line in data.lines)
    high = max(high, min(highest, 4.0 * data.lift_Pa.likely))
    rows = [
        p for p in _ROUND_PA if low <= p <= high and all(max(p / one, one / p) >= _TOO_NEAR for one in limits)
    ]
    rows = rows if len(rows) <= _MOST_ROUND else rows[::2]
    hold_up, lift = data.hold_up_Pa.likely, data.lift_Pa.likely
    if lift > hold_up * 1.02 and not any(hold_up < p < lift for p in rows):
        rows.append(float(np.sqrt(hold_up * lift)))
    return sorted([*rows, *limits], reverse=True)


def _row_of(rows: NDArray[np.float64], pressure: float) -> int | None:
    """Row nearest to a pressure by ratio; None above the highest row's share of the scale."""
    distance = np.abs(np.log(rows / pressure))
    nearest = int(np.argmin(distance))
    return None if nearest == 0 and pressure > rows[0] * _TOO_NEAR else nearest


def band_sketch(data: BandPicture, columns: int = 49) -> list[str]:
    """Draw the working band in plain text: speeds as digits, the band dotted, the advised point as X."""
    rows = np.array(sketch_rows(data))
    labels = _limits(data)
    top_of_band = max(data.lift_Pa.likely, data.advised.lift_Pa if data.advised else 0.0)
    bottom, lift = data.hold_up_Pa.likely, data.lift_Pa.likely
    shades = ["." if bottom <= p <= lift else ":" if lift < p <= top_of_band else " " for p in rows]
    field = [[shade] * columns for shade in shades]
    leaves: dict[int, str] = {}
    longest = float(data.vent_opening_mm[-1])
    at = np.linspace(0.0, longest, columns)
    for number, line in enumerate(data.lines, 1):
        last = -1
        for column, pressure in enumerate(np.interp(at, data.vent_opening_mm, line.likely_Pa)):
            row = _row_of(rows, float(pressure))
            if row is not None:
                field[row][column] = str(number)
                continue
            last = column
        if last >= 0:
            leaves[last] = str(number)
    if data.advised is not None:
        row = _row_of(rows, data.advised.pressure_Pa)
        if row is not None:
            field[row][round(data.advised.opening_mm / longest * (columns - 1))] = "X"
    higher = "".join(leaves.get(column, " ") for column in range(columns))
    lines = [f"{'higher':>9} |{higher}|"] if leaves else []
    for p, letters in zip(rows, field, strict=True):
        label = labels.get(float(p), "")
        lines.append(f"{figure(p):>6} Pa |{''.join(letters)}|{' ' + label if label else ''}")
    return [*lines, *_scales(data, columns)]


def _scales(data: BandPicture, columns: int) -> list[str]:
    """The opening on each side in centimetres, the clips taken off, and the key."""
    side = float(data.vent_opening_mm[-1]) / 2.0
    clips = int(np.ceil(side / data.clip_spacing_mm - 1e-9))
    step = max(1, int(np.ceil(clips * 4 / columns)))
    marks = [(round(k * data.clip_spacing_mm / side * (columns - 1)), k) for k in range(0, clips, step)]
    marks = [(column, clip) for column, clip in marks if column <= columns - 4] + [(columns - 1, clips)]
    scale, off = [" "] * (columns + 8), [" "] * (columns + 8)
    for column, clip in marks:
        opening = min(clip * data.clip_spacing_mm, side)
        for letters, text in ((scale, f"{opening / 10:.0f}"), (off, str(clip))):
            letters[column : column + len(text)] = text
    names = ", ".join(f"{i} {line.name}" for i, line in enumerate(data.lines, 1))
    more = "; X: where to work" if data.advised is not None else ""
    dots = "dots: the band"
    if data.advised is not None and data.advised.lift_Pa > data.lift_Pa.likely * 1.02:
        dots += "; colons: with ballast"
    return [
        f"{_MARGIN} {''.join(scale).rstrip()} cm open on each side",
        f"{_MARGIN} {''.join(off).rstrip()} clips off each side",
        f"{_MARGIN} {names}; {dots}{more}",
    ]
