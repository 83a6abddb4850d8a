"""The numbers-only side: sizes without a kernel, the page of advice, the band's picture."""

import json
import re
import subprocess
import sys
from pathlib import Path
from xml.etree import ElementTree

import numpy as np
import pytest
from shellparts.drawing.band_sketch import band_sketch, sketch_rows
from shellparts.report.advice import TO_KNOW

from shellparts.base.errors import ParameterError
from shellparts.base.quadrature import quadrature
from shellparts.build.room import Room, build
from shellparts.build.script import run_script
from shellparts.loads.measured import room_figures
from shellparts.parameters import Design, Shell
from shellparts.parameters.cloth import Cloth
from shellparts.parameters.measures import measures_of
from shellparts.report.load_warnings import load_warnings
from shellparts.writers.band_chart import write_band_chart

MODELS = Path(__file__).parent.parent / "models"
NAMES = ("lantern_room", "tide_dome", "orchard_pavilion")


@pytest.fixture
def room(model_room: Room) -> Room:
    return model_room


def area_of(room: Room, *kinds: str) -> float:
    found = room.body.seams.kinds
    return sum(o.face_area_mm2 for name, o in room.outlines.items() if found[name].word in kinds)


def test_quadrature_integrates_polynomials_exactly() -> None:
    nodes, weights = quadrature([2.0, 0.0, 1.0], 3)
    assert nodes.shape == (72,)
    assert weights @ nodes**5 == pytest.approx(2**6 / 6, rel=1e-13)


def test_sizes_without_a_kernel_are_those_of_the_body(room: Room) -> None:
    measures = measures_of(room.design)
    assert measures.floor_area_mm2 / 1e6 == pytest.approx(room.body.figures.floor_area_m2, rel=1e-9)
    flap_in_panel = 0.0 if room.design.flap.sewn_on else measures.flap_area_mm2
    assert measures.shell_area_mm2 + flap_in_panel == pytest.approx(area_of(room, "panel", "cap"), rel=1e-3)
    assert measures.opening_areas_mm2[0] == pytest.approx(area_of(room, "tunnel", "curtain"), rel=3e-3)
    assert measures.opening_areas_mm2[1] == pytest.approx(area_of(room, "sleeve"), rel=1e-4)
    sewn = sum(seam.lengths_mm[0] for seam in room.pattern.seams)
    assert measures.seam_length_mm == pytest.approx(sewn, rel=0.06)


def test_a_flap_that_is_sewn_on_has_its_own_area(rooms: dict[str, Room]) -> None:
    room = rooms["orchard_pavilion"]
    assert measures_of(room.design).flap_area_mm2 == pytest.approx(area_of(room, "flap"), rel=0.01)


def test_figures_agree_with_the_body(room: Room) -> None:
    figures = room_figures(room.design, Cloth())
    assert figures.envelope_volume_m3 == pytest.approx(room.body.figures.envelope_volume_m3, rel=1e-6)
    assert figures.height_mm == pytest.approx(room.body.figures.height_mm)
    cut = sum(piece.count * piece.cut_area_mm2 for piece in room.pattern.pieces) / 1e6
    assert figures.cloth_mass_kg == pytest.approx(cut * Cloth().mass_kg_m2.likely, rel=0.04)


def test_a_room_without_a_doorway_is_not_judged() -> None:
    design = Design(name="shut", shell=Shell(panels=8, across=3000, height=2400))
    with pytest.raises(ParameterError, match=r"doorway is missing.*add a doorway"):
        room_figures(design, Cloth())
    assert build(design).verdict is None
    assert "without a fan and a doorway" in build(design).advice()
    assert [w["code"] for w in build(design).numbers()["warnings"]] == ["no-doorway"]


def unwrapped(page: str) -> str:
    return " ".join(page.split())


