"""The text of a STEP file in an order and with a header that are the same in every run.

Glossary: a *record* is one numbered line of the file, such as ``#12 = PLANE('',#13)``; it *refers* to others
by number; a *root* is a record that no other refers to. The kernel writes the records of shapes in a fixed
order, but those of colours in the order in which things happen to lie in memory; it counts the places of
parts through the whole life of the process; and it puts the time of day into the header. All three are put
right here. This module knows text only, no shapes.
"""

import re

from shellparts.base.errors import GeometryError

__all__ = ["canonical"]

_RECORD = re.compile(r"#(\d+)\s*=\s*((?:[^;']++|'[^']*+')*+);")
_SPLIT = re.compile(r"('(?:[^']|'')*'|#\d+)")
_PLACE = re.compile(r"NEXT_ASSEMBLY_USAGE_OCCURRENCE\('\d*'")
_COLOURS = "MECHANICAL_DESIGN_GEOMETRIC_PRESENTATION_REPRESENTATION"

_HEADER = """ISO-10303-21;
HEADER;
FILE_DESCRIPTION(('{title}'),'2;1');
FILE_NAME('{name}','1970-01-01T00:00:00',(''),(''),'shellparts','shellparts','');
{schema}
ENDSEC;
DATA;
"""


def _references(text: str) -> list[int]:
    if "#" not in text:  # points and directions: most records
        return []
    return [int(part[1:]) for part in _SPLIT.split(text) if part.startswith("#")]


def _reachable(roots: list[int], onward: dict[int, list[int]]) -> list[int]:
    """Records that the roots lead to, each once, as they are met: a root, then what it refers to."""
    met: dict[int, None] = {}
    waiting = roots[::-1]
    while waiting:
        number = waiting.pop()
        if number not in met:
            met[number] = None
            waiting.extend(reversed(onward[number]))
    return list(met)


def canonical(text: str, name: str, title: str = "cloth room as sewn, millimetres") -> str:
    """Bring a STEP file of the kernel into the form that depends on its content alone.

    Parameters
    ----------
    text : str
        As the kernel writes it.
    name, title : str
        For the header: what the file is called, and what is in it.

    Returns
    -------
    str
        One record a line: those of shapes in the kernel's order, then those of colours in the order of what
        they colour.

    Raises
    ------
    GeometryError
        If the text is not that of a STEP file.

    Examples
    --------
    >>> raw = "HEADER;FILE_SCHEMA(('X'));ENDSEC;DATA;#7 = POINT('#9');#9 = VERTEX('',#7);ENDSEC;"
    >>> print(canonical(raw, "room").split("DATA;")[1].strip())
    #1=POINT('#9');
    #2=VERTEX('',#1);
    ENDSEC;
    END-ISO-10303-21;
    """
    head, found, data = text.partition("DATA;")
    schema = re.search(r"FILE_SCHEMA\(.*?\);", head, re.DOTALL)
    if not found or schema is None:
        raise GeometryError("the kernel's STEP text has no data section or names no schema")
    flat = "".join(line.lstrip() for line in data.splitlines())
    records = {int(number): body.strip() for number, body in _RECORD.findall(flat)}
    onward = {number: _references(body) for number, body in records.items()}
    referred = {number for numbers in onward.values() for number in numbers}
    roots = [number for number in records if number not in referred]
    colours = [number for number in roots if records[number].startswith(_COLOURS)]
    shapes = set(_reachable([number for number in roots if number not in set(colours)], onward))
    order = [number for number in records if number in shapes]
    rank = {number: i for i, number in enumerate(order)}

    def coloured(root: int) -> list[int]:
        return sorted(rank[number] for number in _reachable([root], onward) if number in rank)

    order += [number for number in _reachable(sorted(colours, key=coloured), onward) if number not in shapes]
    fresh = {number: i for i, number in enumerate(order, 1)}
    header = _HEADER.format(
        name=name, title=title, schema="".join(line.strip() for line in schema[0].splitlines())
    )
    return header + "\n".join([*_numbered(order, records, fresh), "ENDSEC;", "END-ISO-10303-21;", ""])


def _numbered(order: list[int], records: dict[int, str], fresh: dict[int, int]) -> list[str]:
    """Lines of the records under fresh numbers, with the places of parts counted from 1."""
    lines, places = [], 0
    for number in order:
        body = records[number]
        if _PLACE.match(body):
            places += 1
            body = _PLACE.sub(f"NEXT_ASSEMBLY_USAGE_OCCURRENCE('{places}'", body)
        if "#" not in body:
            lines.append(f"#{fresh[number]}={body};")
            continue
        parts = (f"#{fresh[int(part[1:])]}" if part.startswith("#") else part for part in _SPLIT.split(body))
        lines.append(f"#{fresh[number]}={''.join(parts)};")
    return lines
