"""From a design to the body: parts, mouths, openings, sheets, envelope, checks."""

from collections.abc import Iterable, Sequence

import numpy as np
from attrs import frozen

from shellparts.base.errors import GeometryError
from shellparts.base.tolerances import TOLERANCES
from shellparts.body.body import Body, BodyFace, BodySheet, Figures
from shellparts.body.envelope import area_of, close, is_closed, solid_of, solids_in, volume_of
from shellparts.body.floor_bands import FloorBand, shell_flaps, side_flaps
from shellparts.body.mouth import Mouth, trace_mouth
from shellparts.body.pool import Pool, flat_face, make_face
from shellparts.body.ring import Ring
from shellparts.body.trim import Lattice, PanelTrimmer
from shellparts.body.tubes import build_tube
from shellparts.parameters import Design
from shellparts.parameters.measures import expected_volume
from shellparts.parameters.part import CAP, FLAP, PANEL, Part

__all__ = ["assemble"]


@frozen(eq=False)
class _PartFaces:
    """Faces of one part before they are grouped into sheets."""

    name: str
    kind: Part
    faces: list[BodyFace]


def _panels(ring: Ring, lattice: Lattice, mouths: Sequence[Mouth]) -> tuple[list[_PartFaces], _PartFaces]:
    """Faces of every panel, and the cap."""
    trimmer = PanelTrimmer(ring, lattice, mouths)
    panels = []
    for k in range(ring.panels):
        faces = []
        for run in range(ring.runs):
            for loops in trimmer.loops(k, run):
                faces.append(BodyFace(make_face(ring.surface(k, run), loops), tuple(map(tuple, loops))))
        panels.append(_PartFaces(f"panel_{k + 1:02d}", PANEL, faces))
    rim = [coedge for k in range(ring.panels) for coedge in lattice.levels[k, ring.runs]]
    cap = _PartFaces("cap", CAP, [BodyFace(flat_face([rim], [0.0, 0.0, 1.0]), (tuple(rim),))])
    return panels, cap


def _flap_face(pool: Pool, band: FloorBand) -> BodyFace:
    loop = pool.path([*band.corners, band.corners[0]])
    return BodyFace(flat_face([loop], [0.0, 0.0, -1.0]), (tuple(loop),))


def _groups(faces: Iterable[BodyFace], joints: frozenset[int]) -> list[list[BodyFace]]:
    """Faces that hang together over shared edges, joints aside."""
    groups: list[tuple[set[int], list[BodyFace]]] = []
    for face in faces:
        keys, members = set(face.keys) - joints, [face]
        apart = []
        for other_keys, other_members in groups:
            if keys & other_keys:
                keys |= other_keys
                members = other_members + members
            else:
                apart.append((other_keys, other_members))
        groups = [*apart, (keys, members)]
    return [members for _, members in groups]


def _sheets(loose: Sequence[_PartFaces], joints: frozenset[int]) -> list[BodySheet]:
    """One sheet for each group of faces that hangs together; a part in several pieces gets letters."""
    sheets = []
    for part in loose:
        groups = _groups(part.faces, joints)
        if len(groups) > 1:
            groups.sort(key=lambda group: -sum(area_of(f.face) for f in group))
        names = (
            [part.name] if len(groups) == 1 else [f"{part.name}_{chr(97 + i)}" for i in range(len(groups))]
        )
        sheets += [
            BodySheet(name, part.kind, tuple(group)) for name, group in zip(names, groups, strict=True)
        ]
    return sheets


def assemble(design: Design) -> Body:
    """Build the body of a design.

    Parameters
    ----------
    design : Design
        Validated, as every design is.

    Raises
    ------
    GeometryError
        If the body fails its own checks: closed, valid, of the volume that the design asks for.
    """
    pool, plan = Pool(), design.plan
    ring = Ring.of(plan)
    corners = [[pool.node(ring.corner(s, j)) for j in range(ring.runs + 1)] for s in range(ring.panels)]
    openings = list(zip(design.tubes, design.openings, strict=True))
    builds = [build_tube(pool, tube, trace_mouth(pool, ring, tube), one.closure) for tube, one in openings]
    mouths = [build.mouth for build in builds]
    lattice = Lattice.of(pool, ring, corners, mouths)
    panels, cap = _panels(ring, lattice, mouths)
    loose = [*panels, cap]
    for build, (tube, one) in zip(builds, openings, strict=True):
        loose.append(_PartFaces(tube.name, tube.part, list(build.faces)))
        if one.closure is not None:
            loose += [_PartFaces(name, one.closure.part, list(faces)) for name, faces in build.leaves.items()]
    holding_air = {id(face): face for part in loose for face in part.faces}
    homes = {part.name: part for part in loose}
    for band in shell_flaps(design):
        if design.flap is not None and design.flap.sewn_on:
            loose.append(_PartFaces(band.name, FLAP, [_flap_face(pool, band)]))
        else:
            homes[band.home].faces.append(_flap_face(pool, band))
    for tube, one in openings:
        for band in side_flaps(tube, one, plan):
            homes[band.home].faces.append(_flap_face(pool, band))
    joints = frozenset(key for build in builds for key in build.joints)
    closing = close(list(holding_air.values()), [build.mouth.tube for build in builds])
    envelope = solid_of([*holding_air.values(), *closing])
    sheets = tuple(_sheets(loose, joints))
    volume = volume_of(envelope)
    expected = expected_volume(design)
    if not np.isclose(volume, expected, rtol=TOLERANCES.volume_ratio, atol=0.0):
        raise GeometryError(
            f"the body's volume is {volume / 1e9:.6f} m3, not {expected / 1e9:.6f} m3: a face is wrong"
        )
    figures = Figures(
        height_mm=float(design.shell.mid.top[1]),
        base_diameter_mm=2 * float(design.shell.seam.breaks[0, 0]),
        floor_area_m2=area_of(closing[0].face) / 1e6,
        envelope_volume_m3=volume / 1e9,
        solids=solids_in(envelope),
        watertight=is_closed(envelope),
    )
    return Body(
        sheets=sheets,
        links=tuple(pool.links),
        joints=joints,
        vents=frozenset(key for build in builds for key in build.vents),
        loose=frozenset(key for build in builds for key in build.loose),
        feet=lattice.keys_at(0) | frozenset(key for build in builds for key in build.loose),
        tops=lattice.keys_at(ring.runs),
        ends=frozenset(key for build in builds for key in build.ends),
        envelope=envelope,
        figures=figures,
    )
