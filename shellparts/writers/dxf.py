"""DXF R2010 in millimetres, one layer a purpose; arcs stay arcs."""

import math
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import ezdxf
import numpy as np
from ezdxf import units
from ezdxf.enums import TextEntityAlignment

from shellparts.drawing.dimensions import Dimension
from shellparts.drawing.strokes import Drawing, Layer
from shellparts.drawing.styles import CLOTH_LAYERS, STYLES

__all__ = ["write_dxf"]


_ALIGNED = {
    0.0: TextEntityAlignment.MIDDLE_LEFT,
    0.5: TextEntityAlignment.MIDDLE_CENTER,
    1.0: TextEntityAlignment.MIDDLE_RIGHT,
}
#: How dimensions look, apart from the height of their words: arrows, leads to and beyond their lines, per height.
_DIMENSION_STYLE = "ROOM"
_BY_LAYER = {"dimclrd": 256, "dimclre": 256, "dimclrt": 256}
_PARTS = {"dimasz": 1.2, "dimexo": 0.6, "dimexe": 0.6, "dimgap": 0.3}


def write_dxf(
    drawing: Drawing,
    path: Path,
    layers: Sequence[Layer] = CLOTH_LAYERS,
    dimensions: Sequence[Dimension] = (),
) -> None:
    """Write a drawing in millimetres, with these layers, whether something lies on them or not.

    Parameters
    ----------
    drawing : Drawing
    path : Path
        The file.
    layers : sequence of Layer
        All that it has.
    dimensions : sequence of Dimension
        Written as what CAD calls dimensions: they can be measured again, and their words stay with them.
    """
    fixed = ezdxf.options.write_fixed_meta_data_for_testing
    ezdxf.options.write_fixed_meta_data_for_testing = True
    try:
        document = ezdxf.new("R2010", setup=True if dimensions else ["linetypes"])
        document.units = units.MM
        document.header["$MEASUREMENT"] = 1
        document.header["$LTSCALE"] = 10.0
        for layer in layers:
            style = STYLES[layer]
            document.layers.add(layer.value, color=style.index, linetype=style.line_type)
        space = document.modelspace()
        for stroke in drawing.strokes:
            rows = [
                (x, y, bulge)
                for (x, y), bulge in zip(stroke.points.tolist(), stroke.bulges.tolist(), strict=True)
            ]
            on = {"layer": stroke.layer.value}
            space.add_lwpolyline(rows, format="xyb", close=stroke.closed, dxfattribs=on)
        for label in drawing.labels:
            text = space.add_text(label.text, height=label.height_mm, dxfattribs={"layer": label.layer.value})
            text.dxf.rotation = math.degrees(label.angle)
            text.set_placement(tuple(label.at.tolist()), align=_ALIGNED[label.align])
        if dimensions:
            _write_dimensions(document, space, dimensions)
        shown = [drawing, *(one.drawing for one in dimensions)]
        low = np.min([one.box[0] for one in shown], axis=0)
        high = np.max([one.box[1] for one in shown], axis=0)
        # Saving copies the model space's own extents into the header.
        space.reset_extents((*low.tolist(), 0.0), (*high.tolist(), 0.0))
        document.set_modelspace_vport(
            float((high - low).max()) * 1.1, center=tuple(((low + high) / 2).tolist())
        )
        # Declared here in a fixed order; ezdxf would go through a set, whose order changes from run to run.
        for kind in sorted(document.entitydb.dxf_types_in_use()):
            document.classes.add_class(kind)
        document.saveas(path)
    finally:
        ezdxf.options.write_fixed_meta_data_for_testing = fixed


def _write_dimensions(document: Any, space: Any, dimensions: Sequence[Dimension]) -> None:
    """Dimensions as entities of their own, each with the words that the printed drawing has."""
    document.dimstyles.duplicate_entry("EZDXF", _DIMENSION_STYLE)
    for one in dimensions:
        size = one.letters_mm
        sizes = {key: share * size for key, share in _PARTS.items()}
        made = space.add_linear_dim(
            base=tuple(one.on.tolist()),
            p1=tuple(one.start.tolist()),
            p2=tuple(one.end.tolist()),
            location=tuple(one.words_at.tolist()),
            text=one.words,
            angle=math.degrees(math.atan2(one.along[1], one.along[0])),
            dimstyle=_DIMENSION_STYLE,
            override={**sizes, "dimtxt": size, "dimtxsty": "Standard", "dimblk": "", **_BY_LAYER},
            dxfattribs={"layer": Layer.DIMENSION.value},
        )
        made.render()
