"""Draw a scene with VTK, without a screen: the scene on standard input, the PNG on standard output.

Glossary: *supersampling* draws larger and averages, which smooths edges the same way on every graphics card.
A graphics library that finds no OpenGL may end its process; therefore this module runs in a process of its
own, imports nothing of the library, and loads the graphics library only when asked. It knows nothing of
rooms: it puts what it is given on a floor with a line every metre.
"""

import math
import os
import pickle
import signal
import sys
from collections.abc import Sequence
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

__all__ = ["NO_OPENGL", "main"]

#: Exit status where there is no OpenGL.
NO_OPENGL = 3
#: Pixels drawn for one pixel of the picture, each way.
_FINE = 3

Array = NDArray[np.float64]

_FLOOR, _SHADOW = np.array([0.950, 0.940, 0.920]), (0.79, 0.79, 0.81)
#: Share of the picture that the room and the figure may fill, each way.
_FILLED = 0.86
#: How far the viewer and the lights stand round and up [rad]; the lights from the viewer, the first on the
#: doorway's side.
_ELEVATION = math.radians(14.0)
_KEY, _FILL = np.radians([-32.0, 46.0]), np.radians([50.0, 15.0])


def _direction(azimuth: float, elevation: float) -> Array:
    flat = math.cos(elevation)
    return np.array([flat * math.cos(azimuth), flat * math.sin(azimuth), math.sin(elevation)])


def _cells(sizes: ArrayLike, numbers: ArrayLike) -> Any:
    """Cells of so many points each, and the numbers of their points one after the other."""
    from vtkmodules.util.numpy_support import numpy_to_vtkIdTypeArray
    from vtkmodules.vtkCommonDataModel import vtkCellArray

    cells = vtkCellArray()
    ends = np.concatenate([[0], np.cumsum(sizes)]).astype(np.int64)
    cells.SetData(*(numpy_to_vtkIdTypeArray(n, deep=True) for n in (ends, np.array(numbers, np.int64))))
    return cells


def _actor(points: Array, colours: ArrayLike, **look: Any) -> Any:
    """Points in their colours, one or one each, without cells and without light unless `look` says so."""
    from vtkmodules.util.numpy_support import numpy_to_vtk
    from vtkmodules.vtkCommonDataModel import vtkPolyData
    from vtkmodules.vtkRenderingCore import vtkActor, vtkPolyDataMapper

    data, mapper = vtkPolyData(), vtkPolyDataMapper()
    data.points = np.ascontiguousarray(points, np.float64)
    levels = np.rint(255 * np.broadcast_to(colours, points.shape)).astype(np.uint8)
    data.GetPointData().SetScalars(numpy_to_vtk(levels, deep=True))
    mapper.SetInputData(data)
    actor = vtkActor(mapper=mapper)
    for name, value in ({"lighting": False} | look).items():
        setattr(actor.property, name, value)
    return actor


def _surface(points: Array, colours: ArrayLike, triangles: NDArray[np.int64], **look: Any) -> Any:
    """Triangles, smooth where they share points."""
    from vtkmodules.vtkFiltersCore import vtkPolyDataNormals

    actor = _actor(points, colours, **look)
    actor.mapper.GetInput().SetPolys(_cells(np.full(len(triangles), 3), triangles.ravel()))
    smooth = vtkPolyDataNormals(splitting=False, consistency=False)
    smooth.SetInputData(actor.mapper.GetInput())
    actor.mapper.SetInputConnection(smooth.GetOutputPort())
    return actor


def _lines(paths: Sequence[Array], colours: ArrayLike, width: float) -> Any:
    actor = _actor(np.concatenate(paths), colours, line_width=width)
    sizes = [len(path) for path in paths]
    actor.mapper.GetInput().SetLines(_cells(sizes, np.arange(sum(sizes))))
    return actor


