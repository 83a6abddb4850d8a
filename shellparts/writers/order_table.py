"""sewing_order.csv and the summary's key ``sewing``: who sews what to what, when, and what it takes."""

import csv
from pathlib import Path
from typing import Any

from shellparts.sewing.order_steps import SewingOrder, Step

__all__ = ["order_record", "write_sewing_order"]

_HEAD = (
    "step", "stage", "do", "seams", "edges", "sheets", "how", "length_mm", "bundle_sheets", "bundle_kg",
    "hands", "closes_tube", "ring_mm", "thread_m", "minutes",
)  # fmt: skip


def _row(step: Step) -> tuple[object, ...]:
    return (
        step.number,
        step.task.stage,
        step.task.action.value,
        " ".join(step.task.seams),
        " ".join(f"{sheet}:{part}" for sheet, part in (*step.task.edges, *step.task.patches)),
        " ".join(step.sheets),
        " / ".join(step.makes),
        f"{step.length_mm:.1f}",
        step.bundle_sheets,
        f"{step.bundle_kg:.2f}",
        step.hands,
        "yes" if step.closes_tube else "no",
        "" if step.ring_mm is None else f"{step.ring_mm:.1f}",
        f"{step.thread_m:.1f}",
        f"{step.minutes:.1f}",
    )


def write_sewing_order(order: SewingOrder, path: Path) -> None:
    """Write one row a step.

    Parameters
    ----------
    order : SewingOrder
    path : Path
        The file.
    """
    with path.open("w", encoding="utf-8", newline="") as file:
        writer = csv.writer(file, lineterminator="\n")
        writer.writerow(_HEAD)
        writer.writerows(_row(step) for step in order.steps)


def order_record(order: SewingOrder) -> dict[str, Any]:
    """The key ``sewing``.

    Parameters
    ----------
    order : SewingOrder

    Returns
    -------
    dict
    """
    return {
        "seam_length_mm": order.seam_length_mm,
        "hem_length_mm": order.hem_length_mm,
        "thread_m": order.thread_m,
        "time_h": order.hours,
        "most_hands": max(step.hands for step in order.steps),
        "heaviest_bundle_kg": max(step.bundle_kg for step in order.steps),
        "steps": [
            {
                "step": step.number,
                "stage": step.task.stage,
                "action": step.task.action.value,
                "seams": list(step.task.seams),
                "edges": [list(place) for place in step.task.edges],
                "patches": [list(place) for place in step.task.patches],
                "sheets": list(step.sheets),
                "length_mm": step.length_mm,
                "bundle_kg": step.bundle_kg,
                "hands": step.hands,
                "closes_tube": step.closes_tube,
                "thread_m": step.thread_m,
                "time_min": step.minutes,
            }
            for step in order.steps
        ],
    }
