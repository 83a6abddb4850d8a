"""What the body consists of.

Glossary: a *body face* is a kernel face with its boundary as coedges; a *sheet* is one piece of cloth in space,
of one or more faces joined over folds; the *envelope* is the closed solid of air.
"""

from functools import cached_property

from attrs import frozen
from OCP.TopoDS import TopoDS_Edge, TopoDS_Face, TopoDS_Solid
from OCP.TopTools import TopTools_IndexedMapOfShape

from shellparts.base.classes import brief
from shellparts.base.names import Named
from shellparts.body.pool import Coedge, Link
from shellparts.body.seams import SeamGraph, edge_uses
from shellparts.parameters.part import Part

__all__ = ["Body", "BodyFace", "BodySheet", "Figures"]


@brief
@frozen(eq=False)
class BodyFace:
    """A face, oriented outward, and its loops: the outer one counter-clockwise from outside, then holes."""

    face: TopoDS_Face
    loops: tuple[tuple[Coedge, ...], ...]

    @property
    def keys(self) -> list[int]:
        """Keys of its edges, as often as they are walked."""
        return [coedge.link.key for loop in self.loops for coedge in loop]


@brief
@frozen(eq=False)
class BodySheet:
    """One piece of cloth in space."""

    name: str
    kind: Part
    faces: tuple[BodyFace, ...]


@frozen
class Figures:
    """Sizes of the body, as the summary names them."""

    height_mm: float  # Highest point above the floor
    base_diameter_mm: float  # Across the seams at the floor
    floor_area_m2: float  # Inside the shell and the tunnel
    envelope_volume_m3: float  # Of the air
    solids: int
    #: Whether every edge of the envelope is walked once each way and the kernel finds it valid.
    watertight: bool


@brief
@frozen(eq=False)
class Body:
    """The sewn body.

    Parameters
    ----------
    sheets : tuple of BodySheet
        Panels counter-clockwise, cap, tunnel, curtain, sleeve, flaps that are sewn on.
    links : tuple of Link
        All edges; a link's key is its index.
    joints, vents, loose : frozenset of int
        Keys of edges where a tube is sewn to itself, that are left open on purpose, that only happen to
        touch.
    feet, tops, ends : frozenset of int
        Keys of edges on the floor line of panels and curtain, on the panels' upper ends, at the outer ends of
        tubes.
    envelope : TopoDS_Solid
        The air: closed by the floor and the sleeve's mouth.
    figures : Figures
        Sizes.
    """

    sheets: tuple[BodySheet, ...]
    links: tuple[Link, ...]
    joints: frozenset[int]
    vents: frozenset[int]
    loose: frozenset[int]
    feet: frozenset[int]
    tops: frozenset[int]
    ends: frozenset[int]
    envelope: TopoDS_Solid
    figures: Figures

    @cached_property
    def _numbers(self) -> tuple[TopTools_IndexedMapOfShape, list[int]]:
        numbers = TopTools_IndexedMapOfShape()
        keys = [-1]
        for link in self.links:
            if numbers.Add(link.edge) == len(keys):
                keys.append(link.key)
        return numbers, keys

    def edge_key(self, edge: TopoDS_Edge) -> int:
        """Key of an edge of the kernel, -1 if it is none of the body's."""
        numbers, keys = self._numbers
        return keys[numbers.FindIndex(edge)]

    @cached_property
    def seams(self) -> SeamGraph:
        """Which edges meet which: plain data, without a kernel."""
        uses = edge_uses(
            {sheet.name: [key for face in sheet.faces for key in face.keys] for sheet in self.sheets},
            self.joints,
            self.vents,
            self.loose,
        )
        kinds = Named("sheet", {sheet.name: sheet.kind for sheet in self.sheets})
        return SeamGraph(tuple(uses), kinds, self.feet, self.tops, self.ends)
