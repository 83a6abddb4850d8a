"""The page on which a room is turned: decoded here, and opened in a browser where there is one."""

import base64
import hashlib
import io
import json
import re
import shutil

import numpy as np
import pytest

from shellparts.base.errors import ParameterError
from shellparts.drawing.room_view import RoomView, ViewPiece
from shellparts.parameters import Marking
from shellparts.writers.room_page import MOST_POINTS, room_page, script_text

FACTS = (("height as sewn", "3514 mm"), ("a < b", "& c"))
STATES = ("sewn", "air", "flat")


def sample(air=True):
    """Two upright squares side by side, 2 m each, in all three states; the second is creased across its middle."""
    square = np.array([(0, 0), (1, 0), (1, 1), (0, 1)], float) * 2000.0
    upright = np.column_stack([0 * square[:, 0], square])
    halves = [square * [0.5, 1.0] + [2100.0, 0.0], square * [0.5, 1.0] + [3100.0, 0.0]]
    flat = np.concatenate([square, *halves]) - 2000.0
    creased = [
        np.array([(0, 2000, 0), (0, 3000, 0), (0, 3000, 2000), (0, 2000, 2000)], float),
        np.array([(0, 3000, 0), (1000, 3000, 0), (1000, 3000, 2000), (0, 3000, 2000)], float),
    ]
    sewn = np.concatenate([upright, *creased])
    blown = sewn + np.array([333.0, 0.0, 0.0])
    triangles = np.concatenate([np.array([(0, 1, 2), (0, 2, 3)]) + 4 * k for k in range(3)])
    lines = np.array([(k, k + 1) for k in (0, 1, 2)] + [(5, 6)])
    return RoomView(
        sewn,
        blown if air else None,
        flat,
        triangles,
        np.array([0] * 4 + [1] * 8),
        (
            ViewPiece("panel_01", (0.9, 0.2, 0.2), 2000.0, 2000.0),
            ViewPiece("panel_02", (0.2, 0.3, 0.9), 2000.0, 2000.0),
        ),
        lines,
        np.array([False, False, False, True]),
    )


def page_of(view, **marking):
    return room_page(view, "a <room> & more", FACTS, Marking(**marking)).decode()


