"""Figures that stay on one line with their units: spaces that no end of a line may take the place of."""

import re

__all__ = ["NO_BREAK", "unparted"]

NO_BREAK = "\u00a0"
_UNITS = (
    r"in 100|mm|cm|km|m|m[23²³]|ft|in|yd|sq ft|sq yd|cu ft|lb|oz|kg|g|N|Pa|W|V|A|C|°C|°|%|s|min|h|hours?|l|litres?|ppm|"
    r"dB|mph|cfm|[a-zL]{1,2}/[a-z]{1,2}[23²³]?(?:·[a-z]+[23²³]?)?|N/m|m[23²³]/[sh]|oz/sq yd"
)
_COUNTED = (
    r"[Ss]teps?|[Ss]heets?|[Pp]ages?|[Rr]olls?|[Rr]ows?|[Cc]orners?|[Pp]oints?|[Nn]otch(?:es)?|radius|"
    r"panel|cap|tunnel|sleeve|floor|S|[A-Za-z]\w*_\w+"
)
#: What stands on both sides of a space that is kept: a figure and its unit, feet and inches, an inch and its parts, a
#: figure and how often, a word and its number, a place and its edge.
_KEPT = tuple(
    re.compile(one)
    for one in (
        rf"(?<=\d)(?:\*\*)? (?=(?:\*\*)?(?:{_UNITS})(?![\w/²³]))",
        r"(?<=\bft) (?=\d)",
        r"(?<=\bsq|\bcu) (?=ft\b|yd\b|in\b)",
        r"(?<=\d['′]) (?=\d)",
        r"(?<=\d) (?=\d+/\d)",
        r"(?<=\d) (?=\u00d7)|(?<=\u00d7) (?=\d)",
        rf"\b(?:{_COUNTED}) (?=\d)",
        r"(?<=\w) (?=e\d+\b)",
    )
)


def unparted(text: str) -> str:
    """Keep figures with their units, feet with their inches, names with their numbers on one line.

    Parameters
    ----------
    text : str

    Returns
    -------
    str
        As long as before: spaces became no-break spaces.

    Examples
    --------
    >>> unparted("16 ft 4 1/2 in of tape, step 3: S 16").replace(NO_BREAK, "~")
    '16~ft~4~1/2~in of tape, step~3: S~16'
    >>> unparted("2 boards of 2440 mm x 1220 mm, 3 clips").replace(NO_BREAK, "~")
    '2 boards of 2440~mm x 1220~mm, 3 clips'
    """
    for one in _KEPT:
        text = one.sub(lambda found: found[0].replace(" ", NO_BREAK), text)
    return text
