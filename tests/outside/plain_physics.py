"""One room in one case, worked out again from the formulas alone: none of the library's own code, plain numbers in SI.

Glossary: *figures* are a room's sizes as numbers; a *case* gives every uncertain quantity one value. Roots are bracketed
(scipy.optimize.brentq), balances in time are integrated step by step (scipy.integrate.solve_ivp), moist air is
psychrolib's (the ASHRAE equations); nothing is closed form that the library has in closed form.
"""

import importlib.util
import math
import sys
from functools import cached_property
from types import SimpleNamespace
from unittest.mock import patch

import numpy as np
from scipy.integrate import solve_ivp
from scipy.optimize import brentq

__all__ = ["PlainRoom", "plain_psychrolib"]

G = 9.80665


def plain_psychrolib():
    """Its Python as it is written: compiled, its wet bulb alone takes twelve seconds to get ready."""
    spec = importlib.util.find_spec("psychrolib")
    module = importlib.util.module_from_spec(spec)
    with patch.dict(sys.modules, {"numba": None}):
        spec.loader.exec_module(module)
    module.SetUnitSystem(module.SI)
    return module


psychrolib = plain_psychrolib()


class PlainRoom:
    """A room with its fan and its people; `figures`, `case`, `site` and `fan` are namespaces of numbers."""

    def __init__(self, figures, case, site, fan):
        self.f, self.c, self.s, self.fan = figures, case, site, fan
        # standard atmosphere: dp/dh = -rho·g over the geopotential height, T falling by 6.5 K a kilometre
        height = 6356766.0 * site.altitude_m / (6356766.0 + site.altitude_m)
        gas = 287.053
        column = solve_ivp(
            lambda h, p: -p * G / (gas * (288.15 - 0.0065 * h)), (0.0, height), [101325.0], rtol=1e-8
        )
        self.pressure_Pa = float(column.y[0, -1])
        self.drawn_ratio = psychrolib.GetHumRatioFromRelHum(site.warm_C, site.share, self.pressure_Pa)
        self.density = psychrolib.GetMoistAirDensity(site.warm_C, self.drawn_ratio, self.pressure_Pa)

    # holding up and down

    def hold_up_Pa(self):
        """No level of the shell in compression: the largest weight above a level over its area, times the form."""
        return self.c.form * self.weight_over_area_Pa()

    def weight_over_area_Pa(self):
        return self.slices[1][0] * self.shell_weight_N()

    def shell_weight_N(self):
        return (
            G * (self.f.cloth_kg - self.f.mass_kg_m2 * self.f.flap_m2) * self.c.mass_kg_m2 / self.f.mass_kg_m2
        )

    def cloth_kg(self):
        return self.f.cloth_kg * self.c.mass_kg_m2 / self.f.mass_kg_m2

    @cached_property
    def slices(self):
        """Fine slices of the profile: height, largest need from there on, share of the volume.

        The need is the weight above a level over its area, for a shell of 1 N [1/m²].
        """
        r, z = np.asarray(self.f.radius_m), np.asarray(self.f.height_m)
        at = np.linspace(0.0, len(r) - 1.0, max(2, 6000 // len(r)) * (len(r) - 1) + 1)
        r, z = (np.interp(at, np.arange(len(v)), v) for v in (r, z))
        middle = 0.5 * (r[:-1] + r[1:])
        surface = middle * np.hypot(np.diff(r), np.diff(z))
        volume = middle**2 * np.diff(z)
        above = 1.0 - np.concatenate([[0.0], np.cumsum(surface / surface.sum())[:-1]])
        need = above / (self.f.floor_m2 * (r[:-1] / r[0]) ** 2)
        return z[:-1], np.maximum.accumulate(need[::-1])[::-1], volume / volume.sum()

    def lift_Pa(self, ballast_kg):
        held = self.c.held_share * self.f.flap_m2
        return G * (self.cloth_kg() + ballast_kg) / (self.f.floor_m2 - held)

    # leaks

    def orifice(self, area_m2, pressure_Pa):
        return self.c.discharge * area_m2 * math.sqrt(2.0 * pressure_Pa / self.density)

    def shut_leaks(self, pressure_Pa):
        f, c = self.f, self.c
        holes = c.hole_share * f.stitches_per_m * f.rows * f.seam_m * math.pi / 4.0 * f.needle_m**2
        area = c.ground_gap_m * f.base_line_m + holes + c.curtain_share * f.door_m2 + f.open_m2
        laps = c.lap * f.seam_m * pressure_Pa**0.65
        cloth = f.surface_m2 * c.permeability_m_s * pressure_Pa / 100.0
        return self.orifice(area, pressure_Pa) + laps + cloth

    def vent_m2(self, opening_m):
        """Two slits a doorway, both sides of all doorways being `opening_m`: 2/3·gape·length² for both together."""
        return 2.0 / 3.0 * self.c.gape * opening_m**2 / self.f.doors_with_vent

    def leaks(self, pressure_Pa, opening_m, door=False):
        # a person opens as much of a low doorway as of one of 80 in, but never more than there is
        used = (
            self.f.door_m2 * min(1.0, self.c.door_share * max(1.0, 2.032 / self.f.way_height_m))
            if door
            else 0.0
        )
        return self.shut_leaks(pressure_Pa) + self.orifice(self.vent_m2(opening_m) + used, pressure_Pa)

    # fan: a parabola, its shut-off by the speed of the air in its outlet

    def shut_off_Pa(self, ratio):
        moving = 0.5 * 1.2 * (self.c.label_share * self.fan.label_m3_s / self.c.outlet_m2) ** 2
        low, high = min(1.5 * moving, 30.0), min(4.0 * moving, 60.0)
        return (low + self.c.shut_off_place * (high - low)) * self.density / 1.2 * ratio**2

    def fan_m3_s(self, pressure_Pa, ratio):
        free = self.c.label_share * self.fan.label_m3_s * ratio
        return free * math.sqrt(max(0.0, 1.0 - pressure_Pa / self.shut_off_Pa(ratio)))

    def working_Pa(self, ratio, opening_m, door=False):
        return brentq(
            lambda p: self.fan_m3_s(p, ratio) - self.leaks(p, opening_m, door),
            0.0, self.shut_off_Pa(ratio), xtol=1e-9,
        )  # fmt: skip

    # air inside

    def co2_ppm(self, flow_m3_s):
        """Two mixed volumes, visit by visit, pause by pause; the share of the air that misses people is no air."""
        s, v, q = self.s, self.f.volume_m3, flow_m3_s * self.c.mixing
        warmer = (s.warm_C + 273.15) / 273.15 * 101325.0 / self.pressure_Pa
        given = 1e-3 * s.co2_L_s * self.c.co2_share * warmer

        def rate(people):
            def of(_, rise):
                room, hall = rise
                back = q * (room - hall)
                return [
                    (1e6 * given * people - back) / v,
                    0.0 if math.isinf(s.hall_m3) else back / s.hall_m3 - s.hall_changes_s * hall,
                ]

            return of

        state = [0.0, 0.0]
        for visit in range(s.visits):
            if visit:
                state = solve_ivp(rate(0.0), (0.0, s.pause_s), state, rtol=1e-8).y[:, -1]
            state = solve_ivp(rate(1.0), (0.0, s.visit_s), state, rtol=1e-8).y[:, -1]
        return s.background_ppm + state[0]

    def warm_C(self, flow_m3_s):
        """People give off warmth up to skin temperature, less of it the warmer it is; the fan's air and cloth carry it."""
        carried = flow_m3_s * self.density * 1006.0 + self.c.u_value * self.f.surface_m2
        people = self.s.people * self.c.person_W

        def spare(t):
            dry = min(1.0, max(0.0, (36.0 - t) / (36.0 - 24.0)))
            return carried * (t - self.s.warm_C) - people * dry - self.s.other_W

        return brentq(spare, self.s.warm_C, self.s.warm_C + 200.0, xtol=1e-9)

    def wet_bulb_C(self, flow_m3_s):
        t = self.warm_C(flow_m3_s)
        dry = min(1.0, max(0.0, (36.0 - t) / (36.0 - 24.0)))
        vapour_W = self.s.people * self.c.person_W * (1.0 / 0.6 - dry)
        ratio = self.drawn_ratio + vapour_W / (2.43e6 * self.density * flow_m3_s)
        return psychrolib.GetTWetBulbFromHumRatio(t, ratio, self.pressure_Pa)

    # times

    def fill_s(self, ratio, opening_m=0.0):
        p = self.hold_up_Pa()
        spare = self.fan_m3_s(p, ratio) - self.leaks(p, opening_m)
        return self.f.volume_m3 / spare if spare > 0.0 else math.inf

    def sink_s(self, opening_m, door, clips=False, flap=False, second_ratio=None):
        """Slice by slice from the floor up: each slice's air leaves at the pressure that the shell above it needs."""
        z, need, volume = self.slices
        at = self.f.radius_m[0] / math.sqrt(2.0)
        over = np.interp(at, np.asarray(self.f.radius_m)[::-1], np.asarray(self.f.height_m)[::-1])
        sunk = over - min(1.3, 0.75 * over)
        weight, time = self.shell_weight_N(), 0.0
        lost = np.flatnonzero(z < sunk)
        for some in np.array_split(lost, 60):
            p = weight * float(need[some].mean())
            out = self.leaks(p, 0.0 if clips else opening_m, door)
            out += self.orifice(self.c.outlet_m2 * self.c.idle_share, p) * (0.1 if flap else 1.0)
            if second_ratio is not None:
                out -= self.fan_m3_s(p, second_ratio)
            if out <= 0.0:
                return math.inf
            time += self.f.volume_m3 * volume[some].sum() / out
        return time

    def leave(self, kept):
        """Time to set off and walk, and what each person adds, the way out keeping a share of its height."""
        f, c = self.f, self.c
        height = f.way_height_m * kept
        upright = min(1.0, max(0.0, (height - 1.3) / (2.032 - 1.3)))
        posture = 0.4 * height / 1.3 if height < 1.3 else 0.6 + 0.4 * upright
        first = c.setting_off_s + (f.across_m / 0.6 + f.way_length_m / posture) / c.walk_m_s
        return first, 1.0 / (c.door_rate * (f.way_width_m - 0.15) * posture)


def namespace(**values):
    """Numbers by name."""
    return SimpleNamespace(**values)
