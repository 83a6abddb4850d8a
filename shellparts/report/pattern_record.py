"""summary.json: every number of the run, with the unit at the end of its key."""

import json
import math
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from shellparts.pattern.made import Pattern
from shellparts.pattern.pieces import Piece

__all__ = ["pattern_record", "summary_text", "write_summary"]


def _rounded(value: Any) -> Any:
    """Twelve significant digits, which a double holds exactly enough to print the same everywhere."""
    if isinstance(value, float):
        if not math.isfinite(value):
            raise ValueError("a summary holds finite numbers only")
        return float(f"{value:.12g}")
    if isinstance(value, Mapping):
        return {key: _rounded(item) for key, item in value.items()}
    if isinstance(value, list | tuple):
        return [_rounded(item) for item in value]
    return value


def _piece_record(piece: Piece) -> dict[str, Any]:
    width, length = piece.extent_mm
    return {
        "name": piece.name,
        "part": piece.kind.word,
        "count": piece.count,
        "sheets": list(piece.sheets),
        "mirror_of": piece.mirror_of,
        "faces": piece.outline.faces,
        "sewing_area_m2": piece.outline.flat_area_mm2 / 1e6,
        "face_area_m2": piece.outline.face_area_mm2 / 1e6,
        "sewing_perimeter_mm": piece.outline.perimeter_mm,
        "closure_mm": piece.outline.closure_mm,
        "cut_area_m2": piece.cut_area_mm2 / 1e6,
        "length_mm": length,
        "width_mm": width,
        "edges": [
            {
                "id": edge.id,
                "length_mm": edge.length_mm,
                "face_edge_length_mm": edge.solid_length_mm,
                "kind": edge.role.value,
                "seam": edge.seams[0] if edge.seams else None,
                "seams": list(edge.seams),
                "allowance_mm": edge.allowance_mm,
            }
            for edge in piece.all_edges
        ]
        + [
            {
                "id": f"f{i}",
                "length_mm": fold.edge.length_mm,
                "face_edge_length_mm": fold.edge.solid_length_mm,
                "kind": "fold",
                "seam": None,
                "angle_deg": math.degrees(fold.angle_rad),
            }
            for i, fold in enumerate(piece.outline.folds, 1)
        ],
    }


def _patch_record(patch: Piece, pattern: Pattern) -> dict[str, Any]:
    width, length = patch.extent_mm
    return {
        "name": patch.name,
        "count": patch.count,
        "cut_area_m2": patch.cut_area_mm2 / 1e6,
        "length_mm": length,
        "width_mm": width,
        "on": [
            {"piece": host.name, "x_mm": float(placed.at[0]), "y_mm": float(placed.at[1])}
            for host in pattern.pieces
            for placed in host.patches
            if placed.name == patch.name
        ],
    }


def pattern_record(pattern: Pattern) -> dict[str, Any]:
    """The keys ``pieces``, ``patches`` and ``seams`` of ``summary.json``."""
    return {
        "pieces": [_piece_record(piece) for piece in pattern.pieces],
        "patches": [_patch_record(patch, pattern) for patch in pattern.patches],
        "seams": [
            {
                "id": seam.id,
                "pieces": list(seam.pieces),
                "edges": list(seam.edges),
                "sheets": list(seam.sheets),
                "length_a_mm": seam.lengths_mm[0],
                "length_b_mm": seam.lengths_mm[1],
                "mismatch_mm": seam.mismatch_mm,
                "notches": seam.notches,
                "allowance_mm": seam.allowance_mm,
                "kind": seam.kind.value,
                "allowance_a_mm": seam.allowances_mm[0],
                "allowance_b_mm": seam.allowances_mm[1],
            }
            for seam in pattern.seams
        ],
    }


def summary_text(record: Mapping[str, Any]) -> str:
    """A summary, which is plain data, as JSON text."""
    return json.dumps(_rounded(record), indent=1, ensure_ascii=True, allow_nan=False) + "\n"


def write_summary(record: Mapping[str, Any], path: Path) -> None:
    """Write a summary, which is plain data."""
    path.write_text(summary_text(record), encoding="utf-8", newline="\n")
