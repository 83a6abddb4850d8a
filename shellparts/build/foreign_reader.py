"""Read somebody else's STEP file and lay its faces flat: ``python -m shellparts.build.foreign_reader``.

The kernel takes whole processes down over damaged files, so `foreign` runs this module as a child and speaks for
it. What is said on the way goes to standard output, a line each: ``read FACES`` when the file is read, ``face NUMBER
EDGES`` before each face, ``done`` at the end.

Glossary: a face of the file is a *record*, ``#12 = ADVANCED_FACE(…)``; its *entity* is what the kernel's reader
makes of it; a face that several parts of an assembly share is one face.
"""

import pickle
import re
import sys
from collections.abc import Iterable, Iterator
from pathlib import Path

from OCP.BRep import BRep_Builder
from OCP.IFSelect import IFSelect_RetDone
from OCP.Interface import Interface_Static
from OCP.Message import Message
from OCP.Resource import Resource_DataMapOfAsciiStringAsciiString
from OCP.STEPControl import STEPControl_Reader
from OCP.StepShape import StepShape_ConnectedFaceSet
from OCP.TCollection import TCollection_AsciiString
from OCP.TopAbs import TopAbs_EDGE, TopAbs_FACE
from OCP.TopExp import TopExp
from OCP.TopLoc import TopLoc_Location
from OCP.TopoDS import TopoDS, TopoDS_Compound, TopoDS_Face, TopoDS_Shape
from OCP.TopTools import TopTools_IndexedMapOfShape

from shellparts.base.errors import ModelScriptError, ended
from shellparts.base.tolerances import TOLERANCES
from shellparts.build.foreign import FileSurvey, Unreadable
from shellparts.unroll import survey
from shellparts.unroll.inspection import KERNEL_FAILURES

__all__ = ["main", "surveyed"]

#: The kernel's own precision [mm].
_FINEST_MM = 1e-3
#: Memory that the kernel may take on a file [bytes].
_MOST_BYTES = 6 << 30
#: What the kernel does not heal. A face of the file stays one face, or is refused; and looking for edges and boundaries
#: that cross one another tries every pair of them: minutes for a plate with thousands of holes.
_NOT_HEALED = ("FixSplitFaceMode", "FixNonAdjacentIntersectingEdgesMode", "FixIntersectingWiresMode")
_FACES = {"StepShape_AdvancedFace", "StepShape_FaceSurface"}
#: Texts and comments of ISO 10303-21, which may hold anything; and the start of a record.
_HIDING = re.compile(r"'(?:[^']|'')*'|/\*.*?\*/", re.DOTALL)
_RECORD = re.compile(r"#(\d+)\s*=")
#: A record of a face, also where damage has torn a text open around it.
_FACE = re.compile(r"=\s*\(?\s*(?:ADVANCED_FACE|FACE_SURFACE)\s*\(")


def _labels(text: str) -> list[int]:
    """Labels of all records of a file, in order, as far as they can be told apart."""
    found = (_RECORD.search(statement) for statement in _HIDING.sub("''", text).split(";"))
    return [int(begins[1]) for begins in found if begins is not None]


def _shapes_in(shape: TopoDS_Shape, kind: object) -> TopTools_IndexedMapOfShape:
    found = TopTools_IndexedMapOfShape()
    if not shape.IsNull():
        TopExp.MapShapes_s(shape, kind, found)
    return found


def _once(shape: TopoDS_Shape) -> list[TopoDS_Face]:
    """Every face of a shape where it was drawn, once however often the shape holds it."""
    every = _shapes_in(shape, TopAbs_FACE)
    own = TopTools_IndexedMapOfShape()
    for number in range(1, every.Extent() + 1):
        own.Add(every.FindKey(number).Located(TopLoc_Location()))
    return [TopoDS.Face_s(own.FindKey(number)) for number in range(1, own.Extent() + 1)]


def _unreadable(reader: STEPControl_Reader, path: Path, faces: list[TopoDS_Face]) -> list[Unreadable]:
    """Faces of the file that are not among those that were read, each with the reason as far as one is told."""
    model, text = reader.WS().Model(), path.read_text(encoding="latin-1")
    labels = _labels(text)
    if len(labels) != model.NbEntities():
        labels = []
    every = [model.Value(number) for number in range(1, model.NbEntities() + 1)]
    numbers = {id(one): number for number, one in enumerate(every, 1)}
    entities = {number for number, one in enumerate(every, 1) if one.DynamicType().Name() in _FACES}
    made = entities & _made(reader, numbers)
    used = made if len(made) == len(faces) else made & _used(reader, numbers, faces)
    told = _told(reader)
    lost, unused = [], "no solid and no surface that can be read uses it"
    for number in sorted(entities - used):
        reason = unused if number in made else told.get(number, unused)
        lost.append(Unreadable(f"#{labels[number - 1]}" if labels else f"record {number}", reason))
    damaged = len(_FACE.findall(text)) - len(entities)
    # A shell that names what is no face may have lost the name of one that nothing uses now, or the face itself.
    torn = sum(map(_empty_places, every)) - sum(one.reason == unused for one in lost)
    return lost + [Unreadable("a record", "it is damaged, and no face any more")] * max(0, damaged, torn)


def _empty_places(entity: object) -> int:
    """How many of the faces that a shell names are none."""
    if not isinstance(entity, StepShape_ConnectedFaceSet) or entity.CfsFaces() is None:
        return 0
    named = [entity.CfsFacesValue(number) for number in range(1, entity.NbCfsFaces() + 1)]
    return sum(one is None or one.DynamicType().Name() == "StepShape_Face" for one in named)


