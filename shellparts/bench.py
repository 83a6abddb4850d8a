"""Speed, as ratios taken in one run: ``python -m shellparts.bench``.

Wall-clock times differ from machine to machine and from minute to minute; ratios to something done in the
same run differ less. Each figure is the best of a few tries. Nothing here is a test.
"""

import cProfile
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from functools import partial
from pathlib import Path

import numpy as np

from shellparts.openings import Doorway, Sleeve
from shellparts.parameters import Design, Flap, Head, Shell

__all__ = ["main"]


def _design(panels: int) -> Design:
    """A room like the shipped ones, with any number of panels."""
    return Design(
        name="bench",
        shell=Shell(panels=panels, across=8000, height=5000, wall=1200, stop_short=400),
        doorway=Doorway(width=800, height=1600, length=1500, head=Head.ARCHED, vent=500, flap=150),
        sleeve=Sleeve(diameter=250, length=1200, height=450, panel=panels // 2 + 1),
        flap=Flap(depth=300),
    )


def _best(work: Callable[[], object], tries: int) -> float:
    """Least wall-clock time of a few tries [s]."""
    times = []
    for _ in range(tries):
        start = time.perf_counter()
        work()
        times.append(time.perf_counter() - start)
    return min(times)


def _run(code: str, *arguments: str) -> float:
    """Wall-clock time of a new interpreter [s]."""
    start = time.perf_counter()
    subprocess.run([sys.executable, "-c", code, *arguments], check=True, capture_output=True)
    return time.perf_counter() - start


def _rebuild(design: Design, path: Path) -> None:
    """From parameters to DXF bytes."""
    from shellparts.build.room import build
    from shellparts.drawing.piece import draw_sheet_of_pieces
    from shellparts.writers.dxf import write_dxf

    write_dxf(draw_sheet_of_pieces(build(design).pattern.pieces), path)


def _kernel_share(work: Callable[[], object]) -> tuple[float, float]:
    """Time of one profiled run, and of that the time inside the kernel's own functions [s]."""
    profile = cProfile.Profile()
    profile.enable()
    work()
    profile.disable()
    rows = profile.getstats()
    kernel = sum(row.inlinetime for row in rows if isinstance(row.code, str) and "OCP." in row.code)
    return sum(row.inlinetime for row in rows), kernel


def _air() -> None:
    """Time the inflated forms, against one factorisation of the last matrix."""
    from shellparts.build.inflated import flat_pieces
    from shellparts.build.room import build
    from shellparts.inflate import Loads, Membrane, half_panel, whole_room
    from shellparts.inflate.factor import analysed
    from shellparts.inflate.form import mid_stations
    from shellparts.inflate.holds import frame_of
    from shellparts.inflate.levels import triangle_size
    from shellparts.inflate.potential import Potential
    from shellparts.inflate.room_mesh import room_sheet
    from shellparts.inflate.stiffness import Stiffness

    cloth, loads, room = Membrane(150e3, 120e3, 8e3, 0.2, 0.2), Loads(60, floor=True), build(_design(12))
    stations = mid_stations(room.design.shell)
    half = _best(lambda: half_panel(stations, 12, cloth, loads), 3)
    print(f"half a panel under air, 1,500 triangles: {half:.2f} s")
    flat = flat_pieces(room.body, room.outlines)
    for count in (10_000, 40_000):
        start = time.perf_counter()
        found = whole_room(flat, cloth, loads.pressure_Pa, triangle_size(flat, count))
        taken = time.perf_counter() - start
        sheet, holds = room_sheet(found.welded, cloth)
        stiffness = Stiffness(sheet.faces, frame_of(sheet, holds))
        form = Potential(sheet, loads).form(found.nodes)
        matrix = stiffness.matrix(*form.hessian())
        once = _best(partial(stiffness.factorise, matrix, 1e-6), 3)
        superlu = _best(partial(analysed(matrix, superlu=True), matrix.data), 1)
        print(
            f"whole room under air, {len(found.triangles):,} triangles: {found.state.value} in {taken:.1f} s, "
            f"{taken / once:.0f} times one factorisation ({once:.3f} s; SuperLU's takes {superlu:.2f} s)"
        )


def main() -> None:
    """Print the figures."""
    from shellparts.build.made import outlines_of
    from shellparts.build.room import build

    design = _design(12)
    body = build(design).body

    def unroll_all() -> int:
        return sum(len(loop.edges) for outline in outlines_of(body).values() for loop in outline.loops)

    edges = unroll_all()
    print(f"unroll: {_best(unroll_all, 5) / edges * 1e3:.2f} ms a boundary edge ({edges} edges)")

    with tempfile.TemporaryDirectory() as folder:
        kernel_import = min(_run("import cadquery") for _ in range(3))
        code = (
            "import sys; from shellparts.bench import _design; from shellparts.build.room import build; "
            "build(_design(12)).write(sys.argv[1])"
        )
        whole = min(_run(code, f"{folder}/out") for _ in range(3))
        print(f"make / import cadquery: {whole / kernel_import:.2f} ({whole:.2f} s / {kernel_import:.2f} s)")

        path = Path(folder) / "bench.dxf"

        def rebuild() -> None:
            _rebuild(design, path)

        rebuild()
        warm = _best(rebuild, 5)
        profiled, kernel = _kernel_share(rebuild)
        print(
            f"warm rebuild / its kernel calls: {warm / kernel:.2f} ({warm:.3f} s / {kernel:.3f} s inside the "
            f"kernel's functions, by the profiler, under which the rebuild took {profiled:.3f} s)"
        )

        counts = [8, 16, 32, 64]
        times = [_best(partial(_rebuild, _design(n), path), 3) for n in counts]
        exponent = float(np.polyfit(np.log(counts), np.log(times), 1)[0])
        listed = ", ".join(f"{n}: {t:.3f} s" for n, t in zip(counts, times, strict=True))
        print(f"growth of the rebuild from 8 to 64 panels: exponent {exponent:.2f} ({listed})")
    _air()


if __name__ == "__main__":
    main()
