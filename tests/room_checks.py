"""What must hold for every room that is built, measured apart from the code that built it.

Glossary: a *ring* is a closed polyline, shape (n, 2) [mm]; a *use* is one edge of the body on the boundary of one sheet.
Nothing here reads a design: bodies are meshed and counted, outlines and patterns are measured with shapely.
"""

import csv
import math
import tempfile
from collections import Counter, defaultdict
from itertools import combinations
from pathlib import Path
from string import ascii_lowercase

import cadquery as cq
import numpy as np
import pytest
import shapely
import trimesh
from OCP.BRepCheck import BRepCheck_Analyzer
from OCP.BRepTools import BRepTools
from scipy.sparse import csr_matrix
from scipy.sparse.csgraph import connected_components
from scipy.spatial import cKDTree

from shellparts.base.units import to_mm
from shellparts.body import Body, EdgeRole
from shellparts.build.room import Room
from shellparts.parameters.allowances import SeamKind
from shellparts.pattern.made import Pattern
from shellparts.pattern.pieces import Piece
from shellparts.pattern.seam_kinds import JOIN
from shellparts.pattern.stations import stations_of, told_by_stations
from shellparts.sewing.bundle import SewingGraph
from shellparts.sewing.order_check import order_faults
from shellparts.unroll.flat_face import outline_face
from shellparts.writers.tables import write_stations

CLOSURE_MM = 1e-3
AREA_SHARE = 1e-6
MISMATCH_MM = 1e-2
SAGITTA_MM = 0.02
#: The cutting line is rounded to 1e-4 mm, and stands off a polyline that is up to SAGITTA_MM inside the curve.
CUTTING_SLIP_MM = SAGITTA_MM + 2e-3


def mesh_of(body: Body, tolerance_mm: float = 3.0, angle_rad: float = 0.1) -> trimesh.Trimesh:
    """Mesh of the envelope, welded at 1e-5 mm."""
    solid = cq.Solid(body.envelope)
    BRepTools.Clean_s(body.envelope)
    vertices, triangles = solid.tessellate(
        tolerance_mm, angle_rad
    )  # on swept splines only the angle makes the mesher refine
    BRepTools.Clean_s(body.envelope)
    points = np.array([v.toTuple() for v in vertices])
    near = cKDTree(points).query_pairs(1e-5, output_type="ndarray")
    links = csr_matrix((np.ones(len(near)), near.T), shape=(len(points),) * 2)
    _, label = connected_components(links, directed=False)
    _, first = np.unique(label, return_index=True)
    corners = label[np.array(triangles)]
    flat = (corners == np.roll(corners, 1, axis=1)).any(axis=1)
    return trimesh.Trimesh(points[first], corners[~flat], process=False)


def check_body(body: Body) -> None:
    """One closed solid without handles, its volume the mesh's too."""
    figures = body.figures
    assert figures.solids == 1
    assert figures.watertight
    assert BRepCheck_Analyzer(body.envelope).IsValid()
    solid = cq.Solid(body.envelope)
    wires = sum(1 + len(face.innerWires()) for face in solid.Faces())
    faces = len(solid.Faces())
    # Euler-Poincare for a solid like a ball: V - E + F - (W - F) = 2.
    assert len(solid.Vertices()) - len(solid.Edges()) + 2 * faces - wires == 2
    mesh = mesh_of(body)
    assert mesh.is_watertight
    assert mesh.is_winding_consistent
    assert mesh.euler_number == 2
    assert mesh.volume > 0.0
    volume = figures.envelope_volume_m3 * 1e9
    if abs(mesh.volume / volume - 1.0) > 0.03:  # a coarse mesh of a slender room
        mesh = mesh_of(body, angle_rad=0.02)
    assert math.isclose(mesh.volume, volume, rel_tol=0.03)
    names = [sheet.name for sheet in body.sheets]
    assert len(set(names)) == len(names)
    assert all(name.isascii() for name in names)


def sheet_uses(body: Body) -> dict[int, Counter[str]]:
    """How often each sheet walks each edge, from the body's faces themselves."""
    uses: dict[int, Counter[str]] = defaultdict(Counter)
    for sheet in body.sheets:
        for face in sheet.faces:
            for key in face.keys:
                uses[key][sheet.name] += 1
    return uses


