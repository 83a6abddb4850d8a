"""A picture, drawn without a screen.

Glossary: *OpenGL* is what draws; a machine without a screen needs its EGL form. The drawing runs in a process
of its own with a time limit, so that a graphics driver that fails can neither end nor hold up the build. The
same body gives the same bytes on one machine; another graphics driver may round a shade differently. What the
picture shows is arranged in `picture_scene`. Scene and picture go through pipes: a run that is killed leaves nothing.
"""

import os
import pickle
import subprocess
import sys
from pathlib import Path

import attrs

from shellparts.base.errors import ShellpartsError
from shellparts.writers import picture_render
from shellparts.writers.picture_scene import Scene

__all__ = ["NoPictureError", "draw"]

_TIME_LIMIT_S = 120.0
#: Exit status of a Python program that met an error of its own.
_PYTHON_FAULT = 1


class NoPictureError(ShellpartsError):
    """This machine cannot draw pictures; the rest of the build does not need it."""


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
            input=pickle.dumps((attrs.asdict(scene, recurse=False), size)),
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
