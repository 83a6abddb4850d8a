"""Pictures: what is arranged, by arithmetic; what is drawn, by reading the pixels with Pillow."""

import math
from functools import cache

import numpy as np
import pytest
from attrs import evolve
from PIL import Image
from room_bodies import ROOMS, body_of

from shellparts.body import assemble
from shellparts.body.seams import EdgeRole
from shellparts.openings import Sleeve
from shellparts.openings.doorway import CURTAIN, TUNNEL
from shellparts.openings.sleeve import SLEEVE
from shellparts.parameters import Design, Shell
from shellparts.parameters.part import PANEL, Part
from shellparts.writers import picture
from shellparts.writers.picture import NoPictureError, draw
from shellparts.writers.picture_scene import FIGURE_HEIGHT_MM, SEAM, figure, picture_scene, three_quarter

NUMBERS = pytest.mark.parametrize("number", range(len(ROOMS)), ids=[room.name for room in ROOMS])
SIZE = (640, 400)
scene_of = cache(lambda number: picture_scene(body_of(number)))


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


def test_the_figure_is_a_child_of_1200_mm_and_closed():
    peg = figure(np.array([500.0, -300.0]))
    low, high = peg.bounds
    assert low[2] == 0.0 and high[2] == FIGURE_HEIGHT_MM == 1200.0
    assert (low + high)[:2] / 2 == pytest.approx([500.0, -300.0])
    assert (high - low)[0] < 350.0
    assert peg.is_volume  # turned outward, so that it is seen


def peg_and_rest(scene):
    count = len(figure(np.zeros(2)).vertices)
    return scene.points[-count:], scene.points[:-count]


@NUMBERS
def test_the_picture_shows_the_whole_room_and_the_figure_clear_of_it(number):
    body, scene = body_of(number), scene_of(number)
    peg, rest = peg_and_rest(scene)
    assert rest[:, 2].max() == pytest.approx(body.figures.height_mm, abs=1.0)
    plan = peg[:, None, :2] - rest[None, :, :2]
    assert np.hypot(*np.moveaxis(plan, -1, 0)).min() > 50.0
    assert np.hypot(*peg[:, :2].T).min() > body.figures.base_diameter_mm / 2


@NUMBERS
def test_every_seam_is_a_line_and_no_edge_is_drawn_twice(number):
    body, scene = body_of(number), scene_of(number)
    seams = {use.key for use in body.seams.uses if use.role is EdgeRole.SEAM}
    assert len(scene.lines[SEAM]) == len(seams)
    assert sum(map(len, scene.lines.values())) == len({use.key for use in body.seams.uses})


def test_cloth_has_the_colours_of_its_parts():
    scene, body = scene_of(1), body_of(1)
    rest = peg_and_rest(scene)[1]
    assert set(map(tuple, scene.colours[: len(rest)])) == {sheet.kind.colour for sheet in body.sheets}


@NUMBERS
def test_nothing_is_cut_off_and_the_picture_is_filled(number, drawn):
    """What is neither white nor the pale floor and its shadow, by its place."""
    pixels = drawn(number)
    plain = (np.ptp(pixels, axis=-1) < 0.04) & (pixels.min(axis=-1) > 0.6)
    rows, columns = np.flatnonzero(~plain.all(axis=1)), np.flatnonzero(~plain.all(axis=0))
    sides = [columns[0], SIZE[0] - 1 - columns[-1]], [rows[0], SIZE[1] - 1 - rows[-1]]
    for left, right in sides:
        assert left == pytest.approx(right, abs=4)
    # 0.86 of the picture is filled, one way or the other.
    share = [(columns[-1] - columns[0]) / SIZE[0], (rows[-1] - rows[0]) / SIZE[1]]
    assert max(share) == pytest.approx(0.86, abs=0.012)


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


@NUMBERS
def test_a_shadow_lies_on_the_floor(number, drawn):
    share = (np.abs(drawn(number) - [0.79, 0.79, 0.81]).max(axis=-1) < 0.006).mean()
    assert 0.002 < share < 0.10


def test_a_scale_says_what_colours_mean(drawn, tmp_path):
    drawn(0)  # or skipped
    inks = (np.array([1.0, 0.0, 0.0]), np.array([0.0, 0.0, 1.0]))
    draw(evolve(scene_of(0), scale=("blue [-]", 2.0, inks)), tmp_path / "a.png", SIZE)
    with Image.open(tmp_path / "a.png") as image:
        pixels = np.asarray(image).astype(float) / 255
    changed = np.abs(pixels - drawn(0)).max(axis=-1) > 0
    rows, columns = changed.any(axis=1), changed.any(axis=0)
    assert not rows[: SIZE[1] * 9 // 10].any() and not columns[SIZE[0] // 3 :].any()
    bar = pixels[np.ptp(pixels, axis=-1).argmax() // SIZE[0]]
    red, blue = (np.flatnonzero(np.abs(bar - ink).max(axis=-1) < 0.05) for ink in inks)
    assert len(red) and len(blue) and red.max() < blue.min()


def test_the_same_room_gives_the_same_picture(drawn):
    assert np.array_equal(drawn(2), drawn(2, turn=1))


def test_rooms_without_doorway_or_sleeve_are_arranged_too():
    shell = Shell(panels=6, across=1500, height=1200)
    for sleeve in (None, Sleeve(diameter=200, length=500, height=300, panel=4)):
        scene = picture_scene(assemble(Design(name="small", shell=shell, sleeve=sleeve)))
        peg, rest = peg_and_rest(scene)
        assert math.isfinite(scene.azimuth)
        assert np.hypot(*peg[:, :2].T).min() > np.hypot(*rest[:, :2].T).max()


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
