"""What people read of a room, searched for metric figures that a reader with an inch tape cannot use.

Pages, drawings, notes and tables are read by libraries that know nothing of this one. Data for programs is left
out: summary.json, solids, meshes; so are figures that no tape, scale or wind gauge shows: pascals, litres a second,
degrees Celsius.
"""

import csv
import html
import re
from collections.abc import Iterator
from pathlib import Path

import ezdxf
import pypdfium2 as pdfium

__all__ = ["FIGURE", "metric_alone", "said_in", "unread"]

FIGURE = re.compile(
    r"(?<![\w.,])-?\d[\d.,]*[ \xa0](mm|cm|m|km|m2|m²|m3|m³|kg|g|g/m2|g/m²|m/s|km/h)(?![\w/²³])"
)
INCHES = re.compile(r"\d[ \xa0]?(ft|in|yd|lb|oz|sq ft|cu ft|oz/sq yd|mph|['\"])(?![\w])")
#: Full-size pages and the paper model: bars to measure show both, beside each other on the page.
BARS = ("_full_size.pdf", "_paper_model.pdf")
#: Columns: how exact a piece marked out from the table is; nothing that anybody measures.
EXACT = ("off_mm", "off_tape_mm")
TWINS = {"_mm": "_tape", "_m2": "_sq_ft", "_kg": "_lb", "_m": "_yd", "_g_m2": "_oz_sq_yd"}
DATA = {".step", ".glb", ".stl", ".3mf", ".json", ".png"}


def metric_alone(text: str) -> list[str]:
    """Figures with a metric unit that no figure in inches, feet, pounds stands right before: "8 in (20 cm)"."""
    found = []
    for match in FIGURE.finditer(text):
        before = text[: match.start()]
        # "1 ft (30 cm)", "1 ft = 30 cm", "1 in x 2 in (25 x 50 mm)", "230 cu ft (39 to 459) = 6.5 m3 (1.1 to 13)"
        opening = re.search(r"[(=] ?[\d.,]*(?: x | to )?$", before)
        if opening is None or not INCHES.search(before[max(0, opening.start() - 25) : opening.start()]):
            found.append(" ".join(text[max(0, match.start() - 40) : match.end() + 10].split()))
    return found


def _page_texts(path: Path) -> list[str]:
    return [
        " ".join(page.get_textpage().get_text_range().split()).replace("\ufffe", "")
        for page in pdfium.PdfDocument(path)
    ]


def said_in(path: Path) -> Iterator[str]:
    """Every text of a file that a person reads, label by label, page by page, cell by cell."""
    if path.suffix == ".pdf":
        yield from _page_texts(path)
    elif path.suffix == ".svg":
        yield from map(html.unescape, re.findall(r">([^<>]*\w[^<>]*)<", path.read_text(encoding="utf-8")))
    elif path.suffix == ".html":
        page = re.sub(r"(?s)<(script|style).*?</\1>", "", path.read_text(encoding="utf-8"))
        yield from map(html.unescape, re.findall(r">([^<>]*\w[^<>]*)<", page))
    elif path.suffix == ".dxf":
        for layout in ezdxf.readfile(path).layouts:
            for entity in layout.query("TEXT MTEXT"):
                yield entity.plain_text()
    elif path.suffix == ".csv":
        with path.open(encoding="utf-8", newline="") as file:
            for row in csv.reader(file):
                yield from row
    else:
        yield " ".join(path.read_text(encoding="utf-8").split())


def _columns_alone(path: Path) -> list[str]:
    with path.open(encoding="utf-8", newline="") as file:
        heads = next(csv.reader(file))
    alone = []
    for head in heads:
        unit = next((one for one in sorted(TWINS, key=len, reverse=True) if head.endswith(one)), None)
        if unit is not None and head not in EXACT and head.removesuffix(unit) + TWINS[unit] not in heads:
            alone.append(f"column {head}")
    return alone


def unread(folder: Path) -> list[str]:
    """Everything in a run's files that only a reader with a metric tape can use; names of files first."""
    found = []
    for path in sorted(path for path in folder.rglob("*") if path.is_file() and path.suffix not in DATA):
        if path.name.startswith("."):
            continue
        alone = _columns_alone(path) if path.suffix == ".csv" else []
        for text in said_in(path):
            both = path.name.endswith(BARS) and INCHES.search(text)
            alone += [] if both else metric_alone(text)
        found += [f"{path.relative_to(folder).as_posix()}: {one}" for one in dict.fromkeys(alone)]
    return found