def sewn_length(body: Body) -> float:
    """Length of all seams together [mm]: every edge once less than there are boundaries that have it."""
    total = 0.0
    for key, count in sheet_uses(body).items():
        if key in body.vents or key in body.loose:
            continue
        boundaries = sum(times for times in count.values() if times == 1 or key in body.joints)
        if boundaries > 1:
            points = body.links[key].sampled(2 if body.links[key].straight else 4001)
            total += (boundaries - 1) * float(np.linalg.norm(np.diff(points, axis=0), axis=1).sum())
    return total


def ring_of(edges: object) -> np.ndarray:
    """Ring of the edges of one loop of a piece."""
    return np.concatenate([edge.polyline(SAGITTA_MM)[:-1] for edge in edges])


def sewing_polygon(piece: Piece) -> shapely.Polygon:
    """Area inside the sewing line."""
    return shapely.Polygon(ring_of(piece.edges), [ring_of(hole) for hole in piece.holes])


def cutting_polygon(piece: Piece) -> shapely.Polygon:
    """Area inside the cutting line."""
    return shapely.Polygon(piece.cutting[0], piece.cutting[1:])


def check_outlines(room: Room) -> None:
    """Every flat piece closes, and keeps area and every length."""
    for name, outline in room.outlines.items():
        assert outline.closure_mm <= CLOSURE_MM, name
        assert abs(outline.flat_area_mm2 - outline.face_area_mm2) <= AREA_SHARE * outline.face_area_mm2, name
        for loop in outline.loops:
            for edge in loop.edges:
                assert abs(edge.length_mm - edge.solid_length_mm) <= 1e-3, name


def check_cutting_line(piece: Piece) -> None:
    """Simple, around the sewing line, and at least the allowance away from each edge; no more cloth than needed."""
    sewing, cutting = sewing_polygon(piece), cutting_polygon(piece)
    assert sewing.is_valid, piece.name
    assert cutting.is_valid, piece.name
    assert cutting.exterior.is_ccw
    assert cutting.buffer(1e-3).contains(sewing), piece.name
    allowances = [edge.allowance_mm for edge in piece.all_edges]
    assert cutting.boundary.distance(sewing.boundary) >= min(allowances) - CUTTING_SLIP_MM, piece.name
    covered = cutting.buffer(CUTTING_SLIP_MM)
    corners, turned = 0, 0.0
    for edge in piece.all_edges:
        for flat in edge.flat:
            corners += 1
            turned += abs(float(flat.heading[-1] - flat.heading[0]))
            s = np.linspace(0.0, flat.s[-1], 9)[1:-1]
            heading = flat.heading_at(s)
            outward = np.column_stack([np.sin(heading), -np.cos(heading)])
            at = flat.at(s)
            stubs = shapely.linestrings(np.stack([at, at + outward * edge.allowance_mm], axis=1))
            assert covered.covers(shapely.MultiLineString(list(stubs))), (piece.name, edge.id)
    bands = sum(edge.allowance_mm * edge.length_mm for edge in piece.all_edges)
    spare = (4.0 * corners + turned) * max(allowances) ** 2
    assert cutting.area <= sewing.area + bands + spare, piece.name


def check_pattern(room: Room) -> None:
    """Every sheet once, every seam's two edges alike, every cutting line right."""
    pattern = room.pattern
    check_parts(room)
    assert len({piece.name for piece in pattern.pieces}) == len(pattern.pieces)
    for piece in pattern.pieces:
        check_cutting_line(piece)
    check_cap(room)
    check_seams(room)
    check_alike(room)


