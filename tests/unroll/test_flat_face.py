"""Whatever CadQuery gives, laid flat: faces, shells, solids, sketches, assemblies, workplanes; anything else refused."""

import cadquery as cq
import pytest

from shellparts.base.errors import ParameterError, UnrollError
from shellparts.unroll import survey
from shellparts.unroll.flat_face import faces_of, laid_flat

BOX = cq.Solid.makeBox(40, 30, 5)
AREAS = [150, 150, 200, 200, 1200, 1200]


def areas(faces: list[cq.Face]) -> list[int]:
    return sorted(round(face.Area()) for face in faces)


@pytest.mark.parametrize(
    "given",
    [
        BOX,
        BOX.Shells()[0],
        cq.Compound.makeCompound(BOX.Faces()),
        cq.Workplane(obj=BOX),
        cq.Workplane(obj=BOX).faces(),
        BOX.Faces(),
        [BOX, BOX.Faces()[0]],  # a face that is there already comes once
        tuple(BOX.Faces()),
    ],
    ids=["solid", "shell", "compound", "workplane", "faces on the stack", "list", "twice", "tuple"],
)
def test_the_faces_of_a_box_are_laid_flat(given):
    laid = laid_flat(given)
    assert areas(laid) == AREAS
    for face in laid:
        box = face.BoundingBox()
        assert (box.zlen, box.ymin) == pytest.approx((0, 0), abs=1e-3)


def test_a_sketch_and_an_assembly_are_laid_flat_in_their_places():
    sketch = cq.Sketch().rect(40, 30).circle(5, mode="s")
    (face,) = laid_flat(sketch)
    assert face.Area() == pytest.approx(1200 - 78.5398, abs=1e-3)
    assert len(face.innerWires()) == 1
    two = cq.Assembly().add(BOX, name="a").add(BOX, name="b", loc=cq.Location((0, 0, 50), (1, 0, 0), 30))
    assert areas(laid_flat(two)) == sorted(AREAS * 2)


def test_the_gap_is_a_length():
    first, second = laid_flat(BOX.Faces()[:2], gap="1 cm")
    assert second.BoundingBox().xmin - first.BoundingBox().xmax == pytest.approx(10, abs=1e-3)
    for gap in ("1 kg", None, -1):
        with pytest.raises(ParameterError, match=r"^gap is "):
            laid_flat(BOX, gap=gap)


@pytest.mark.parametrize(
    "given", ["part.step", 3, None, [], {}, cq.Workplane(), cq.Edge.makeLine((0, 0), (1, 0)), [1]]
)
def test_what_has_no_faces_is_refused(given):
    with pytest.raises(ParameterError, match=r"^shape to lay flat is .*; it must be .*Remedy: "):
        faces_of(given)


def test_a_face_that_cannot_be_laid_is_named():
    with pytest.raises(UnrollError, match=r"^Face 0 of 2, counted from 0: The face cannot be laid flat"):
        laid_flat(cq.Solid.makeSphere(5, angleDegrees1=0))


def test_every_face_that_cannot_be_laid_is_told():
    """A box with rounded edges: its eight corners, round balls, and they alone."""
    shape = cq.Workplane().box(9, 9, 9).edges().fillet(2).val()
    balls = [number for number, face in enumerate(shape.Faces()) if face.geomType() == "SPHERE"]
    with pytest.raises(UnrollError) as caught:
        laid_flat(shape)
    assert len(balls) == 8
    first, *others = map(str, balls)
    assert caught.value.reason.startswith(f"Face {first} of 26, counted from 0: ")
    assert f"nor can faces {', '.join(others)} be laid flat" in caught.value.reason
    assert "survey(shape) tells which faces can" in caught.value.remedy
    left = [face for face, told in zip(shape.Faces(), survey(shape), strict=True) if told.developable]
    assert len(laid_flat(left)) == 18
