"""Openings are a list: several of a kind, and a kind that the library does not know, go through every stage."""

import math

import numpy as np
import pytest
from attrs import evolve
from room_checks import check_room
from vent_hole import VentHole

from shellparts.base.errors import ParameterError
from shellparts.build.room import build
from shellparts.openings import Doorway, Sleeve
from shellparts.parameters import Design, Flap, Shell
from shellparts.parameters.fan_sources import fan_from_label
from shellparts.report.room_materials import layouts_of

FAN = fan_from_label("example fan", "1.2 m3/s", 450)
SHELL = Shell(panels=12, across=6000, height=3600, wall=1900, profile="dome")
DOOR = Doorway(width=1100, height=1950, length=1500)


def far_door(shell: Shell, on_seam: bool, draw: np.random.Generator) -> Doorway:
    """A doorway across the room from the first one, give or take a panel."""
    at = shell.panels // 2 + int(draw.integers(0, 2 + shell.panels % 2))
    return Doorway(
        width=float(draw.uniform(700, 1300)),
        height=float(draw.uniform(1500, 1900)),
        length=float(draw.uniform(1300, 2500)),
        head=str(draw.choice(["gabled", "arched", "flat"])),
        centred_on="seam" if on_seam else "panel",
        flap=float(draw.choice([0.0, 150.0])),
        at=at,
    )


def several(seed: int) -> Design:
    """Two doorways and two sleeves."""
    draw = np.random.default_rng(seed)
    across, profile = float(draw.uniform(5500, 8000)), str(draw.choice(["dome", "pointed", "straight"]))
    rise = across * 0.6 if profile == "pointed" else float(draw.uniform(1300, 2500))
    shell = Shell(
        panels=int(draw.integers(10, 19)), across=across, height=2000 + rise, wall=2000, profile=profile
    )
    doors = [
        Doorway(
            width=float(draw.uniform(700, 1300)),
            height=float(draw.uniform(1500, 1900)),
            length=float(draw.uniform(1300, 2500)),
            centred_on=str(draw.choice(["seam", "panel"])),
        ),
        far_door(shell, bool(draw.integers(2)), draw),
    ]
    quarter = shell.panels // 4
    sleeves = [
        Sleeve(diameter=float(draw.uniform(250, 400)), length=1500, height=700, slope=8, panel=1 + quarter),
        Sleeve(width=300, depth=350, length=1200, height=600, panel=1 + shell.panels - quarter),
    ]
    flap = Flap(depth=300, sewn_on=bool(draw.integers(2)))
    return Design(name="several", shell=shell, openings=[*doors, *sleeves], flap=flap)


@pytest.mark.parametrize("seed", range(2))
def test_two_doorways_and_two_sleeves_go_through_every_stage(seed):
    design = several(seed)
    room = build(design, FAN)
    check_room(room)
    names = {sheet.name for sheet in room.body.sheets}
    assert {"tunnel", "tunnel_2", "sleeve", "sleeve_2", "curtain_left", "curtain_2_left"} <= names
    assert room.figures.exit_count == 2
    assert room.figures.vent_longest_mm == sum(2 * one.vent for one in design.openings[:2])
    assert room.layout is not None
    record = design.parameters()
    assert record["doorway"]["at"] == 1 and record["doorway_2"]["at"] == design.openings[1].at
    assert record["sleeve_2"]["width_mm"] == 300


@pytest.mark.sweep
@pytest.mark.parametrize("seed", range(2, 11))
def test_many_rooms_with_two_doorways_and_two_sleeves(seed):
    check_room(build(several(seed), FAN))


