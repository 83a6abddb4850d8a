"""Sewing a room from its files alone: the order is walked step by step, and all that a step names is looked for.

Nothing but the files is read: tables by the csv module, drawings by their text and the names of their layers.
"""

import csv
import itertools
import re
from collections.abc import Iterator
from pathlib import Path

from shellparts.build.room import Room
from shellparts.drawing.layout_pages import layout_pages
from shellparts.drawing.noted_page import FRAME
from shellparts.drawing.piece import draw_piece
from shellparts.drawing.styles import SMALL_PENS
from shellparts.report.buy_list import Extras, buy_lines
from shellparts.report.room_materials import layouts_of
from shellparts.writers.pages import write_places
from shellparts.writers.sewing_tables import (
    write_fittings,
    write_notches,
    write_rows,
    write_seams,
    write_sewing_order,
    write_strips,
)
from shellparts.writers.svg import write_svg
from shellparts.writers.tables import write_materials, write_patches, write_pieces

__all__ = ["faults_of", "write_papers"]


def write_papers(room: Room, folder: Path, laid: bool = True) -> None:
    """The tables and drawings that are sewn from, without solids, prints and pictures; perhaps without layouts.

    Looking for layouts takes longer than all the rest; the list to buy is then without what depends on them.
    """
    for part in ("flat", "layout", "tables"):
        (folder / part).mkdir(parents=True)
    pattern, order, marking, tables = room.pattern, room.order, room.design.marking, folder / "tables"
    for piece in pattern.templates:
        write_svg(draw_piece(piece), piece.name, folder / "flat" / f"{piece.name}.svg")
    write_pieces(pattern, marking, tables / "pieces.csv")
    write_patches(pattern, marking, tables / "patches.csv")
    write_seams(pattern, marking, tables / "seams.csv")
    write_notches(pattern, marking, tables / "notches.csv")
    write_sewing_order(order, pattern, marking, tables / "sewing_order.csv")
    write_rows(order, pattern, marking, tables / "rows.csv")
    write_strips(pattern, marking, tables / "strips.csv")
    write_fittings(order, pattern, marking, room.workshop.knots_mm, tables / "fittings.csv")
    lines = room.materials.lines if laid else buy_lines(pattern, order, room.workshop, Extras(), marking)
    write_materials(lines, tables / "materials.csv", marking)
    write_places(room.design, pattern, folder / "layout")
    if not laid:
        return
    for page in layout_pages(layouts_of(room.layout), room.design.name, marking, pattern):
        write_svg(page.on_paper, page.heading[0], folder / "layout" / f"{page.file}.svg", FRAME, SMALL_PENS)


class Papers:
    """What lies on the table."""

    def __init__(self, folder: Path):
        self.folder = folder
        self.pieces = self.rows("pieces")
        self.piece_of = {sheet: row["piece"] for row in self.pieces for sheet in row["sheets"].split()}
        self.seams = {row["seam"]: row for row in self.rows("seams")}
        self.sewn = {(row["step"], row["edge"]): row for row in self.rows("rows")}
        self.notches: dict[str, list[dict[str, str]]] = {}
        for row in self.rows("notches"):
            self.notches.setdefault(f"{row['piece']}:{row['edge']}", []).append(row)
        self.strips = [row for row in self.rows("strips")]
        self.patches = {(row["patch"], row["sewn_onto"]) for row in self.rows("patches")}
        self.fittings = self.rows("fittings")
        self.drawings = {
            path.stem: path.read_text(encoding="utf-8") for path in sorted((folder / "flat").glob("*.svg"))
        }

    def rows(self, name: str) -> list[dict[str, str]]:
        with (self.folder / "tables" / f"{name}.csv").open(encoding="utf-8", newline="") as file:
            return list(csv.DictReader(file))

    def texts(self, piece: str) -> list[str]:
        return re.findall(r">([^<>]+)</text>", self.drawings[piece])

    def group(self, piece: str, layer: str) -> list[str]:
        """The lines on one layer of a piece's drawing."""
        found = re.search(rf'<g id="{layer}".*?</g>', self.drawings[piece], re.DOTALL)
        return re.findall("<path", found[0]) if found else []

    def said_at(self, place: str) -> str | None:
        """What the drawing of a sheet's piece says at an edge; None where the edge is not named on it."""
        sheet, edge = place.split(":")
        found = [text for text in self.texts(self.piece_of[sheet]) if text.split()[0] == edge]
        return found[0] if len(found) == 1 else None


