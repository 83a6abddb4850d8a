"""What a room is sewn of: what its cloth weighs may stand in what is bought, and in what safety is told of."""

from attrs import evolve

from shellparts.errors import ParameterError
from shellparts.loads.figures import SHELTER_SHEET_KG_M2, Cloth
from shellparts.loads.ranges import Range
from shellparts.stock.workshop import Workshop

__all__ = ["cloth_of"]

#: Two masses that differ by less than this share are one, written twice.
_SAME = 0.005


def cloth_of(cloth: Cloth | None, workshop: Workshop) -> Cloth:
    """The cloth of a room: the mass of the roll or the sheets is the room's.

    Parameters
    ----------
    cloth : Cloth, optional
        Its strength and the rest; a relief-shelter sheet unless given.
    workshop : Workshop
        With the roll or the sheets, which may say what they weigh.

    Returns
    -------
    Cloth

    Raises
    ------
    ParameterError
        If both say what the cloth weighs, and differ.
    """
    told = {s.name: s.mass_g_m2 / 1000.0 for s in workshop.stocks if s.mass_g_m2 is not None}
    if not told:
        return Cloth() if cloth is None else cloth
    low, high = min(told.values()), max(told.values())
    if cloth is not None and cloth.mass_kg_m2 is not SHELTER_SHEET_KG_M2:
        own = cloth.mass_kg_m2
        for name, mass in told.items():
            if not own.low * (1.0 - _SAME) <= mass <= own.high * (1.0 + _SAME):
                raise ParameterError(
                    "mass of the cloth",
                    f"{1000.0 * own.likely:g} g/m2 in Cloth and {1000.0 * mass:g} g/m2 in {name!r}",
                    "the same in both",
                    "weigh a piece; then correct the one that is wrong, or leave the mass out of Cloth",
                )
    likely = sum(told.values()) / len(told)
    return evolve(
        Cloth() if cloth is None else cloth, mass_kg_m2=Range(low, min(max(likely, low), high), high)
    )