def check_parts(room: Room) -> None:
    """Every sheet once, whole or in parts that make it up; a join is a seam of two parts of one sheet."""
    pattern, names = room.pattern, {sheet.name for sheet in room.body.sheets}
    areas: dict[str, list[tuple[str, float]]] = defaultdict(list)
    for piece in pattern.pieces:
        for sheet in piece.sheets:
            whole = sheet if sheet in names else sheet.rsplit("_", 1)[0]
            areas[whole].append((sheet, piece.outline.flat_area_mm2))
    assert set(areas) == names
    for name, parts in areas.items():
        letters = [part.removeprefix(name) for part, _ in sorted(parts)]
        assert letters == ([""] if len(parts) == 1 else [f"_{ascii_lowercase[i]}" for i in range(len(parts))])
        if not name.startswith("cap"):  # it is cut round, not as the flat polygon of the body
            flat = sum(area for _, area in parts)
            assert math.isclose(flat, room.outlines[name].flat_area_mm2, rel_tol=1e-9), name
    for seam in pattern.seams:
        a, b = (sheet if sheet in names else sheet.rsplit("_", 1)[0] for sheet in seam.sheets)
        joins = a == b and seam.sheets[0] != seam.sheets[1]
        assert joins == (seam.seam_class == JOIN), seam.id


def check_cap(room: Room) -> None:
    """The cap is the circle as long around as all panel ends together."""
    cap = room.pattern.piece("cap")
    tops = room.body.tops
    ends = sum(
        edge.length_mm
        for name, outline in room.outlines.items()
        if name.startswith("panel")
        for edge in outline.outer.edges
        if edge.key in tops
    )
    around = sum(edge.length_mm for edge in cap.edges)
    assert math.isclose(around, ends, abs_tol=1e-6)
    middle = np.array(sewing_polygon(cap).centroid.coords[0])
    radii = np.hypot(*(ring_of(cap.edges) - middle).T)
    assert np.ptp(radii) <= 2 * SAGITTA_MM
    assert cap.outline.closure_mm <= CLOSURE_MM


def check_seams(room: Room) -> None:
    """Both edges of every seam have one length, one allowance and the same notches from either end."""
    pattern: Pattern = room.pattern
    pieces = {piece.name: piece for piece in pattern.pieces}
    used = Counter()
    for seam in pattern.seams:
        assert seam.mismatch_mm <= MISMATCH_MM, seam.id
        edges = []
        for sheet, name, edge_id, length in zip(
            seam.sheets, seam.pieces, seam.edges, seam.lengths_mm, strict=True
        ):
            assert sheet in pieces[name].sheets
            edge = next(edge for edge in pieces[name].all_edges if edge.id == edge_id)
            assert abs(edge.length_mm - length) <= MISMATCH_MM
            assert edge.role.value == "seam"
            used[name, edge_id] += 1
            edges.append(edge)
        a, b = edges
        narrow = 0.5 if seam.kind is SeamKind.FLAT_FELLED else 1.0  # it folds round half of itself
        assert sorted((a.allowance_mm, b.allowance_mm)) == [narrow * seam.allowance_mm, seam.allowance_mm], (
            seam.id
        )
        assert seam.allowances_mm == (a.allowance_mm, b.allowance_mm), seam.id
        assert len(a.notches_mm) == len(b.notches_mm) == seam.notches, seam.id
        near, far = np.array(a.notches_mm), np.array(b.notches_mm)
        if len(near):
            assert near[0] > 0.0 and near[-1] < a.length_mm
            assert np.abs(near - far).max() <= MISMATCH_MM
            assert np.abs(near - (b.length_mm - far[::-1])).max() <= MISMATCH_MM
    for piece in pattern.pieces:
        for edge in piece.all_edges:
            times = used[piece.name, edge.id]
            if edge.role.value == "seam":
                assert times >= piece.count, (piece.name, edge.id, times)
            else:
                assert times == 0, (piece.name, edge.id)
                assert not edge.notches_mm
    total = sum(seam.lengths_mm[0] for seam in pattern.seams if seam.seam_class != JOIN)
    assert math.isclose(total, sewn_length(room.body), rel_tol=1e-6), (total, sewn_length(room.body))


def _notch_points(piece: Piece) -> np.ndarray:
    """Where the notches of a piece lie, shape (n, 2) [mm]."""
    found = [edge.at(distance)[0] for edge in piece.all_edges for distance in edge.notches_mm]
    return np.array(found).reshape(-1, 2)


def _signature(piece: Piece) -> tuple[object, ...]:
    roles = sorted((edge.role.value, round(edge.length_mm, 1)) for edge in piece.all_edges)
    return piece.kind, round(piece.outline.flat_area_mm2, -1), tuple(roles)