def _floor(low: Array, high: Array, width: float) -> list[Any]:
    """A pale plane that fades into white, and its lines every metre."""
    centre, size = (low + high)[:2] / 2, float(np.hypot(*(high - low)[:2]))
    x, y = (1000.0 * np.arange(*np.round(np.array([c - 1.1 * size, c + 1.1 * size]) / 1000)) for c in centre)
    plan = np.stack([*np.meshgrid(x, y, indexing="ij"), np.zeros((len(x), len(y)))], axis=-1)
    away = np.clip((np.hypot(*(plan[..., :2] - centre).T).T / size - 0.45) / 0.60, 0, 1)[..., None]
    fade = away * away * (3 - 2 * away)
    tone = _FLOOR * (1 - fade) + fade
    number = np.arange(len(x) * len(y)).reshape(len(x), len(y))
    corners = [number[:-1, :-1], number[1:, :-1], number[1:, 1:], number[:-1, 1:]]
    triangles = np.stack([corners[k] for k in (0, 1, 2, 0, 2, 3)], axis=-1).reshape(-1, 3)
    plane = _surface(plan.reshape(-1, 3), tone.reshape(-1, 3), triangles)
    shades = tone * (0.90 + 0.10 * fade)
    return [
        plane,
        _lines([*plan], shades.reshape(-1, 3), width),
        _lines([*plan.transpose(1, 0, 2)], shades.transpose(1, 0, 2).reshape(-1, 3), width),
    ]


def _shadow(points: Array, triangles: NDArray[np.int64], light: Array) -> Any:
    """What lies flat on the floor, away from the light."""
    flat = points - points[:, 2:] * (light / light[2])
    return _surface(flat, _SHADOW, triangles)


def _scale(title: str, top: float, inks: Sequence[Array], fine: float) -> Any:
    """A bar in the lower left corner that says what the colours mean, from 0 to top."""
    import vtkmodules.vtkRenderingFreeType  # noqa: F401 - letters
    from vtkmodules.util.numpy_support import numpy_to_vtk
    from vtkmodules.vtkRenderingAnnotation import vtkScalarBarActor
    from vtkmodules.vtkRenderingCore import vtkColorTransferFunction

    colours = vtkColorTransferFunction()
    for value, ink in zip((0.0, top), inks, strict=True):
        colours.AddRGBPoint(value, *ink)
    # An empty line keeps the title clear of the numbers.
    bar = vtkScalarBarActor(lookup_table=colours, title=f"\n{title}", maximum_number_of_colors=256)
    bar.SetOrientationToHorizontal()
    bar.SetTextPositionToPrecedeScalarBar()
    bar.position, bar.position2 = (0.02, 0.0), (0.26, 0.075)
    bar.unconstrained_font_size, bar.bar_ratio, bar.text_pad = True, 0.2, round(4 * fine)
    step = 10.0 ** math.floor(math.log10(top / 2.5))
    step = max(many * step for many in (1, 2, 5) if many * step <= top / 2.5)
    bar.custom_labels = numpy_to_vtk(np.arange(0.0, top * 1.001, step), deep=True)
    bar.use_custom_labels, bar.label_format = True, "{:g}"
    for letters in (bar.title_text_property, bar.label_text_property):
        letters.color, letters.font_size = (0.24, 0.21, 0.20), round(17 * fine)
        letters.bold = letters.italic = letters.shadow = False
    return bar


def _aim(renderer: Any, toward: Array, points: Array) -> Any:
    """The camera in a direction, from where all points just fill the picture."""
    camera = renderer.active_camera
    camera.position, camera.focal_point, camera.view_up = toward, (0.0, 0.0, 0.0), (0.0, 0.0, 1.0)
    renderer.ResetCamera([*np.stack([points.min(axis=0), points.max(axis=0)]).T.ravel()])
    matrix = camera.GetCompositeProjectionTransformMatrix(renderer.GetTiledAspectRatio(), -1, 1)
    seen = np.column_stack([points, np.ones(len(points))]) @ np.array(matrix.GetData()).reshape(4, 4).T
    flat = seen[:, :2] / seen[:, 3:]
    low, high = flat.min(axis=0), flat.max(axis=0)
    opening = (high - low).max() / 2 / _FILLED
    camera.window_center = (low + high) / 2 / opening
    half = math.radians(camera.view_angle) / 2
    camera.view_angle = 2 * math.degrees(math.atan(opening * math.tan(half)))
    away = seen[:, 3]  # lengths along the view
    camera.clipping_range = (0.5 * away.min(), 1.5 * away.max())
    return camera


