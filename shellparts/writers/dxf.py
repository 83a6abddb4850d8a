"""DXF R2010 in millimetres, one layer a purpose; arcs stay arcs."""

import math
from collections.abc import Sequence
from pathlib import Path

import ezdxf
from ezdxf import units
from ezdxf.enums import TextEntityAlignment

from shellparts.drawing.strokes import Drawing, Layer
from shellparts.drawing.styles import CLOTH_LAYERS, STYLES

__all__ = ["write_dxf"]


def write_dxf(drawing: Drawing, path: Path, layers: Sequence[Layer] = CLOTH_LAYERS) -> None:
    """Write a drawing in millimetres, with these layers, whether something lies on them or not."""
    fixed = ezdxf.options.write_fixed_meta_data_for_testing
    ezdxf.options.write_fixed_meta_data_for_testing = True
    try:
        document = ezdxf.new("R2010", setup=True)
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
            text.set_placement(tuple(label.at.tolist()), align=TextEntityAlignment.MIDDLE_CENTER)
        low, high = drawing.box
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
