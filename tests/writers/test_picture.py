"""Pictures: what is arranged, by arithmetic; what is drawn, by reading the pixels with Pillow."""

import math
from functools import cache

import numpy as np
import pytest
from PIL import Image
from room_bodies import ROOMS, body_of
from shapely import Polygon, contains_xy

from shellparts.body import assemble
from shellparts.body.seams import EdgeRole
from shellparts.openings import Sleeve
from shellparts.openings.doorway import CURTAIN, TUNNEL
from shellparts.openings.sleeve import SLEEVE
from shellparts.parameters import Design, Shell
from shellparts.parameters.part import PANEL, Part
from shellparts.writers import picture
from shellparts.writers.picture import NoPictureError, draw
from shellparts.writers.picture_floor import _covered
from shellparts.writers.picture_scene import FIGURE_HEIGHT_MM, figure, picture_scene
from shellparts.writers.picture_view import frame, three_quarter

NUMBERS = pytest.mark.parametrize("number", range(len(ROOMS)), ids=[room.name for room in ROOMS])
ASPECT = 1.6
SIZE = (640, 400)
scene_of = cache(lambda number: picture_scene(body_of(number), ASPECT))


@pytest.fixture(scope="module")
def drawn(tmp_path_factory):
    """Draws a room small, once a turn, or skips where the machine cannot draw."""

    @cache
    def read(number: int, turn: int = 0) -> np.ndarray:
        path = tmp_path_factory.mktemp("picture") / "a.png"
        try:
            draw(scene_of(number), path, SIZE)
        except NoPictureError as reason:
            pytest.skip(str(reason))
        with Image.open(path) as image:
            assert image.format == "PNG" and image.size == SIZE and image.mode == "RGB"
            return np.asarray(image).astype(float) / 255

    return read


def like(pixels: np.ndarray, kind: Part) -> np.ndarray:
    """Where pixels have the hue of a part, lighter or darker."""
    colour = np.array(kind.colour)
    shade = pixels / np.maximum(np.linalg.norm(pixels, axis=-1, keepdims=True), 1e-9)
    return np.linalg.norm(shade - colour / np.linalg.norm(colour), axis=-1) < 0.055


@pytest.mark.parametrize("aspect", [0.6, 1.6])
@pytest.mark.parametrize("azimuth", [-2.0, 0.3, 1.1])
@pytest.mark.parametrize("size", [(1, 1, 1), (9, 1, 1), (1, 1, 9)])
def test_framing_is_tight_and_cuts_nothing_off(aspect, azimuth, size):
    points = np.random.default_rng(4).uniform(-1000, 1000, (200, 3)) * size
    view = frame(points, azimuth, 0.25, 0.4, aspect, 0.9)
    placed = view.project(points, aspect)
    assert np.abs(placed).max() == pytest.approx(0.9, abs=1e-9)
    assert placed.max(axis=0) == pytest.approx(-placed.min(axis=0), abs=1e-9)


def test_the_viewer_stands_on_the_sleeves_side_of_the_doorway():
    for turn in np.radians(np.arange(-175, 180, 10)):
        azimuth = three_quarter(0.0, float(turn), 4000.0, 2500.0)
        assert azimuth * turn > 0
        assert math.radians(37) < abs(azimuth) < math.radians(65)
        # In front, or standing out beside the room.
        apart = abs(turn) - abs(azimuth)
        assert apart < math.radians(80.01) or 4000 * math.sin(apart) > 2500


def test_without_a_doorway_or_a_sleeve_the_viewer_still_stands_somewhere():
    assert math.isfinite(three_quarter(None, None))
    assert abs(three_quarter(None, 2.0) - 2.0) < math.radians(60)
    assert abs(three_quarter(1.0, None) - 1.0) < math.radians(60)


def test_the_figure_is_a_child_of_1200_mm_and_closed_but_for_its_base():
    peg = figure(np.array([500.0, -300.0]))
    assert peg.points[:, 2].min() == 0.0 and peg.points[:, 2].max() == FIGURE_HEIGHT_MM == 1200.0
    middle = (peg.points[:, :2].max(axis=0) + peg.points[:, :2].min(axis=0)) / 2
    assert middle == pytest.approx([500.0, -300.0])
    assert np.ptp(peg.points[:, 0]) < 350.0
    assert peg.volume > 0  # turned outward, so that it is seen


@NUMBERS
def test_the_picture_shows_the_whole_room_and_the_figure(number):
    scene, body = scene_of(number), body_of(number)
    placed = scene.view.project(scene.subject, ASPECT)
    assert 0.8 < np.abs(placed).max() < 0.95
    assert scene.subject[:, 2].max() == pytest.approx(body.figures.height_mm, abs=1.0)
    assert scene.view.position[2] > 0


