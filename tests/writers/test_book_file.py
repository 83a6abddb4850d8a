"""The build book as a file: nothing of the room is missing, nothing overlaps, the same bytes twice."""

import re
from itertools import count

import numpy as np
import pytest
import shapely
from attrs import evolve
from book_rooms import BookPages, book_of, lacking, write
from model_rooms import room_of
from whole_ranges import design_of, words_of

from shellparts.base.errors import ParameterError
from shellparts.build.room import build

MM = 72.0 / 25.4
#: Of a letter's box, how much another letter may cover.
COVERED = 0.3


@pytest.fixture(scope="module")
def lantern():
    return book_of(room_of("lantern_room"), with_air=True)


@pytest.fixture(scope="module")
def lantern_file(lantern):
    return write(lantern)


@pytest.fixture(scope="module")
def in_feet(lantern):
    """The same room for a reader whose tape shows inches."""
    marking = evolve(lantern.marking, tape="imperial")
    return BookPages(write(evolve(lantern, design=evolve(lantern.design, marking=marking))))


def test_the_book_names_everything_of_the_lantern_room(lantern, lantern_file):
    assert lacking(lantern, BookPages(lantern_file)) == []


def test_a_book_that_lacks_a_step_is_found_out(lantern, lantern_file):
    """The reader of these tests sees what is missing."""
    pages = BookPages(lantern_file)
    pages.texts = [
        text.replace("S16", "S61").replace("cap e3", "cap e33x").replace("strip_panel_07", "")
        for text in pages.texts
    ]
    found = lacking(lantern, pages)
    assert "step 26: S16" in found and "strip strip_panel_07" in found


def test_the_same_book_has_the_same_bytes(lantern, lantern_file):
    assert write(lantern).read_bytes() == lantern_file.read_bytes()


def test_a_book_is_small_enough_to_send(lantern_file):
    assert 100_000 < lantern_file.stat().st_size < 10_000_000


def test_pages_are_those_of_the_reader(lantern_file, in_feet):
    """Metric tapes go with A4, inch tapes with letter; layouts lie on their side."""
    for pages, size in ((BookPages(lantern_file), (210.0, 297.0)), (in_feet, (215.9, 279.4))):
        sizes = {tuple(np.round(np.array(page.get_size()) / MM, 1)) for page in pages.document}
        assert sizes == {size, size[::-1]}


def test_inches_stand_before_every_millimetre(in_feet):
    """Where the tape shows inches, a metric length stands in brackets or after an equals sign."""
    text = in_feet.everything
    bare = [
        found[0]
        for found in re.finditer(r".{12}\d mm\b", text)
        if not re.search(r"[(=][^()=]*\d mm$", found[0])
    ]
    assert bare == []
    assert " ft " in text


def letters_of(page):
    """Boxes of all letters of a page, shape (n, 4): left, bottom, right, top [points], in the order of the text."""
    text = page.get_textpage()
    said = text.get_text_range(0, -1)
    boxes = [text.get_charbox(k) for k in range(min(text.count_chars(), len(said))) if not said[k].isspace()]
    return np.array(boxes).reshape(-1, 4)


def test_no_text_is_cut_off_or_covers_another(lantern_file):
    """Letters of a page, headings, tables and drawings alike, stay on the paper and clear of each other."""
    for number, page in enumerate(BookPages(lantern_file).document, 1):
        boxes, size = letters_of(page), np.array(page.get_size())
        assert (boxes[:, :2] >= 3.0 * MM).all() and (boxes[:, 2:] <= size - 3.0 * MM).all(), number
        shapes = shapely.box(*boxes.T)
        first, second = shapely.STRtree(shapes).query(shapes, predicate="intersects")
        apart = second > first + 2  # letters beside each other in a slanting word touch
        first, second = first[apart], second[apart]
        common = shapely.area(shapely.intersection(shapes[first], shapes[second]))
        least = np.minimum(shapely.area(shapes[first]), shapely.area(shapes[second]))
        assert (common <= COVERED * least).all(), (number, int((common > COVERED * least).sum()))


#: What measures are told in, as a reader knows them.
UNITS = r"(?:mm|cm|m|m2|m3|kg|g/m2|Pa|N|s|min|h|%|ppm|ft|in|lb|oz|l/s|m/s|sq ft|cu ft|\d+/\d+)(?![\w/])"
PARTED = re.compile(rf"(?:\d(?:\r?\n)+{UNITS}|\b(?:ft|[Ss]tep|[Pp]age|S)(?:\r?\n)+\d)")


def test_no_figure_is_parted_from_its_unit_by_the_end_of_a_line(lantern_file, in_feet):
    assert PARTED.search("a strip 5\r\ncm wide") and PARTED.search("16 ft\n4 1/2 in")
    for pages in (BookPages(lantern_file), in_feet):
        texts = [re.sub(r"Sewing, step by step\r?\n", "", text) for text in pages.texts]
        assert sum(len(re.findall(rf"\d {UNITS}", text)) for text in texts) > 300
        assert [found[0] for text in texts for found in PARTED.finditer(text)] == []


def filled(page):
    """How much of its height between the heads a page uses, and how much of its width [-]."""
    boxes, (wide, tall) = letters_of(page), page.get_size()
    low, high = 18.0 * MM, tall - 33.0 * MM
    inner = boxes[(boxes[:, 1] > low) & (boxes[:, 3] < high)]
    return (high - inner[:, 1].min()) / (high - low), (inner[:, 2].max() - inner[:, 0].min()) / wide


def test_no_page_is_nearly_empty_and_the_contents_use_both_columns(lantern_file, in_feet):
    """But for the title, the last page, and those that lie on their side for one drawing."""
    for pages in (BookPages(lantern_file), in_feet):
        contents, *others = list(pages.document)[1:-1]
        upright = [page for page in others if page.get_width() < page.get_height()]
        assert len(upright) > 20 and all(filled(page)[0] > 1 / 3 for page in upright)
        boxes = letters_of(contents)
        middle = contents.get_width() / 2
        ends = [boxes[side][:, 1] for side in (boxes[:, 2] < middle, boxes[:, 0] > middle)]
        lowest = [float(one[one > 18.0 * MM].min()) for one in ends]  # above the page's number
        assert abs(lowest[0] - lowest[1]) < 25.0
        assert filled(contents)[1] > 0.75


@pytest.mark.sweep
@pytest.mark.parametrize("name", ["tide_dome", "orchard_pavilion"])
def test_the_book_names_everything_of_the_other_models(name):
    book = book_of(room_of(name))
    assert lacking(book, BookPages(write(book))) == []


@pytest.mark.sweep
def test_the_book_names_everything_of_any_room():
    """Of the first random rooms over the whole ranges that are not refused."""
    done = 0
    for seed in count():
        try:
            room = build(design_of(words_of(seed)))
            book = book_of(room)
        except ParameterError:
            continue
        assert lacking(book, BookPages(write(book))) == [], seed
        done += 1
        if done == 3:
            break
