"""From a room's flat pieces to the heights of roof and ways out at each pressure: the room is let down step by step.

The search begins at a pressure at which the cloth is firm and goes down; each form is begun from the one above it.
Strides are long while little moves and short once the room sags. They end where it has sunk lower than anybody should
walk under, or where no form is found. Far below that cloth may hang in more than one way at the same pressure, and
which of them a search finds depends on where it came from; no curve goes there.

Few large triangles hold sagging cloth up a little better than it holds itself; the form of a fine mesh is that of the
coarse one at a somewhat lower pressure, and the pressures of the curve are raised by that much. This module knows
nothing of fans and people.
"""

from collections.abc import Callable, Iterator, Sequence

import numpy as np
from attrs import evolve, frozen
from numpy.typing import NDArray

from shellparts.base.errors import GeometryError, ParameterError
from shellparts.inflate.equilibrium import inflate
from shellparts.inflate.flat_room import FlatRoom
from shellparts.inflate.levels import Level, Reporter, RoomState, triangle_size
from shellparts.inflate.membrane import Membrane
from shellparts.inflate.potential import Loads
from shellparts.inflate.room_mesh import room_sheet
from shellparts.inflate.standing import CurveEnd, StandingCurve
from shellparts.inflate.walkway import clear_heights
from shellparts.inflate.weld import weld
from shellparts.parameters.opening import Tube

__all__ = ["SagLimits", "forms_let_down", "standing_curve"]

Floats = NDArray[np.float64]

_TRIANGLES, _LARGEST_MM = 650, 500.0
"""Triangles have the size at which so many equal ones make up the cloth, but not more than that; edges and openings
need smaller ones, and so there are about twice as many."""
_MESH = 1.08
"""So much more pressure than on these triangles does it take on triangles of a quarter of the size: measured where
the ways out of the three models sag by a tenth to a quarter, between 1.06 and 1.10."""
_FIRM = 2.0
"""The first pressure is this many times the one by formula."""
_FIRMER, _TRIES = 2.0, 3
"""Where no form is found at first it is looked for at a pressure higher by this factor, so many times in all."""
_FIRST_STEPS, _STEPS = 150, 100
"""Newton steps allowed for the first form, and for those begun from another."""
_FEWEST = 60
"""A search at a higher pressure after a failed one is allowed so many: what stands at all is found in 45."""
_LONG, _SHORT, _QUICK = 0.8, 0.93, 0.88
"""Strides: the next pressure as a share of the last one; the third is the short one on many triangles."""
_MANY = 2500
"""Triangles above which there are many: very narrow panels, or a very large room."""
_NEAR, _MOVES = 1.3, 0.05
"""Strides are short below so many times the pressure by formula, and once a height is lower than at the first pressure
by this share."""
_MOST = 24
"""Pressures, at most; the air cannot lift the cloth long before that many are done."""


@frozen
class SagLimits:
    """How far a room is let down.

    Parameters
    ----------
    roof : float
        Share of the sewn height of the roof below which it is let down no farther [-].
    way_out : float
        The same of the clear height of the lowest way out [-].
    """

    roof: float = 0.7
    way_out: float = 0.7


@frozen(eq=False)
class _Sag:
    """Heights in one form: of the roof, and of each way out [mm]."""

    roof: float
    ways: Floats

    @classmethod
    def of(cls, form: Level, nodes: Floats, ways: Sequence[Tube]) -> "_Sag":
        """Measure a form."""
        return cls(float(nodes[:, 2].max()), clear_heights(form.welded, nodes, ways))

    def shares(self, of: "_Sag") -> tuple[float, float]:
        """Its heights as shares of another's: the roof's, and the least of the ways out."""
        return self.roof / of.roof, float((self.ways / of.ways).min(initial=np.inf))


def _first(
    room: FlatRoom, cloth: Membrane, about_Pa: float, size_mm: float, watch: Callable[[float], None] | None
) -> tuple[float, Level]:
    """The first form, from the room as sewn: as it is, then with more air and softer cloth first."""
    welded = weld(room, size_mm)
    sheet, holds = room_sheet(welded, cloth)
    pressure, steps, soft = _FIRM * about_Pa, _FIRST_STEPS, False
    for _ in range(_TRIES):
        loads = Loads(pressure, floor=True)
        found = Level(welded, sheet, inflate(sheet, loads, holds, steps, soft_start=soft, watch=watch))
        if found.state is RoomState.STANDS:
            break
        pressure, steps, soft = _FIRMER * pressure, _FEWEST, True
    return pressure, found