@NUMBERS
def test_the_figure_stands_clear_of_the_room(number):
    body, scene = body_of(number), scene_of(number)
    peg = scene.subject[-len(figure(np.zeros(2)).points) :]
    rest = scene.subject[: -len(peg)]
    plan = peg[:, None, :2] - rest[None, :, :2]
    assert np.hypot(*np.moveaxis(plan, -1, 0)).min() > 50.0
    assert np.hypot(*peg[:, :2].T).min() > body.figures.base_diameter_mm / 2


@NUMBERS
def test_every_seam_is_a_line_and_no_edge_is_drawn_twice(number):
    body, scene = body_of(number), scene_of(number)
    seams = {use.key for use in body.seams.uses if use.role is EdgeRole.SEAM}
    spans = [1 if body.links[key].straight else 48 for key in seams]
    assert len(scene.lines[0]) == sum(spans)
    drawn_keys = {use.key for use in body.seams.uses}
    spans = [1 if body.links[key].straight else 48 for key in drawn_keys]
    assert sum(len(lines) for lines in scene.lines[:3]) == sum(spans)


def test_colours_are_colours_and_the_floor_fades_into_white():
    scene = scene_of(1)
    assert scene.colours.min() >= 0.0 and scene.colours.max() <= 1.0
    corner = np.argmax(np.hypot(*scene.points[:, :2].T))
    assert scene.points[corner, 2] == 0.0 and scene.colours[corner] == pytest.approx([1.0, 1.0, 1.0])


@NUMBERS
def test_doorway_sleeve_and_seams_are_seen(number, drawn):
    pixels = drawn(number)
    for corner in (pixels[0, 0], pixels[0, -1]):
        assert corner == pytest.approx([1.0, 1.0, 1.0])
    share = {kind: float(like(pixels, kind).mean()) for kind in (TUNNEL, CURTAIN, SLEEVE, PANEL)}
    assert share[TUNNEL] > 0.03
    assert share[CURTAIN] > 0.008
    assert share[SLEEVE] > 0.004
    assert share[PANEL] > 0.10
    assert 0.002 < float((pixels.max(axis=-1) < 0.40).mean()) < 0.05


def test_the_room_in_the_picture_stands_where_the_arithmetic_puts_it(drawn):
    # The highest coloured pixel of the straight room is its cap.
    pixels, scene = drawn(0), scene_of(0)
    rows = np.flatnonzero((pixels[: SIZE[1] // 2].min(axis=-1) < 0.5).any(axis=1))
    top = scene.view.project(scene.subject[[np.argmax(scene.subject[:, 2])]], ASPECT)[0, 1]
    assert rows[0] == pytest.approx((1 - top) / 2 * SIZE[1], abs=3)


def test_the_same_room_gives_the_same_picture(drawn):
    assert np.array_equal(drawn(2), drawn(2, turn=1))


def test_rooms_without_doorway_or_sleeve_are_arranged_too():
    shell = Shell(panels=6, across=1500, height=1200)
    for sleeve in (None, Sleeve(diameter=200, length=500, height=300, panel=4)):
        scene = picture_scene(assemble(Design(name="small", shell=shell, sleeve=sleeve)))
        assert np.abs(scene.view.project(scene.subject, ASPECT)).max() < 0.95


def test_without_opengl_the_picture_is_refused_and_nothing_is_written(monkeypatch, tmp_path):
    if not picture.sys.platform.startswith("linux"):
        pytest.skip("only Linux machines are without OpenGL")
    monkeypatch.setenv("__EGL_VENDOR_LIBRARY_FILENAMES", str(tmp_path / "none.json"))
    with pytest.raises(NoPictureError, match=r"^no OpenGL on this machine"):
        draw(scene_of(0), tmp_path / "a.png", (160, 100))
    assert not (tmp_path / "a.png").exists()


def test_a_driver_that_hangs_is_stopped(monkeypatch, tmp_path):
    monkeypatch.setattr(picture, "_TIME_LIMIT_S", 0.01)
    with pytest.raises(NoPictureError, match=r"drawing took more than 0\.01 s"):
        draw(scene_of(0), tmp_path / "a.png", (160, 100))


def test_a_fault_of_the_drawing_program_is_not_taken_for_a_missing_driver(monkeypatch, tmp_path):
    broken = tmp_path / "broken.py"
    broken.write_text("raise ValueError('broken on purpose')")
    monkeypatch.setattr(picture.picture_render, "__file__", str(broken))
    with pytest.raises(RuntimeError, match="broken on purpose"):
        draw(scene_of(0), tmp_path / "a.png", (160, 100))


def test_the_shadow_covers_what_lies_under_triangles():
    ticks = (np.linspace(0.0, 10.0, 101), np.linspace(0.0, 20.0, 201))
    wanted = Polygon([(1.03, 2.04), (7.51, 3.02), (4.07, 17.53)])
    for turn in (1, -1):  # however they are turned
        shadow = _covered(np.array(wanted.exterior.coords)[None, :3][:, ::turn], ticks)
        plan = np.stack(np.meshgrid(*ticks, indexing="ij"), axis=-1)
        assert np.array_equal(shadow > 0, contains_xy(wanted, plan[..., 0], plan[..., 1]))
