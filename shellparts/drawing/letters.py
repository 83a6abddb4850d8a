"""How wide words are when printed: Helvetica's own measures, and which letters every reader of PDF has."""

import unicodedata
from functools import lru_cache

__all__ = ["CAPITAL", "font_name", "plain_text", "text_width"]

#: Height of capitals as a share of the size of Helvetica.
CAPITAL = 0.718


def plain_text(words: str) -> str:
    """Write a text with letters that every reader of PDF has.

    Parameters
    ----------
    words : str
        Any text.

    Returns
    -------
    str
        Accents are dropped where they must be; other letters become a question mark.

    Examples
    --------
    >>> plain_text("Łódź, façade")
    '?ódz, façade'
    """
    out = []
    for letter in words:
        if _is_common(letter):
            out.append(letter)
        else:
            bare = "".join(c for c in unicodedata.normalize("NFKD", letter) if not unicodedata.combining(c))
            out.append(bare if bare and all(map(_is_common, bare)) else "?")
    return "".join(out)


def _is_common(letter: str) -> bool:
    return " " <= letter <= "~" or "\u00a1" <= letter <= "\u00ff"


def font_name(bold: bool) -> str:
    """Upright or bold."""
    return "Helvetica-Bold" if bold else "Helvetica"


def text_width(words: str, height_mm: float, bold: bool = False) -> float:
    """Length of a line of text [mm], by the height of its capitals [mm]."""
    return _unit_width(words, bold) * height_mm


@lru_cache(maxsize=1024)
def _unit_width(words: str, bold: bool) -> float:
    from reportlab.pdfbase.pdfmetrics import stringWidth

    return float(stringWidth(plain_text(words), font_name(bold), 1.0 / CAPITAL))