def forms_let_down(
    room: FlatRoom,
    cloth: Membrane,
    about_Pa: float,
    stride: Callable[[float, Level], float | None],
    size_mm: float | None = None,
    watch: Callable[[float], None] | None = None,
) -> Iterator[tuple[float, Level]]:
    """Forms of a room at falling pressures, each begun from the one before.

    Parameters
    ----------
    room : FlatRoom
        The pieces.
    cloth : Membrane
        Cloth of all pieces.
    about_Pa : float
        A pressure by formula at which the cloth is held up [Pa].
    stride : callable
        From a pressure [Pa] and its form, which stands, to the next pressure, or None to end.
    size_mm : float, optional
        Side of a triangle where nothing asks for smaller ones [mm]; that of the curve if not given.
    watch : callable, optional
        Told the residual before each step.

    Yields
    ------
    float
        The pressure [Pa].
    Level
        What was found there; after one that does not stand nothing follows.
    """
    size = min(triangle_size(room, _TRIANGLES), _LARGEST_MM) if size_mm is None else size_mm
    pressure, found = _first(room, cloth, about_Pa, size, watch)
    yield pressure, found
    _, holds = room_sheet(found.welded, cloth)
    while found.state is RoomState.STANDS:
        following = stride(pressure, found)
        if following is None:
            return
        begin = evolve(found.sheet, nodes=found.form.nodes)
        form = inflate(begin, Loads(following, floor=True), holds, _STEPS, soft_start=False, watch=watch)
        pressure, found = following, Level(found.welded, found.sheet, form)
        yield pressure, found


def standing_curve(
    room: FlatRoom,
    cloth: Membrane,
    ways: Sequence[Tube],
    about_Pa: float,
    laps: float = 1.0,
    limits: SagLimits | None = None,
    progress: Callable[[float], None] | None = None,
) -> StandingCurve:
    """Let a room down from firm, and measure roof and ways out.

    Parameters
    ----------
    room : FlatRoom
        The pieces.
    cloth : Membrane
        Cloth of all pieces, with its plain mass.
    ways : sequence of Tube
        Tubes through which people leave; see `walkway.ways_of`.
    about_Pa : float
        Pressure that holds the cloth up by formula, `loads.room_draws.hold_up_pressure` [Pa]: where to look.
    laps : float
        How much heavier the cloth is than plain because of its laps and hems [-].
    limits : SagLimits, optional
        How far to let it down; until nobody should walk under it if not given.
    progress : callable, optional
        Told the share of the work that is done, from 0 to 1, again and again.

    Returns
    -------
    StandingCurve
        With no pressure in it if no form was found; it says why.

    Raises
    ------
    ParameterError
        If the pressure, the mass or the share of laps is not positive.
    """
    for what, value, unit in (
        ("pressure by formula", about_Pa, "Pa"),
        ("mass of the cloth", cloth.mass_kg_per_m2, "kg/m2"),
        ("weight with laps over plain weight", laps, "(no unit)"),
    ):
        if not (np.isfinite(value) and value > 0):
            raise ParameterError(what, f"{value:g} {unit}", "positive", "weigh the cloth")
    limit = SagLimits() if limits is None else limits
    raised = laps * _MESH
    sewn: _Sag | None = None
    sags: list[_Sag] = []
    rows: list[tuple[float, float]] = []
    watch = _Watch(progress)

    def stride(pressure: float, found: Level) -> float | None:
        """The next pressure; None once the room has sunk."""
        watch.next()
        assert sewn is not None
        if len(rows) == _MOST or any(
            share < least
            for share, least in zip(sags[-1].shares(sewn), (limit.roof, limit.way_out), strict=True)
        ):
            return None
        near = raised * pressure < _NEAR * about_Pa or min(sags[-1].shares(sags[0])) < 1 - _MOVES
        short = _SHORT if triangles <= _MANY else _QUICK
        return pressure * (short if near else _LONG)

    end, end_Pa, why, triangles = CurveEnd.SUNK, np.nan, "", 0
    try:
        for pressure, found in forms_let_down(room, cloth, about_Pa / raised, stride, watch=watch):
            triangles = len(found.welded.triangles)
            sewn = sewn or _Sag.of(found, found.welded.nodes, ways)
            if found.state is not RoomState.STANDS:
                end, end_Pa, why = CurveEnd.NO_FORM, raised * pressure, found.form.outcome.value
                break
            rows.append((raised * pressure, found.form.residual))
            sags.append(_Sag.of(found, found.form.nodes, ways))
    except GeometryError as error:
        end, why, rows, sags = CurveEnd.NO_MESH, str(error), [], []
    if progress is not None:
        progress(1.0)
    rows.reverse()
    sags.reverse()
    return StandingCurve(
        pressure_Pa=[row[0] for row in rows],
        roof_mm=[one.roof for one in sags],
        ways_mm=np.array([one.ways for one in sags]).reshape(len(sags), len(ways)),
        residual=[row[1] for row in rows],
        sewn_roof_mm=sewn.roof if sewn is not None else np.nan,
        sewn_ways_mm=sewn.ways if sewn is not None else np.full(len(ways), np.nan),
        mass_kg_m2=cloth.mass_kg_per_m2,
        laps=laps,
        mesh=_MESH,
        triangles=triangles,
        end=end,
        end_Pa=end_Pa,
        why=why,
    )


class _Watch:
    """Progress over a number of forms that is not known beforehand: each takes a share of what is left."""

    _SHARE = 0.3

    def __init__(self, progress: Callable[[float], None] | None):
        self._progress, self._done = progress, 0.0
        self._part = Reporter(progress, 0.0, self._SHARE)

    def __call__(self, residual: float) -> None:
        self._part(residual)

    def next(self) -> None:
        """One more form is found."""
        self._done += self._SHARE * (1 - self._done)
        self._part = Reporter(self._progress, self._done, self._done + self._SHARE * (1 - self._done))