def faults_of(folder: Path) -> list[str]:
    """Follow the papers in a folder; everything that the person at the table would have to ask."""
    papers = Papers(folder)
    return [*_order_faults(papers), *_place_faults(papers), *_layout_faults(papers), *_list_faults(papers)]


def _order_faults(papers: Papers) -> Iterator[str]:
    order = papers.rows("sewing_order")
    if [int(row["step"]) for row in order] != list(range(1, len(order) + 1)):
        yield "steps are not counted from 1 on"
    met = set()
    for step in order:
        what = f"step {step['step']}"
        if not step["how"] or not step["edges"]:
            yield f"{what} does not say how, or where"
        for edge in step["edges"].split():
            if "+" in edge:
                yield from _seam_faults(papers, what, step, edge)
            elif step["do"] in ("hem", "reinforce", "cut the opening"):
                yield from _edge_faults(papers, what, step, edge)
            elif step["do"] == "sew patches on":
                yield from _patch_faults(papers, what, edge)
        met |= set(step["seams"].split())
    yield from _row_faults(papers)
    yield from (f"seam {seam} is in no step" for seam in papers.seams.keys() - met)


def _seam_faults(papers: Papers, what: str, step: dict[str, str], both: str) -> Iterator[str]:
    one, other = both.split("+")
    rows = [
        row
        for row in papers.seams.values()
        if {one, other} == {f"{row['sheet_a']}:{row['edge_a']}", f"{row['sheet_b']}:{row['edge_b']}"}
    ]
    if len(rows) != 1 or rows[0]["seam"] not in step["seams"].split():
        yield f"{what}: {both} is not one seam of the table"
        return
    yield from (f"{what}: {place} is on no drawing" for place in (one, other) if not papers.said_at(place))
    mine, theirs = (
        papers.notches.get(f"{papers.piece_of[place.split(':')[0]]}:{place.split(':')[1]}", [])
        for place in (one, other)
    )
    there = [(float(row["at_mm"]), row["ticks"]) for row in mine]
    back = [(float(row["left_to_end_mm"]), row["ticks"]) for row in reversed(theirs)]
    alike = len(there) == len(back) == int(rows[0]["notches"])
    if not alike or any(abs(a - b) > 0.25 or s != t for (a, s), (b, t) in zip(there, back, strict=True)):
        yield f"{what}: the notches of {both} do not meet"
    row = papers.sewn.get((step["step"], one)) or papers.sewn.get((step["step"], other))
    if row is None or not (row["start"] and row["stop"] and row["on_top_or_turned_towards"] in (one, other)):
        yield f"{what}: it is not said where the row of {both} starts and stops, or what lies on top"
    if rows[0]["kind"] == "taped" and not any(one["lies_on"] == rows[0]["seam"] for one in papers.strips):
        yield f"{what}: the tape of {both} has no size"


def _row_faults(papers: Papers) -> Iterator[str]:
    """Rows come in the order of the needle: what goes on goes on into the row below, what comes from one from above."""
    rows = papers.rows("rows")
    for before, row in itertools.pairwise([{}, *rows, {}]):
        same = bool(before) and all(before[one] == row.get(one) for one in ("step", "run"))
        on = [
            before.get("stop", "") == "on into the next row, needle down",
            row.get("start", "") == "on from the row before",
        ]
        if on != [same, same]:
            yield f"step {row.get('step')}: the row of {row.get('edge')} does not follow the one before it"
    for row in rows:
        sheet = row["edge"].split(":")[0]
        for end in ("start_beside", "stop_beside"):
            place = row[end].replace(" ", ":") if " " in row[end] else f"{sheet}:{row[end]}"
            if papers.said_at(place) is None:
                yield f"step {row['step']}: the row of {row['edge']} ends beside {row[end]}, which is on no drawing"