def check_alike(room: Room) -> None:
    """Sheets of one piece have one shape; mirror images are so and cannot be laid on each other by a turn."""
    pattern = room.pattern
    pieces = {piece.name: piece for piece in pattern.pieces}
    for piece in pattern.pieces:
        first = room.outlines.get(piece.sheets[0])
        for sheet in piece.sheets[1:] if first is not None else ():  # parts are measured in `check_parts`
            other = room.outlines[sheet]
            assert math.isclose(other.flat_area_mm2, first.flat_area_mm2, rel_tol=1e-6)
            assert math.isclose(other.perimeter_mm, first.perimeter_mm, rel_tol=1e-6)
        if piece.mirror_of is not None:
            shape, origin = sewing_polygon(piece), sewing_polygon(pieces[piece.mirror_of])
            mirrored = shapely.transform(origin, lambda p: p * [-1.0, 1.0])
            assert shapely.hausdorff_distance(shape, mirrored) <= 2 * SAGITTA_MM
            cut = shapely.transform(cutting_polygon(pieces[piece.mirror_of]), lambda p: p * [-1.0, 1.0])
            assert shapely.hausdorff_distance(cutting_polygon(piece), cut) <= 2 * SAGITTA_MM, piece.name
            here, there = _notch_points(piece), _notch_points(pieces[piece.mirror_of]) * [-1.0, 1.0]
            assert len(here) == len(there)
            if len(here):
                assert cKDTree(there).query(here)[0].max() <= 2 * SAGITTA_MM, piece.name
            assert math.isclose(shape.area, origin.area, rel_tol=1e-6)
            assert (
                any(
                    _apart(_role_lines(piece, role), _role_lines(pieces[piece.mirror_of], role)) > 1e-2
                    for role in EdgeRole
                )
                or _apart(_corners(piece), _corners(pieces[piece.mirror_of])) > 1e-2
            ), piece.name
    for a, b in combinations(pattern.pieces, 2):
        if _signature(a) == _signature(b):
            assert a.mirror_of == b.name or b.mirror_of == a.name or not _congruent(a, b), (a.name, b.name)


def _role_lines(piece: Piece, role: EdgeRole) -> shapely.Geometry:
    """All edges of one role."""
    return shapely.union_all(
        [shapely.LineString(edge.polyline(SAGITTA_MM)) for edge in piece.all_edges if edge.role is role]
    )


def _corners(piece: Piece) -> shapely.Geometry:
    """Where one edge ends and the next begins."""
    return shapely.MultiPoint([edge.flat[0].start for edge in piece.all_edges])


def _apart(a: shapely.Geometry, b: shapely.Geometry) -> float:
    if a.is_empty or b.is_empty:
        return 0.0 if a.is_empty and b.is_empty else math.inf
    return float(shapely.hausdorff_distance(a, b))


def _congruent(a: Piece, b: Piece) -> bool:
    """Whether two pieces can be laid on each other, as cut and with the ends of all edges, by their principal axes."""

    def standing(piece: Piece) -> list[tuple[shapely.Geometry, ...]]:
        shape = sewing_polygon(piece)
        at = np.array(shape.centroid.coords[0])
        ring = np.asarray(shape.segmentize(20.0).exterior.coords)[:-1] - at
        _, axes = np.linalg.eigh(ring.T @ ring)
        if np.linalg.det(axes) < 0:
            axes[:, 0] *= -1
        both = shape, _corners(piece), cutting_polygon(piece)
        return [
            tuple(shapely.transform(part, lambda p, s=s: (p - at) @ axes * s) for part in both)
            for s in (1.0, -1.0)
        ]

    first = standing(a)[0]
    return any(
        all(shapely.hausdorff_distance(x, y) < 5e-3 for x, y in zip(first, other, strict=True))
        for other in standing(b)
    )