def test_the_page_answers_the_four_questions_first(room: Room) -> None:
    page = room.advice()
    assert max(len(line) for line in page.splitlines()) <= 92
    assert len(page.splitlines()) <= 95
    at = [
        page.index(words) for words in ("Will it stand up?", "Will it stay down?", "Is the air good enough?")
    ]
    at += [
        page.index(words)
        for words in ("If the fan stops, is everybody", "On the day", "In numbers", "Always")
    ]
    assert at == sorted(at)
    assert not re.search(r"\b(inf|nan|None)\b|\b0 people", page)


def test_every_warning_is_told_in_its_words_or_above(room: Room) -> None:
    page = unwrapped(room.advice())
    for warning in load_warnings(room.verdict):
        if warning.code in TO_KNOW:
            assert warning.message.rstrip(".") in page
            assert unwrapped(warning.remedy) in page
    assert "takes" in page or "Ballast" in page
    assert f"{room.figures.cloth_mass_kg:.0f} kg in all" in page


def test_the_steps_are_for_a_room_that_stays_down(room: Room) -> None:
    """What the page advises is not what its own table calls wrong."""
    ways, page = room.ways, unwrapped(room.advice())
    used, lift = ways.laid.air.used, ways.laid.air.band.lift_Pa
    assert used.pressure_Pa.likely * 1.2 < lift.likely
    assert f"Lay {ways.bags.count} bags of {ways.bags.each_kg:.0f} kg" in page
    assert f"Right is about {used.pressure_Pa.likely:.1f} Pa" in page
    assert f"{used.name} " in page
    assert "probably stands" in page


def test_ballast_is_one_number_everywhere(room: Room) -> None:
    record = room.numbers()
    laid = record["hold_down"]["ballast_kg"]
    assert laid == record["hold_down"]["ballast_bags"] * record["hold_down"]["ballast_bag_kg"]
    (warning,) = [w for w in record["warnings"] if w["code"] == "ballast"]
    assert warning["limit"] == f"{laid:.0f} kg"
    assert warning["remedy"].startswith(f"Lay {laid:.0f} kg: ")
    assert f"Ballast, {laid:.0f} kg" in room.advice()
    assert record["remedies"]["ballast_laid_kg"] == laid


def test_folds_are_the_same_in_both_places(room: Room) -> None:
    record = room.numbers()
    assert record["cloth"]["wrinkled_fraction"] == record["inflated"]["wrinkled_fraction"] > 0.1


def test_the_lantern_is_told_how_to_stay_down(rooms: dict[str, Room]) -> None:
    room = rooms["lantern_room"]
    page = unwrapped(room.advice())
    assert room.verdict.air.used.pressure_Pa.likely > room.verdict.air.band.lift_Pa.likely
    assert re.search(r"Will it stay down\? probably not", page)
    assert 'vent="700 mm" in the script (now 600 mm)' in page
    assert "probably stays down" in page


@pytest.mark.parametrize(
    "changes", [{"vent": 0}, {"fan_flow": "6000 cfm"}, {"fan_flow": "300 cfm"}, {"flap_depth": "60 mm"}]
)
def test_the_page_is_sane_for_rooms_that_are_not(changes: dict[str, object]) -> None:
    page = run_script(MODELS / "lantern_room.py", changes).advice()
    assert max(len(line) for line in page.splitlines()) <= 92
    assert not re.search(r"\b(inf|nan|None)\b|\b0 people|room for 0", page)
    if "fan_flow" in changes:
        strong = changes["fan_flow"] == "6000 cfm"
        assert re.search(r"stand up\?\s+" + ("yes" if strong else "(probably not|no)"), page)
        assert re.search(r"stay down\?\s+" + ("(probably not|no)" if strong else "(probably )?yes"), page)
    if changes == {"vent": 0}:
        assert "no vent to set" in page
        assert "take off" not in page


