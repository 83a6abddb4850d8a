"""What to buy besides cloth, in the packs that it is sold in: thread, tape, cord, needles, chalk, clips, filling, fan.

Glossary: a *pack* is what a shop hands out: a spool, a roll, a hank. Packs and prices are invented examples. A tab's
strength is that of one row of stitches across it; the load to use is a fifth of it.
"""

import math
from collections.abc import Iterator, Sequence

from attrs import frozen
from scipy import constants

from shellparts.base.counted import counted
from shellparts.base.units import feet_inches
from shellparts.parameters import Marking, Tape
from shellparts.parameters.cloth import Cloth
from shellparts.parameters.fan import Fan
from shellparts.parameters.workshop import Prices, Workshop
from shellparts.pattern.made import Pattern
from shellparts.sewing.bundle import SewingGraph
from shellparts.sewing.order_steps import SewingOrder
from shellparts.sewing.parts import Fitting, fittings_of, strips_of
from shellparts.stock.materials import MaterialLine

__all__ = ["Extras", "asked_of_cloth", "asked_of_fan", "buy_lines"]

#: Packs: how much is in one, and what it is called; invented examples.
_SPOOL_M, _ROLL_M, _HANK_M, _NEEDLES, _CHALK_M, _FILLING_KG = 500.0, 25.0, 20.0, 5, 200.0, 25.0
#: Longer lengths are told in yards beside an inch tape [mm].
_YARDS_FROM_MM = 10_000.0
#: A needle is changed after so many hours at the machine [h]: common practice for coated sheet.
_NEEDLE_H = 6.0
#: Thread to spare, as a share: seams that are unpicked and sewn again, and trials on scraps; common practice.
_THREAD_SPARE = 0.1


@frozen
class Extras:
    """What the room is used with.

    Parameters
    ----------
    fan : str
        Its name, air and outlet; nothing where it is not known.
    fans : int
        How many like fans.
    cloth : str
        What is asked of the cloth.
    anchors : int
        Stakes or screws outdoors.
    ballast_kg : float
        To be filled into bags [kg].
    tab_N : float or None
        Pull that a tab bears, its factor of safety counted [N].
    """

    fan: str = ""
    fans: int = 1
    cloth: str = ""
    anchors: int = 0
    ballast_kg: float = 0.0
    tab_N: float | None = None


def asked_of_cloth(cloth: Cloth) -> str:
    """What to ask for in the shop: mass, strength, flame-retardant cloth where no certificate is said to be there."""
    grams = cloth.mass_kg_m2.scaled(1000.0)
    mass = f"{grams.low:.0f}" if grams.low == grams.high else f"{grams.low:.0f} to {grams.high:.0f}"
    strip_N = 0.05 * cloth.strength_N_m
    flame = "with its certificate" if cloth.flame_retardant else "; local codes decide"
    return (
        f"{mass} g/m2, a strip 5 cm wide bears {strip_N:.0f} N at least, the pull of {strip_N / constants.g:.0f} kg; "
        f"ask for flame-retardant cloth{' ' * cloth.flame_retardant}{flame}"
    )


def asked_of_fan(fan: Fan, marking: Marking) -> str:
    """Which fan to get: its name, the air that it blows freely, how wide its outlet is."""
    across = 2000.0 * math.sqrt(fan.outlet_area_m2.likely / fan.count / math.pi)
    air = fan.strong.free_air_m3_s / fan.count
    assumed = ", in part assumed" if fan.assumed else ""
    many = len(fan.speeds) > 1
    speeds = f"; its switch has {', '.join(repr(one.name) for one in fan.speeds)}" if many else ""
    return (
        f"{fan.name}: blows {air:.2f} m3/s ({3600.0 * air:.0f} m3/h) freely at full speed{assumed}; outlet as large as "
        f"a circle {marking.length(round(across))} across; with a guard{speeds}"
    )


def _packs(item: str, need: float, size: float, unit: str, price: float | None, basis: str) -> MaterialLine:
    """Whole packs of something that is needed by the metre, the piece or the kilogram."""
    return MaterialLine(item, max(1, math.ceil(need / size - 1e-9)), unit, price, basis)


def _each(price: float | None, size: float) -> float | None:
    return None if price is None else round(price * size, 4)


def _long(mm: float, marking: Marking) -> str:
    if marking.tape is Tape.IMPERIAL:
        return feet_inches(mm) if mm < _YARDS_FROM_MM else f"{math.ceil(mm / 914.4)} yd"
    return f"{mm / 1000.0:.1f} m"


