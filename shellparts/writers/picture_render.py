"""Draw an arranged scene, without a screen: the scene on standard input, the PNG on standard output.

Glossary: a *scene* is a file of arrays: coloured triangles, coloured lines, a camera; see `picture_scene`.
*Supersampling* draws larger and averages, which smooths edges the same way on every graphics card. A graphics
library that finds no OpenGL may end its process; therefore this module runs in a process of its own, imports
nothing of the library, and loads the graphics library only when asked. It knows nothing of rooms: it draws
what it is given.
"""

import os
import signal
import sys
from collections.abc import Mapping
from io import BytesIO
from typing import Any

import numpy as np
from numpy.typing import NDArray

__all__ = ["NO_OPENGL", "SUPERSAMPLING", "main", "render"]

#: Exit status where there is no OpenGL.
NO_OPENGL = 3
#: Pixels drawn for one pixel of the picture, each way.
SUPERSAMPLING = 3

Array = NDArray[np.float64]


def _colours(values: Array) -> Any:
    from vtkmodules.util.numpy_support import numpy_to_vtk

    levels = np.rint(255 * np.clip(values, 0, 1)).astype(np.uint8)
    return numpy_to_vtk(levels, deep=True)


def _points(values: Array) -> Any:
    from vtkmodules.util.numpy_support import numpy_to_vtk
    from vtkmodules.vtkCommonCore import vtkPoints

    points = vtkPoints()
    points.SetDataTypeToDouble()
    points.SetData(numpy_to_vtk(np.ascontiguousarray(values, float), deep=True))
    return points


def _cells(numbers: NDArray[np.int64]) -> Any:
    """Cells of the same number of points, shape (n, k)."""
    from vtkmodules.util.numpy_support import numpy_to_vtkIdTypeArray
    from vtkmodules.vtkCommonDataModel import vtkCellArray

    cells = vtkCellArray()
    offsets = np.arange(0, numbers.size + 1, numbers.shape[1], dtype=np.int64)
    flat = np.ascontiguousarray(numbers.ravel(), np.int64)
    cells.SetData(numpy_to_vtkIdTypeArray(offsets, deep=True), numpy_to_vtkIdTypeArray(flat, deep=True))
    return cells


def _actor(points: Array, colours: Array, cells: NDArray[np.int64], width: float = 1.0) -> Any:
    """Triangles, seen from their outer side only, or line segments; in their own colours, without light."""
    from vtkmodules.vtkCommonDataModel import vtkPolyData
    from vtkmodules.vtkRenderingCore import vtkActor, vtkPolyDataMapper

    data = vtkPolyData()
    data.SetPoints(_points(points))
    if cells.shape[1] == 2:
        data.SetLines(_cells(cells))
    else:
        data.SetPolys(_cells(cells))
    data.GetPointData().SetScalars(_colours(colours))
    mapper, actor = vtkPolyDataMapper(), vtkActor()
    mapper.SetInputData(data)
    actor.SetMapper(mapper)
    look = actor.GetProperty()
    look.LightingOff()
    look.SetLineWidth(width)
    look.SetBackfaceCulling(cells.shape[1] == 3)
    return actor


def render(scene: Mapping[str, Any]) -> bytes | None:
    """Draw a scene.

    Parameters
    ----------
    scene : mapping
        `points`, `colours`, `triangles`; `line_points`, `line_colours`, and `lines_0`, `lines_1` and so on
        with the widths `line_widths` [pixel]; `camera`, shape (3, 3): position, target, up; `view_angle`
        [deg], upright; `clip`: nearest and farthest distance; `size`: width and height [pixel].

    Returns
    -------
    bytes or None
        A PNG file; None where there is no OpenGL.
    """
    import vtkmodules.vtkRenderingOpenGL2  # noqa: F401 - brings the drawing itself
    from vtkmodules.vtkRenderingCore import vtkRenderer, vtkRenderWindow

    window, renderer = vtkRenderWindow(), vtkRenderer()
    window.SetOffScreenRendering(True)
    window.SetMultiSamples(0)
    width, height = (int(n) for n in scene["size"])
    window.SetSize(width * SUPERSAMPLING, height * SUPERSAMPLING)
    if not window.SupportsOpenGL():
        return None
    renderer.SetBackground(1, 1, 1)
    renderer.AddActor(_actor(scene["points"], scene["colours"], scene["triangles"]))
    for number, line_width in enumerate(scene["line_widths"]):
        lines = scene[f"lines_{number}"]
        if len(lines):
            actor = _actor(
                scene["line_points"], scene["line_colours"], lines, float(line_width) * SUPERSAMPLING
            )
            renderer.AddActor(actor)
    camera = renderer.GetActiveCamera()
    position, target, up = scene["camera"].tolist()
    camera.SetPosition(position)
    camera.SetFocalPoint(target)
    camera.SetViewUp(up)
    camera.SetViewAngle(float(scene["view_angle"]))
    camera.SetClippingRange(*scene["clip"].tolist())
    window.AddRenderer(renderer)
    window.Render()
    return _png(window, width, height)


def _png(window: Any, width: int, height: int) -> bytes:
    """Average the supersampled pixels of a window."""
    from vtkmodules.util.numpy_support import numpy_to_vtk, vtk_to_numpy
    from vtkmodules.vtkCommonCore import vtkUnsignedCharArray
    from vtkmodules.vtkCommonDataModel import vtkImageData
    from vtkmodules.vtkIOImage import vtkPNGWriter

    n, pixels = SUPERSAMPLING, vtkUnsignedCharArray()
    window.GetPixelData(0, 0, width * n - 1, height * n - 1, 1, pixels, 0)
    fine = vtk_to_numpy(pixels).reshape(height, n, width, n, 3)
    coarse = ((fine.sum(axis=(1, 3), dtype=np.uint16) + n * n // 2) // (n * n)).astype(np.uint8)
    image, writer = vtkImageData(), vtkPNGWriter()
    image.SetDimensions(width, height, 1)
    image.GetPointData().SetScalars(numpy_to_vtk(coarse.reshape(-1, 3), deep=True))
    writer.WriteToMemoryOn()
    writer.SetInputData(image)
    writer.Write()
    return bytes(vtk_to_numpy(writer.GetResult()))


def main() -> int:
    """Draw the scene on standard input into a PNG on standard output; give the exit status.

    Returns
    -------
    int
    """
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # Ctrl-C is for the run that asked, which may go on
    picture_out = os.dup(1)
    os.dup2(2, 1)  # a driver that talks does not talk into the picture
    try:
        import vtkmodules.vtkRenderingOpenGL2  # noqa: F401 - not there where the system has no OpenGL library
    except ImportError:
        return NO_OPENGL
    with np.load(BytesIO(sys.stdin.buffer.read())) as scene:
        drawn = render(scene)
    if drawn is None:
        return NO_OPENGL
    with os.fdopen(picture_out, "wb") as stream:
        stream.write(drawn)
    return 0


if __name__ == "__main__":
    sys.exit(main())