def _edge_faults(papers: Papers, what: str, step: dict[str, str], place: str) -> Iterator[str]:
    piece, said = papers.piece_of[place.split(":")[0]], papers.said_at(place)
    if said is None:
        yield f"{what}: {place} is on no drawing"
        return
    row = papers.sewn.get((step["step"], place))
    if step["do"] == "hem":
        if said.split(" ", 1)[-1] not in ("hem", "vent hem", "cord channel"):
            yield f"{what}: {place} is turned in, and the drawing says {said!r}"
        if row is None or not float(row["second_turn_mm"]) > float(row["row_from_finished_edge_mm"]) > 0.0:
            yield f"{what}: the turns of {place} are not said"
        if not papers.group(piece, "FINISHED_EDGE"):
            yield f"{what}: the finished edge of {place} is not drawn"
    if step["do"] == "reinforce":
        strips = [
            one
            for one in papers.strips
            if place in one["edges"].split() and one["lies_on"] == place.split(":")[0]
        ]
        if len(strips) != 1 or not float(strips[0]["length_mm"]) > float(row["length_mm"] if row else "inf"):
            yield f"{what}: no strip is long enough for {place}"


def _patch_faults(papers: Papers, what: str, place: str) -> Iterator[str]:
    sheet, patch = place.split(":")
    piece = papers.piece_of[sheet]
    if (patch, piece) not in papers.patches or patch not in papers.drawings:
        yield f"{what}: where {patch} goes on {piece} is not said"
    if not papers.group(piece, "PATCH_HERE"):
        yield f"{what}: {patch} is not drawn on {piece}"
    if patch == "tab" and not papers.group(piece, "LEAVE_LOOP_OPEN"):
        yield f"{what}: the loop of the tab on {piece} is not drawn"


def _place_faults(papers: Papers) -> Iterator[str]:
    """Every panel is on the view from above."""
    view = (papers.folder / "layout" / "places.svg").read_text(encoding="utf-8")
    places = re.findall(r">([^<>]+)</text>", view)
    parts = {row["piece"]: row["part"] for row in papers.pieces}
    for sheet, piece in papers.piece_of.items():
        if parts[piece] == "panel" and sheet not in places:
            yield f"{sheet} is not on the view from above"


def _layout_faults(papers: Papers) -> Iterator[str]:
    """Every sheet is on a layout with its side, where there are layouts."""
    pages = sorted(path for path in (papers.folder / "layout").glob("*.svg") if path.stem != "places")
    if not pages:
        return
    texts = [re.findall(r">([^<>]+)</text>", path.read_text(encoding="utf-8")) for path in pages]
    said = [text.replace("\N{NO-BREAK SPACE}", " ") for page in texts for text in page]
    for sheet in papers.piece_of:
        # On its piece or beside it; else in the notes, which may be broken into lines.
        at = [i for i, text in enumerate(said) if re.match(rf"\d+\. {sheet}\b", text)]
        if not any(re.search(r"(outer|inner) side up", " ".join(said[i : i + 3])) for i in at):
            yield f"{sheet} is on no layout with its side"


def _list_faults(papers: Papers) -> Iterator[str]:
    lines = {row["item"]: row for row in papers.rows("materials")}
    clips = sum(int(row["count"]) for row in papers.fittings if row["part"] == "clip")
    if clips and int(lines["clips for the vent"]["quantity"]) != clips:
        yield "not as many clips are bought as are put on"
    for row in papers.fittings:
        sheet = row["place"].split(":")[0]
        marks = len(papers.group(papers.piece_of[sheet], "CLIP_ON_HERE"))
        if row["part"] == "clip" and (
            marks < int(row["count"]) or len(row["from_start_mm"].split()) != int(row["count"])
        ):
            yield f"clips on {row['place']} are not drawn"
        if row["part"] != "clip" and ("cord" not in lines or not float(row["cord_each_mm"]) > 0.0):
            yield f"no cord is bought for {row['place']}"
    if papers.strips and "tape" not in lines:
        yield "no tape is bought for the strips"
    yield from (
        f"{item} is not in the list" for item in ("sewing thread", "needles", "chalk") if item not in lines
    )
