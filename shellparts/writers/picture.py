"""A picture of the room as sewn, drawn without a screen.

Glossary: *OpenGL* is what draws; a machine without a screen needs its EGL form. The drawing runs in a process
of its own with a time limit, so that a graphics driver that fails can neither end nor hold up the build. The
same body gives the same bytes on one machine; another graphics driver may round a shade differently. What the
picture shows is arranged in `picture_scene`. Scene and picture go through pipes: a run that is killed leaves nothing.
"""

import os
import subprocess
import sys
from io import BytesIO
from pathlib import Path
from typing import Any

import numpy as np

from shellparts.base.errors import ShellpartsError
from shellparts.body.body import Body
from shellparts.writers import picture_render
from shellparts.writers.picture_scene import Scene, line_widths, picture_scene

__all__ = ["NoPictureError", "draw", "write_picture"]

_TIME_LIMIT_S = 120.0
#: Exit status of a Python program that met an error of its own.
_PYTHON_FAULT = 1


class NoPictureError(ShellpartsError):
    """This machine cannot draw pictures; the rest of the build does not need it."""


def _bytes_of(scene: Scene, size: tuple[int, int]) -> bytes:
    """A scene for the drawing process."""
    view = scene.view
    away = (scene.points - view.position) @ (view.target - view.position)
    away /= np.linalg.norm(view.target - view.position)
    arrays: dict[str, Any] = dict(
        points=scene.points,
        colours=scene.colours,
        triangles=scene.triangles,
        line_points=scene.line_points,
        line_colours=scene.line_colours,
        line_widths=line_widths(size[0]),
        **{f"lines_{number}": lines for number, lines in enumerate(scene.lines)},
        camera=np.array([view.position, view.target, view.up]),
        view_angle=np.degrees(view.view_angle),
        clip=np.array([max(0.5 * away.min(), 0.02 * away.max()), 1.1 * away.max()]),
        size=np.array(size),
    )
    stream = BytesIO()
    np.savez(stream, **arrays)
    return stream.getvalue()


def draw(scene: Scene, path: str | Path, size: tuple[int, int] = (1600, 1000)) -> None:
    """Draw a scene into a PNG file.

    Parameters
    ----------
    scene : Scene
    path : str or Path
        Of the file, which is replaced when the picture is complete.
    size : pair of int
        Width and height [pixel].

    Raises
    ------
    NoPictureError
        Where there is no OpenGL, or it fails, or takes too long.
    """
    environment = dict(os.environ)
    if sys.platform.startswith("linux"):
        environment.setdefault("VTK_DEFAULT_OPENGL_WINDOW", "vtkEGLRenderWindow")
    # -P: the drawing program must not find its neighbours in this folder in place of other modules.
    command = [sys.executable, "-P", str(Path(picture_render.__file__))]
    try:
        done = subprocess.run(
            command,
            env=environment,
            input=_bytes_of(scene, size),
            capture_output=True,
            timeout=_TIME_LIMIT_S,
            check=False,
        )
    except subprocess.TimeoutExpired as late:
        raise NoPictureError(f"drawing took more than {_TIME_LIMIT_S:g} s") from late
    if done.returncode == _PYTHON_FAULT:
        raise RuntimeError(f"the drawing program failed: {done.stderr.decode(errors='replace').strip()}")
    if done.returncode != 0:
        crashed = done.returncode != picture_render.NO_OPENGL
        how = f" (drawing ended with {done.returncode})" if crashed else ""
        raise NoPictureError(f"no OpenGL on this machine{how}")
    Path(path).write_bytes(done.stdout)


def write_picture(body: Body, path: str | Path, size: tuple[int, int] = (1600, 1000)) -> None:
    """Write a picture of the room as sewn, with a figure 1.2 m tall beside it.

    Parameters
    ----------
    body : Body
    path : str or Path
        Of the PNG file, which is replaced.
    size : pair of int
        Width and height [pixel].

    Raises
    ------
    NoPictureError
        Where there is no OpenGL, or it fails, or takes too long.
    """
    draw(picture_scene(body, size[0] / size[1]), path, size)