def _png(window: Any) -> bytes:
    from vtkmodules.util.numpy_support import vtk_to_numpy
    from vtkmodules.vtkImagingCore import vtkImageShrink3D
    from vtkmodules.vtkIOImage import vtkPNGWriter
    from vtkmodules.vtkRenderingCore import vtkWindowToImageFilter

    grab, shrink, writer = vtkWindowToImageFilter(), vtkImageShrink3D(), vtkPNGWriter()
    grab.SetInput(window)
    grab.ReadFrontBufferOff()
    shrink.SetShrinkFactors(_FINE, _FINE, 1)
    shrink.SetInputConnection(grab.GetOutputPort())
    writer.SetInputConnection(shrink.GetOutputPort())
    writer.WriteToMemoryOn()
    writer.Write()
    return bytes(vtk_to_numpy(writer.GetResult()))


def _render(scene: dict[str, Any], size: tuple[int, int]) -> bytes | None:
    """A PNG file of a `picture_scene.Scene`; None where there is no OpenGL."""
    from vtkmodules.vtkRenderingCore import vtkActor, vtkLight, vtkRenderer, vtkRenderWindow

    window = vtkRenderWindow(off_screen_rendering=True, multi_samples=0, size=[n * _FINE for n in size])
    if not window.SupportsOpenGL():
        return None
    renderer = vtkRenderer(background=(1, 1, 1), automatic_light_creation=False)
    window.AddRenderer(renderer)
    points, triangles, azimuth = scene["points"], scene["triangles"], scene["azimuth"]
    side = math.copysign(1.0, math.sin(azimuth))
    key, fill = (_direction(azimuth + side * turn, up) for turn, up in (_KEY, _FILL))
    for toward, strength in ((key, 0.40), (fill, 0.20)):
        light = vtkLight(intensity=strength, positional=False, focal_point=(0, 0, 0))
        light.SetPosition(*toward)
        renderer.AddLight(light)
    outside = _surface(points, scene["colours"], triangles, lighting=True, ambient=0.55, diffuse=1.0)
    inside = vtkActor(mapper=outside.mapper)
    inside.property.ambient, inside.property.diffuse = 0.62 * 0.55, 0.62
    outside.property.backface_culling = inside.property.frontface_culling = True
    fine = _FINE * size[0] / 1600
    plane, *grid = _floor(points.min(axis=0), points.max(axis=0), fine)
    seams = [_lines(paths, colour, width * fine) for (width, colour), paths in scene["lines"].items()]
    camera = _aim(renderer, _direction(azimuth, _ELEVATION), points)
    flat = [_shadow(points, triangles, key)]
    # What lies in a face is drawn a little nearer to the viewer, so that the face does not hide it.
    for lift, actors in ((0.0, (plane, outside, inside)), (2e-4, flat), (4e-4, grid), (1.2e-3, seams)):
        for actor in actors:
            actor.origin, actor.scale = camera.position, (1.0 - lift,) * 3
            renderer.AddActor(actor)
    if scene["scale"] is not None:
        words, top, inks = scene["scale"]
        renderer.AddActor(_scale(words, top, inks, fine))
    window.Render()
    return _png(window)


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
    drawn = _render(*pickle.load(sys.stdin.buffer))
    if drawn is None:
        return NO_OPENGL
    with os.fdopen(picture_out, "wb") as stream:
        stream.write(drawn)
    return 0


if __name__ == "__main__":
    sys.exit(main())