def _made(reader: STEPControl_Reader, numbers: dict[int, int]) -> set[int]:
    """Entities that the reader made something of, told by identity: OCP hands entities out, but finds none again."""
    process = reader.WS().TransferReader().TransientProcess()
    binders = ((process.Mapped(place), process.MapItem(place)) for place in range(1, process.NbMapped() + 1))
    made = (numbers.get(id(one)) for one, binder in binders if binder is not None and binder.HasResult())
    return {number for number in made if number is not None}


def _used(reader: STEPControl_Reader, numbers: dict[int, int], faces: list[TopoDS_Face]) -> set[int]:
    """Entities that these faces were made from."""
    transfer = reader.WS().TransferReader()
    found = (transfer.EntityFromShapeResult(face, 1) for face in faces)
    return {numbers[id(one)] for one in found if one is not None}


def _told(reader: STEPControl_Reader) -> dict[int, str]:
    """What the kernel's reader says of entities, by their numbers."""
    said: dict[int, str] = {}
    checks = reader.WS().TransferReader().TransientProcess().CheckList(False)
    checks.Start()
    while checks.More():
        check = checks.Value()
        words = [check.CFail(k, True) for k in range(1, check.NbFails() + 1)]
        words += [check.CWarning(k, True) for k in range(1, check.NbWarnings() + 1)]
        if words:
            said[checks.Number()] = "the reader says: " + " ".join(str(words[0]).split())
        checks.Next()
    return said


def surveyed(path: Path, tolerance_mm: float | None = None, skipped: Iterable[int] = ()) -> FileSurvey:
    """Read a file and survey its faces, here and now; those that the kernel broke down on before are skipped."""
    reader = STEPControl_Reader()
    Interface_Static.SetCVal_s("xstep.cascade.unit", "MM")
    # Where edges may be loose, the reader must join what gapes as little as is not even spoken of, or seams are lost.
    Interface_Static.SetIVal_s("read.precision.mode", 0 if tolerance_mm is None else 1)
    Interface_Static.SetRVal_s(
        "read.precision.val", min(tolerance_mm or _FINEST_MM, TOLERANCES.edge_gap_told_mm)
    )
    messenger = Message.DefaultMessenger_s()
    for printer in list(messenger.Printers()):
        messenger.RemovePrinter(printer)
    try:
        read = reader.ReadFile(str(path)) == IFSelect_RetDone
        if read:
            left = Resource_DataMapOfAsciiStringAsciiString()
            for mode in _NOT_HEALED:
                left.Bind(TCollection_AsciiString(f"FixShape.{mode}"), TCollection_AsciiString("0"))
            reader.SetShapeFixParameters(left)
            reader.TransferRoots()
    except KERNEL_FAILURES as error:
        raise ModelScriptError(
            ended(f"{path} cannot be read: the geometry kernel says {type(error).__name__}, {error}")
            + " Export it again as AP203, AP214 or AP242."
        ) from error
    if not read:
        raise ModelScriptError(f"{path} cannot be read as STEP. Export it again as AP203, AP214 or AP242.")
    shape = reader.OneShape() if reader.NbShapes() else TopoDS_Compound()
    faces = _once(shape)
    lost = _unreadable(reader, path, faces)
    if not faces:
        raise ModelScriptError(f"{path} {_instead(shape, lost)} Export a solid or a surface.")
    _say(f"read {len(faces)}")
    together, builder = TopoDS_Compound(), BRep_Builder()
    builder.MakeCompound(together)
    for face in faces:
        builder.Add(together, face)
    reports = survey(together, _announced, tolerance_mm, frozenset(skipped))
    return FileSurvey(reports, tuple(lost))


def _instead(shape: TopoDS_Shape, lost: list[Unreadable]) -> str:
    """What a file has that gives no face."""
    if lost:
        why = f"{lost[0].entity}: {lost[0].reason.rstrip('.')}"
        return f"holds {len(lost)} faces, and none of them can be read ({why})."
    edges = _shapes_in(shape, TopAbs_EDGE).Extent()
    return f"holds no face, only {edges} edges." if edges else "holds no shape."


def _say(line: str) -> None:
    sys.stdout.write(f"{line}\n")
    sys.stdout.flush()


def _announced(faces: Iterable[TopoDS_Face]) -> Iterator[TopoDS_Face]:
    """Name each face before the kernel is let loose on it."""
    for number, face in enumerate(faces):
        _say(f"face {number} {_shapes_in(face, TopAbs_EDGE).Extent()}")
        yield face


def main(arguments: list[str]) -> None:
    """Survey a file and leave the result, or the error, in another: these two, the tolerance, faces to skip."""
    source, target, tolerance, skipped = arguments
    try:
        import resource
    except ImportError:
        pass  # a system that knows no limits
    else:
        resource.setrlimit(resource.RLIMIT_DATA, (_MOST_BYTES, resource.RLIM_INFINITY))
    found: FileSurvey | ModelScriptError
    try:
        found = surveyed(Path(source), float(tolerance), [int(one) for one in skipped.split(",") if one])
    except ModelScriptError as error:
        found = error
    Path(target).write_bytes(pickle.dumps(found))
    _say("done")


if __name__ == "__main__":
    main(sys.argv[1:])