def test_the_sketch_is_the_data(room: Room) -> None:
    data = room.band()
    columns = 49
    rows = sketch_rows(data)
    lines = [line for line in band_sketch(data, columns) if " Pa |" in line]
    assert len(lines) == len(rows) <= 14
    for pressure, words in ((data.hold_up_Pa.likely, "cloth held up"), (data.lift_Pa.likely, "base lifts: ")):
        assert words in lines[rows.index(pressure)], "a limit has a row of its own"
    at = np.linspace(0.0, data.vent_opening_mm[-1], columns)
    for number, line in enumerate(data.lines, 1):
        curve = np.interp(at, data.vent_opening_mm, line.likely_Pa)
        drawn = 0
        for row, text in enumerate(lines):
            for column, letter in enumerate(text.split("|")[1]):
                if letter == str(number):
                    ratios = [max(curve[column] / p, p / curve[column]) for p in rows]
                    assert int(np.argmin(ratios)) == row
                    drawn += 1
        assert drawn > 0 or curve.min() > rows[0]
    assert sum(text.split("|")[1].count("X") for text in lines) == 1


def test_lines_that_leave_the_top_are_marked(room: Room) -> None:
    data = room.band()
    sketch = band_sketch(data)
    top = sketch_rows(data)[0]
    leaving = {str(n) for n, line in enumerate(data.lines, 1) if line.likely_Pa.max() > 1.13 * top}
    assert leaving
    assert set(sketch[0].split("|")[1]) - {" "} == leaving
    assert "higher" in sketch[0]


def test_the_scales_of_the_sketch_do_not_run_together(room: Room) -> None:
    sketch = band_sketch(room.band())
    centimetres, clips = (re.findall(r"\d+", line) for line in sketch[-3:-1])
    assert len(centimetres) == len(clips)
    assert [int(n) for n in clips] == sorted({int(n) for n in clips})
    assert int(centimetres[-1]) == round(room.design.openings[0].vent / 10)


def test_pressure_falls_as_the_vent_opens(room: Room) -> None:
    for line in room.band().lines:
        assert np.all(np.diff(line.likely_Pa) < 0.0)


def test_the_chart_is_the_same_twice_and_well_formed(room: Room, tmp_path: Path) -> None:
    for name in ("a.svg", "b.svg"):
        write_band_chart(room.band(), "the band", tmp_path / name)
    assert (tmp_path / "a.svg").read_bytes() == (tmp_path / "b.svg").read_bytes()
    words = "".join(ElementTree.parse(tmp_path / "a.svg").getroot().itertext())
    for speed in room.fan.speeds:
        assert f"speed {speed.name}" in words
    for text in (
        "logarithmic",
        "clips taken off on each side",
        "ring: where to work",
        "base lifts at",
        "cloth held up",
    ):
        assert text in words


@pytest.mark.parametrize("name", NAMES)
def test_check_prints_one_json_object_and_starts_no_kernel(name: str) -> None:
    code = (
        "import sys\n"
        "from shellparts.cli import main\n"
        f"sys.argv = ['shellparts', 'check', {str(MODELS / (name + '.py'))!r}, '--json']\n"
        "try:\n    main()\n"
        "finally:\n    print('OCP' in sys.modules or 'cadquery' in sys.modules, file=sys.stderr)\n"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    record = json.loads(done.stdout)
    assert done.stderr.strip().endswith("False")
    speeds = record["air"]["speeds"]
    keys = [
        "name",
        "pressure_Pa",
        "flow_m3_s",
        "lift_ratio",
        "air_changes_per_h",
        "fresh_air_l_s_person",
        "co2_steady_ppm",
    ]
    assert all(set(keys) <= set(speed) for speed in speeds)
    assert {"hold_up_pressure_Pa", "lift_pressure_Pa", "vent_area_m2", "inflate_time_s"} <= set(record["air"])
    assert {"uplift_N", "weight_N", "ballast_kg", "wind_limit_m_s"} <= set(record["hold_down"])
    assert {"capacity", "limited_by", "exit_width_mm"} <= set(record["people"])
    assert all({"code", "message", "remedy"} <= set(warning) for warning in record["warnings"])