def decoded(page):
    """What the page holds, by the order and sizes that its head tells."""
    head = json.loads(re.search(r'id="room">(.*?)</script>', page, re.S)[1])
    data = base64.b64decode(re.search(r'id="mesh">(.*?)</script>', page, re.S)[1])
    found, at = {}, 0
    n, m, k = head["points"], head["triangles"], head["lines"]
    order = [
        *((name, "<i2", (n, 3)) for name in STATES),
        *((f"{name}_normals", "i1", (n, 3)) for name in STATES),
        ("triangles", "<u2", (m, 3)), ("pieces", "<u2", (n,)), ("lines", "<u2", (k, 2)), ("folds", "u1", (k,)),
    ]  # fmt: skip
    for name, kind, shape in order:
        array = np.frombuffer(data, kind, int(np.prod(shape)), at).reshape(shape)
        found[name], at = array, at + -(-array.nbytes // 4) * 4
    assert at == len(data)
    return head, found


@pytest.mark.parametrize("air", [True, False])
def test_the_page_holds_the_mesh_to_the_millimetre(air):
    view = sample(air)
    head, found = decoded(page_of(view))
    assert head["air"] is air and head["unit_mm"] == 1.0
    flat = np.column_stack([view.flat, 0 * view.flat[:, 0]])
    for name, points in zip(STATES, (view.sewn, view.air if air else view.sewn, flat), strict=True):
        assert np.abs(found[name] - points).max() <= 0.5
    assert (found["triangles"] == view.triangles).all() and (found["pieces"] == view.piece_of).all()
    assert (found["lines"] == view.lines).all() and (found["folds"] == view.is_fold).all()
    assert (found["flat_normals"] == [0, 0, 127]).all()
    assert [one["name"] for one in head["pieces"]] == ["panel 1", "panel 2"]


def test_a_room_too_large_for_millimetres_takes_larger_steps():
    view = sample()
    large = RoomView(30.0 * view.sewn, None, 30.0 * view.flat, *(getattr(view, name) for name in (
        "triangles", "piece_of", "pieces", "lines", "is_fold")))  # fmt: skip
    head, found = decoded(page_of(large))
    assert head["unit_mm"] == 3.0
    assert np.abs(head["unit_mm"] * found["sewn"] - large.sewn).max() <= 1.5


def test_more_points_than_a_page_holds_are_refused():
    many = np.zeros((MOST_POINTS + 1, 3))
    view = RoomView(many, None, many[:, :2], np.zeros((1, 3), int), np.zeros(len(many), int), sample().pieces,
                    np.zeros((1, 2), int), np.zeros(1, bool))  # fmt: skip
    with pytest.raises(ParameterError, match="larger triangles"):
        page_of(view)


def test_the_page_asks_nobody_for_anything_and_lets_nothing_else_run():
    page = page_of(sample())
    assert not re.search(r"https?:|//\w|@import|url\(|src=|fetch|XMLHttp|import\(|eval", page)
    policy = re.search(r'Content-Security-Policy" content="(.*?)"', page)[1]
    script, style = (
        re.search(r"<script>(.*?)</script>", page, re.S)[1],
        re.search(r"<style>(.*?)</style>", page, re.S)[1],
    )
    hashes = [base64.b64encode(hashlib.sha256(text.encode()).digest()).decode() for text in (style, script)]
    assert policy == (
        f"default-src 'none'; img-src data:; style-src 'sha256-{hashes[0]}'; script-src 'sha256-{hashes[1]}'"
    )
    assert not re.search(r"\son\w+=|\sstyle=", re.sub(r"<(script|style).*?</\1>", "", page, flags=re.S))
    assert len(script_text().encode()) < 10_000
    assert "a &lt;room&gt; &amp; more" in page and "<td>a &lt; b<td>&amp; c" in page


def test_the_same_view_gives_the_same_bytes():
    assert page_of(sample()) == page_of(sample())


def test_inches_stand_on_a_page_for_an_inch_tape():
    page = page_of(sample(), tape="imperial")
    assert (
        "6 ft 6 3/4 in" in page and "3 ft wide" in page and "mm" not in json.dumps(decoded(page)[0]["pieces"])
    )


# In a browser


@pytest.fixture(scope="module")
def browser():
    """Chromium without a window, drawing in software."""
    api = pytest.importorskip("playwright.sync_api", reason="playwright is not installed")
    found = next(
        (path for name in ("chromium", "chromium-browser", "google-chrome") if (path := shutil.which(name))),
        None,
    )
    if found is None:
        pytest.skip("there is no Chromium on this machine")
    flags = ["--use-angle=swiftshader", "--enable-unsafe-swiftshader", "--no-sandbox"]
    with api.sync_playwright() as play:
        chromium = play.chromium.launch(executable_path=found, args=flags)
        yield chromium
        chromium.close()


@pytest.fixture
def opened(browser, tmp_path):
    """Opens a page from a file, and notes what it complains of and asks for."""
    told = []

    def page_at(view, ending="", script=None, **marking):
        file = tmp_path / "room.html"
        file.write_text(page_of(view, **marking), encoding="utf-8")
        page = browser.new_page(viewport={"width": 800, "height": 700}, reduced_motion="reduce")
        page.on("console", lambda message: told.append(message.text))
        page.on("pageerror", lambda error: told.append(str(error)))
        page.on("request", lambda request: told.append(request.url) if request.url != page.url else None)
        if script is not None:
            page.add_init_script(script)
        page.goto(file.as_uri() + ending)
        return page

    yield page_at
    assert [one for one in told if "room.html" not in one] == []


def picture(page):
    from PIL import Image

    data = page.locator("#view").screenshot()
    return np.asarray(Image.open(io.BytesIO(data)).convert("RGB"), float)


def share_of(pixels, colour):
    """How much of a picture has about the hue of a piece, whatever the light."""
    hue = pixels / np.maximum(pixels.max(axis=2, keepdims=True), 1.0)
    return float((np.abs(hue - np.array(colour) / max(colour)).max(axis=2) < 0.12).mean())


def show(page, state):
    page.click(f"#{state}")
    page.wait_for_selector(f"html[data-shown={state}]")
    page.wait_for_timeout(50)
    assert [page.locator(f"#{one}").get_attribute("aria-pressed") for one in STATES] == [
        "true" if one == state else "false" for one in STATES
    ]
    return picture(page)


def test_buttons_change_the_state_and_both_pieces_are_drawn(opened):
    page = opened(sample())
    page.wait_for_selector("html[data-shown=sewn]")
    pictures = [show(page, state) for state in ("air", "flat", "sewn")]
    for pixels in pictures:
        for colour in ((0.9, 0.2, 0.2), (0.2, 0.3, 0.9)):
            assert share_of(pixels, colour) > 0.015
    for k, pixels in enumerate(pictures):
        assert np.abs(pixels - pictures[k - 1]).mean() > 0.5
    dark = (pictures[1].max(axis=2) < 90).mean()
    assert 0.0005 < dark < 0.05  # edges


def test_a_touch_names_a_piece_and_two_measure(opened):
    page = opened(sample(), "#flat")
    page.wait_for_selector("html[data-shown=flat]")
    red = np.argwhere(np.abs(picture(page) / 255.0 - (0.9, 0.2, 0.2)).max(axis=2) < 0.25)
    place = page.locator("#view").bounding_box()
    (y0, x0), (y1, x1) = red.min(axis=0) + 6, red.max(axis=0) - 6
    y, x = (y0 + y1) / 2, (x0 + x1) / 2
    page.mouse.click(place["x"] + x, place["y"] + y)
    assert page.inner_text("#said") == "panel 1: 2000 mm by 2000 mm without its allowances"
    assert page.locator("#pieces").input_value() == "0"
    page.click("#measure")
    row = red[red[:, 0] == round(y)][:, 1]
    for across in (row.min() + 1, row.max() - 1):
        page.mouse.click(place["x"] + int(across), place["y"] + y)
    told = re.fullmatch(r"(\d+) mm straight from point to point", page.inner_text("#said"))
    assert 1900 <= int(told[1]) <= 2005  # laid flat its sides are 2 m; edges are a few points thick


def test_mouse_wheel_and_keys_move_the_eye_and_all_of_it_brings_it_back(opened):
    page = opened(sample())
    page.wait_for_selector("html[data-shown=sewn]")
    first = picture(page)
    place = page.locator("#view").bounding_box()
    page.mouse.move(place["x"] + 200, place["y"] + 200)
    page.mouse.down()
    page.mouse.move(place["x"] + 300, place["y"] + 240)
    page.mouse.up()
    page.wait_for_timeout(50)
    turned = picture(page)
    page.mouse.wheel(0, -500)
    page.wait_for_timeout(80)
    near = picture(page)
    page.locator("#view").focus()
    page.keyboard.press("ArrowLeft")
    page.wait_for_timeout(50)
    keyed = picture(page)
    for a, b in ((first, turned), (turned, near), (near, keyed)):
        assert np.abs(a - b).mean() > 0.3
    page.keyboard.press("0")
    page.wait_for_timeout(200)
    within = np.s_[8:-8, 8:-8]  # without the frame of what has the keyboard
    assert np.abs(picture(page)[within] - first[within]).mean() < 0.05
    page.keyboard.press("3")
    page.wait_for_selector("html[data-shown=flat]")


def test_seen_from_inside_the_near_cloth_is_left_out(opened):
    page = opened(sample())
    page.wait_for_selector("html[data-shown=sewn]")
    before = picture(page)
    page.click("#inside")
    page.wait_for_timeout(80)
    assert share_of(picture(page), (0.9, 0.2, 0.2)) < 0.002 < share_of(before, (0.9, 0.2, 0.2))


def test_a_page_without_air_says_so_and_offers_none(opened):
    page = opened(sample(air=False), "#air")
    page.wait_for_selector("html[data-shown=sewn]")
    assert page.locator("#air").is_disabled() and page.locator("#noair").is_visible()


def test_a_browser_without_webgl_is_told_and_the_sizes_stay(opened):
    page = opened(sample(), script="HTMLCanvasElement.prototype.getContext = () => null;")
    assert page.locator("#plain").is_visible() and not page.locator("#view").is_visible()
    page.click("summary >> nth=0")
    assert page.locator("text=3514 mm").is_visible()


def test_nothing_is_wider_than_a_phone(opened):
    page = opened(sample())
    page.set_viewport_size({"width": 360, "height": 640})
    page.wait_for_timeout(80)
    for part in ("header", "nav", "footer", "#view"):
        box = page.locator(part).bounding_box()
        assert box["x"] >= 0 and box["x"] + box["width"] <= 360.5, part
    assert page.locator("#view").bounding_box()["height"] >= 200
    assert min(page.locator("button").nth(k).bounding_box()["height"] for k in range(6)) >= 44