def test_the_short_forms_are_the_first_two_of_the_list():
    sleeve = Sleeve(diameter=400, length=1300, height=700)
    short = Design(name="trial", shell=SHELL, doorway=DOOR, sleeve=sleeve)
    assert short == Design(name="trial", shell=SHELL, openings=(DOOR, sleeve))
    assert evolve(short, name="other").openings == short.openings
    with pytest.raises(ParameterError, match=r"doorway is Sleeve\(.*a Doorway, or left out"):
        Design(name="trial", shell=SHELL, doorway=sleeve)
    assert Design(name="trial", shell=SHELL, doorway=None, sleeve=None).openings == ()
    with pytest.raises(
        ParameterError, match="doorway is None; it must be left out where openings hold a doorway"
    ):
        evolve(short, doorway=None)
    with pytest.raises(ParameterError, match=r"^argument of Design is 'doorwy'; .*did you mean 'doorway'"):
        Design(name="trial", shell=SHELL, doorwy=DOOR)
    with pytest.raises(ParameterError, match="opening is 'hole'"):
        Design(name="trial", shell=SHELL, openings=["hole"])


def test_a_room_turned_by_its_first_doorway_is_the_same_room():
    """Two doorways, either of them first: the same sizes, since only +x differs."""
    a, b = Doorway(width=1100, height=1950, length=1500), Doorway(width=900, height=1800, length=1700)
    one = Design(name="one", shell=SHELL, openings=(a, Doorway(width=900, height=1800, length=1700, at=7)))
    two = Design(name="two", shell=SHELL, openings=(b, Doorway(width=1100, height=1950, length=1500, at=7)))
    first, second = (build(design).body.figures for design in (one, two))
    assert first.envelope_volume_m3 == pytest.approx(second.envelope_volume_m3, rel=1e-9)
    assert first.floor_area_m2 == pytest.approx(second.floor_area_m2, rel=1e-9)


def test_panels_are_counted_from_the_first_doorway():
    with pytest.raises(ParameterError, match="number of the first doorway is 7; it must be 1"):
        Design(name="trial", shell=SHELL, doorway=Doorway(width=1100, height=1950, length=1500, at=7))


def test_openings_that_cut_the_same_panel_are_refused():
    with pytest.raises(
        ParameterError, match=r"doorway's panel is 2; .*none of the panels that the doorway cuts"
    ):
        Design(
            name="trial",
            shell=SHELL,
            openings=(
                Doorway(width=1100, height=1950, length=1500, centred_on="panel"),
                Doorway(width=1700, height=1950, length=1500, at=2),
            ),
        )
    with pytest.raises(
        ParameterError, match=r"sleeve's panel is 5; .*none of the panels that the sleeve cuts: 5"
    ):
        Design(
            name="trial",
            shell=SHELL,
            openings=(
                Sleeve(diameter=300, length=900, height=500, panel=5),
                Sleeve(diameter=300, length=900, height=1200, panel=5),
            ),
        )


def test_a_kind_of_the_tests_own_is_built_unrolled_sewn_laid_and_counted_as_a_leak():
    hole = VentHole(diameter=300, height=2600, length=900, panel=4)
    plain = Design(name="vented", shell=SHELL, doorway=DOOR)
    design = evolve(plain, openings=(*plain.openings, hole))
    room = build(design, FAN)
    check_room(room)
    collar = room.pattern.piece("collar")
    assert collar.outline.flat_area_mm2 == pytest.approx(room.outlines["collar"].face_area_mm2, rel=1e-9)
    assert room.pattern.piece("panel_vent").holes
    assert any(patch.name == "patch_vent" for patch in room.pattern.patches)
    assert [step for step in room.order.steps if step.task.stage == "vent hole"]
    laid = {placed.name for layout in layouts_of(room.layout) for placed in layout.pieces}
    assert "collar" in laid
    shut, vented = build(plain, FAN).figures, room.figures
    assert vented.open_area_m2 - shut.open_area_m2 == pytest.approx(math.pi * 0.15**2)
    before, after = (one.first_look.record()["air"]["speeds"] for one in (build(plain, FAN), room))
    speeds = zip(before, after, strict=True)
    for before, after in speeds:
        assert after["pressure_Pa"] < before["pressure_Pa"]