def _cords(
    found: Sequence[Fitting], workshop: Workshop, marking: Marking, tab_N: float | None
) -> Iterator[MaterialLine]:
    drawn = [one.length_mm for one in found if one.part == "drawcord"]
    ties = [one.length_mm for one in found if one.part == "tie" for _ in range(one.count)]
    if not drawn and not ties:
        return
    told = []
    if drawn:
        told.append(f"{counted(len(drawn), 'drawcord')} of {marking.length(max(drawn))}, knots included")
    if ties:
        told.append(
            f"{counted(len(ties), 'tie')} of {_long(ties[0], marking)}, one for every tab; for anchors "
            "outdoors, not needed indoors"
        )
    if ties and tab_N is not None:
        told.append(f"load a tab with {tab_N:.0f} N at the most, the pull of {tab_N / constants.g:.0f} kg")
    need = (sum(drawn) + sum(ties)) / 1000.0
    price = _each(workshop.prices.cord_m, _HANK_M)
    yield _packs("cord", need, _HANK_M, f"hank of {_HANK_M:g} m", price, "; ".join(told))


def buy_lines(
    pattern: Pattern, order: SewingOrder, workshop: Workshop, extras: Extras, marking: Marking
) -> list[MaterialLine]:
    """Make the lines of everything but cloth, bags and templates.

    Parameters
    ----------
    pattern : Pattern
    order : SewingOrder
        Of the same pattern.
    workshop : Workshop
        Prices, and cord for knots.
    extras : Extras
        Fan, anchors, filling.
    marking : Marking
        Which tape lengths are told by.

    Returns
    -------
    list of MaterialLine
        Quantities are packs, rounded up; the basis says what is needed.
    """
    prices: Prices = workshop.prices
    graph = SewingGraph.of(pattern)
    found = list(fittings_of(graph, workshop.knots_mm))
    made = (
        f"{_long(1000.0 * order.thread_m, marking)} for {_long(order.seam_length_mm, marking)} of seams and "
        f"{_long(order.hem_length_mm, marking)} of hems, row by row as in the sewing order, waste included, "
        f"and {_THREAD_SPARE:.0%} to spare"
    )
    spool = _each(prices.thread_m, _SPOOL_M)
    lines = [
        _packs(
            "sewing thread",
            (1.0 + _THREAD_SPARE) * order.thread_m,
            _SPOOL_M,
            f"spool of {_SPOOL_M:g} m",
            spool,
            made,
        )
    ]
    strips = list(strips_of(graph))
    if strips:
        need = sum(one.length_mm for one in strips) / 1000.0
        wide = marking.length(strips[0].width_mm)
        long = f"{_long(1000.0 * need, marking)} in {counted(len(strips), 'strip')}"
        basis = f"woven, {wide} wide, {long}, as in strips.csv"
        lines.append(
            _packs("tape", need, _ROLL_M, f"roll of {_ROLL_M:g} m", _each(prices.tape_m, _ROLL_M), basis)
        )
    lines += _cords(found, workshop, marking, extras.tab_N)
    clips = sum(one.count for one in found if one.part == "clip")
    if clips:
        lines.append(MaterialLine("clips for the vent", clips, "clip", prices.clip, "as in fittings.csv"))
    needles = math.ceil(order.hours / _NEEDLE_H) + 1
    told = f"{needles}: a new one every {_NEEDLE_H:g} h at the machine, and one spare"
    lines.append(_packs("needles", needles, _NEEDLES, f"packet of {_NEEDLES}", prices.needles, told))
    chalked = sum(one.count * edge.length_mm for one in pattern.templates for edge in one.all_edges)
    basis = f"{_long(chalked, marking)} of lines to chalk"
    lines.append(_packs("chalk", chalked / 1000.0, _CHALK_M, "box of 10", prices.chalk, basis))
    if extras.ballast_kg:
        price = _each(prices.filling_kg, _FILLING_KG)
        told = f"{extras.ballast_kg:.0f} kg of dry sand or gravel for the bags"
        lines.append(
            _packs("bag filling", extras.ballast_kg, _FILLING_KG, f"sack of {_FILLING_KG:g} kg", price, told)
        )
    if extras.fan:
        lines.append(MaterialLine("fan", extras.fans, "fan", prices.fan, extras.fan))
    if extras.anchors:
        lines.append(MaterialLine("anchors", extras.anchors, "anchor", prices.anchor, "as the site says"))
    return lines
