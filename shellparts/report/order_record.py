"""The summary's key ``sewing``: who sews what to what, when, and what it takes."""

from typing import Any

from shellparts.sewing.hours import WorkHours
from shellparts.sewing.order_steps import SewingOrder

__all__ = ["order_record"]


def order_record(order: SewingOrder, hours: WorkHours | None = None) -> dict[str, Any]:
    """The key ``sewing`` of the summary, as plain data."""
    work = (
        {}
        if hours is None
        else {"marking_h": hours.marking_h, "cutting_h": hours.cutting_h, "work_h": hours.all_h}
    )
    return {
        **work,
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