def check_stations(piece: Piece, spacing_mm: float) -> None:
    """Every row against the outline and the cutting line themselves, cut by a level line; none missing at a corner."""
    sewing, cutting = sewing_polygon(piece), cutting_polygon(piece)
    rows = stations_of(piece, spacing_mm)
    distances = np.array([row.distance_mm for row in rows])
    steps = np.diff(distances)
    assert (steps >= 0.0).all()
    assert steps.max() <= spacing_mm + 10.0
    assert ((steps[1:] > 0.0) | (steps[:-1] > 0.0)).all()  # two rows at one distance at the most
    if told_by_stations(piece):
        ends = [cutting.bounds[1], sewing.bounds[1], sewing.bounds[3], cutting.bounds[3]]
        corners = [edge.flat[0].start[1] for edge in piece.edges]
        for y in [*ends, *corners]:
            slight = y in corners  # edges may meet without a corner
            assert np.abs(distances - y).min() <= (spacing_mm if slight else 0.06), (piece.name, y)
    for row in rows:
        for polygon, left, right in (
            (sewing, row.left_sewing_mm, row.right_sewing_mm),
            (cutting, row.left_cutting_mm, row.right_cutting_mm),
        ):
            if min(abs(row.distance_mm - end) for end in (polygon.bounds[1], polygon.bounds[3])) < 1e-3:
                continue  # a tip has no width there, or any
            # Where a line steps sideways in a row's own height, the row may read it just below or just above.
            near = [_across(polygon, row.distance_mm + step) for step in (-1e-4, 1e-4)]
            if left is None or right is None:
                assert None in near or row.distance_mm in polygon.bounds
                continue
            found = [span for span in near if span is not None]
            assert min(abs(-left - a) for a, _ in found) <= 1e-2, (piece.name, row)
            assert min(abs(right - b) for _, b in found) <= 1e-2, (piece.name, row)


def check_station_table(room: Room) -> None:
    """A template marked out from the printed table alone: within a millimetre, and as near as the table says."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "stations.csv"
        write_stations(room.pattern, room.design.marking, path)
        rows = list(csv.DictReader(path.read_text(encoding="utf-8").splitlines()))
    for piece in room.pattern.pieces:
        own = [row for row in rows if row["piece"] == piece.name]
        if own[0]["by_stations"].startswith("not"):
            assert own[0]["off_mm"] == own[0]["off_tape_mm"] == ""
            continue
        assert ("openings" in own[0]["by_stations"]) == bool(piece.holes)
        for column, told in (("mm", "off_mm"), ("tape", "off_tape_mm")):
            for line, polygon in (("sewing", sewing_polygon(piece)), ("cutting", cutting_polygon(piece))):
                up = [
                    [_tape(row[f"{name}_{column}"]) for name in ("distance", f"left_{line}", f"right_{line}")]
                    for row in own
                    if row[f"left_{line}_{column}"]
                ]
                ring = [(right, y) for y, _, right in up] + [(-left, y) for y, left, _ in reversed(up)]
                off = shapely.hausdorff_distance(shapely.LinearRing(ring), polygon.exterior)
                assert off <= float(own[0][told]) + 0.02 <= 1.021, (piece.name, line, column, off)


def _tape(text: str) -> float:
    """What a cell of the table says [mm]."""
    return -to_mm(text[1:]) if text.startswith("-") else to_mm(text)


def _across(polygon: shapely.Polygon, y: float) -> tuple[float, float] | None:
    """From where to where a level line is inside a polygon, at the most [mm]; None where it misses."""
    inside = polygon.intersection(shapely.LineString([(-1e5, y), (1e5, y)]))
    return None if inside.is_empty else (inside.bounds[0], inside.bounds[2])


def check_order(room: Room) -> None:
    """The order of sewing can be followed, step by step, on the graph of seams."""
    tasks = [step.task for step in room.order.steps]
    assert order_faults(SewingGraph.of(room.pattern), tasks) == []


def check_flat_faces(room: Room) -> None:
    """Every outline is a face of CadQuery's too, of the same size but for what chords cut off curves, 0.01 mm."""
    for name, outline in room.outlines.items():
        face = outline_face(outline)
        assert face.isValid(), name
        assert face.Area() == pytest.approx(outline.flat_area_mm2, abs=0.01 * outline.perimeter_mm), name


def check_room(room: Room) -> None:
    """Everything above."""
    check_body(room.body)
    check_flat_faces(room)
    check_outlines(room)
    check_pattern(room)
    check_station_table(room)
    check_order(room)
