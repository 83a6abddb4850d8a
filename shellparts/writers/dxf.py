"""DXF R2010 in millimetres, one layer a purpose; arcs stay arcs."""

import math
from collections.abc import Mapping
from pathlib import Path

import ezdxf
from ezdxf import units
from ezdxf.enums import TextEntityAlignment

from shellparts.drawing.strokes import Drawing, Layer

__all__ = ["write_dxf"]

#: Colour index and line type of each layer.
_STYLE = {
    Layer.CUTTING: (7, "CONTINUOUS"),
    Layer.SEWING: (5, "CONTINUOUS"),
    Layer.FOLD: (3, "DASHED"),
    Layer.OVERLAP: (30, "DASHED2"),
    Layer.NOTCH: (1, "CONTINUOUS"),
    Layer.CENTRE: (8, "CENTER"),
    Layer.PATCH: (6, "DASHED"),
    Layer.ARROW: (8, "CONTINUOUS"),
    Layer.CLIP: (34, "CONTINUOUS"),
    Layer.NAME: (7, "CONTINUOUS"),
    Layer.EDGE: (5, "CONTINUOUS"),
    Layer.STOCK: (7, "CONTINUOUS"),
    Layer.MARGIN: (30, "DASHED"),
    Layer.MEASURE: (5, "CONTINUOUS"),
    Layer.RULER: (8, "CONTINUOUS"),
}


def write_dxf(drawing: Drawing, path: Path, layers: Mapping[Layer, str] | None = None) -> None:
    """Write a drawing.

    Parameters
    ----------
    drawing : Drawing
        In millimetres.
    path : Path
        The file.
    layers : mapping, optional
        What each layer is called in the file, and which there are; all, by their own names, unless given.
    """
    names = {layer: layer.value for layer in _STYLE} if layers is None else layers
    fixed = ezdxf.options.write_fixed_meta_data_for_testing
    ezdxf.options.write_fixed_meta_data_for_testing = True
    try:
        document = ezdxf.new("R2010", setup=True)
        document.units = units.MM
        document.header["$MEASUREMENT"] = 1
        document.header["$LTSCALE"] = 10.0
        for layer, (colour, linetype) in _STYLE.items():
            if layer in names:
                document.layers.add(names[layer], color=colour, linetype=linetype)
        space = document.modelspace()
        for stroke in drawing.strokes:
            rows = [
                (x, y, bulge)
                for (x, y), bulge in zip(stroke.points.tolist(), stroke.bulges.tolist(), strict=True)
            ]
            space.add_lwpolyline(
                rows, format="xyb", close=stroke.closed, dxfattribs={"layer": names[stroke.layer]}
            )
        for label in drawing.labels:
            text = space.add_text(
                label.text, height=label.height_mm, dxfattribs={"layer": names[label.layer]}
            )
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
