"""Numbers with nouns that agree with them."""

__all__ = ["counted"]

_UNITS = frozenset({"m", "mm", "m2", "kg"})
_HISSING = ("s", "x", "z", "ch", "sh")


def counted(number: float, noun: str) -> str:
    """A number and what is counted, the noun in the plural but for one.

    Parameters
    ----------
    number : float
        How many [-].
    noun : str
        In the singular: a word that takes s, or es after a hissing sound, and what follows it; or a unit.

    Returns
    -------
    str

    Examples
    --------
    >>> counted(1, "joint"), counted(5, "sheet"), counted(2, "spool of 500 m"), counted(3, "box of 10")
    ('1 joint', '5 sheets', '2 spools of 500 m', '3 boxes of 10')
    >>> counted(1.5, "m2"), counted(0, "clip")
    ('1.5 m2', '0 clips')
    """
    first, _, rest = noun.partition(" ")
    if number != 1 and first not in _UNITS:
        first += "es" if first.endswith(_HISSING) else "s"
    return f"{number:g} {first}{' ' * bool(rest)}{rest}"
