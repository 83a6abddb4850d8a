"""The numbers-only side: sizes without a kernel, the band's picture, the record."""

import json
import subprocess
import sys
from pathlib import Path
from xml.etree import ElementTree

import numpy as np
import pytest
from model_rooms import FIRST_NAME

from shellparts.base.errors import ParameterError
from shellparts.base.quadrature import quadrature
from shellparts.build.numbers import Numbers
from shellparts.build.room import Room, build
from shellparts.loads.measured import room_figures
from shellparts.parameters import Design, Shell
from shellparts.parameters.cloth import Cloth
from shellparts.parameters.measures import measures_of
from shellparts.writers.band_chart import write_band_chart

MODELS = Path(__file__).parent.parent / "models"


@pytest.fixture
def room(model_room: Room) -> Room:
    return model_room


@pytest.fixture
def first(model_room: Room) -> Numbers:
    """By formula: no kernel, and nothing sewn."""
    return model_room.first_look


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
    room = build(design)
    assert room.verdict is room.plan is room.band() is None
    assert "without a fan and a doorway" in room.advice()
    assert [w["code"] for w in room.numbers()["warnings"]] == ["no-doorway"]


def test_the_picture_is_that_of_the_room_with_the_changes_made(first: Numbers) -> None:
    data, after = first.band(), first.air.plan.after
    assert (data.hold_up_Pa, data.lift_Pa) == (after.air.hold_up_Pa, after.air.lift_Pa)
    assert (data.setting, data.ballast_kg) == (after.air.setting, after.drawn.site.ballast_kg)
    for line in data.lines:
        assert np.all(np.diff(line.likely_Pa) < 0.0), "pressure falls as the vent opens"
    used = next(line for line in data.lines if line.name == data.setting.speed)
    at = np.interp(data.setting.opening_mm, data.vent_opening_mm, used.chance)
    assert at == pytest.approx(data.setting.chance, abs=0.02)


def test_the_chart_is_the_same_twice_and_well_formed(first: Numbers, tmp_path: Path) -> None:
    for name in ("a.svg", "b.svg"):
        write_band_chart(first.band(), "the band", tmp_path / name)
    assert (tmp_path / "a.svg").read_bytes() == (tmp_path / "b.svg").read_bytes()
    words = "".join(ElementTree.parse(tmp_path / "a.svg").getroot().itertext())
    for speed in first.air.verdict.fan.speeds:
        assert speed.name in words
    for text in ("base lifts at", "held up from", "clips taken off on each side"):
        assert text in words


def test_folds_are_the_same_in_both_places(first: Numbers) -> None:
    record = first.record()
    if first.air.plan.after.air.setting.pressure_Pa == first.air.verdict.air.setting.pressure_Pa:
        assert record["cloth"]["wrinkled_fraction"] == record["inflated"]["wrinkled_fraction"]
    assert record["inflated"]["wrinkled_fraction"] > 0.1


@pytest.mark.parametrize("name", FIRST_NAME)
def test_a_quick_check_prints_one_json_object_and_starts_no_kernel(name: str) -> None:
    code = (
        "import sys\n"
        "from shellparts.cli import main\n"
        f"sys.argv = ['shellparts', 'check', {str(MODELS / (name + '.py'))!r}, '--quick', '--json']\n"
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
