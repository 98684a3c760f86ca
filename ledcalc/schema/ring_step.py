"""Whether the step between rings goes with the crop."""

from __future__ import annotations

from collections.abc import Iterator

from ledcalc.schema.record import RecordProblem, Records, form_of

__all__ = ["rings_fit_the_crop"]

MOST_RINGS = 20


def rings_fit_the_crop(records: Records) -> Iterator[RecordProblem]:
    """Say where the step is longer than the crop's shorter side, or so short that there were too many rings."""
    form = form_of(records, "fixture")
    step = form.get("ring_step_m")
    sides = [side for name in ("crop_width_m", "crop_depth_m") if isinstance(side := form.get(name), int | float)]
    if not isinstance(step, int | float) or len(sides) < 2:
        return
    longest, least = min(sides), min(sides) / MOST_RINGS
    if not least * (1.0 - 1e-9) <= step <= longest * (1.0 + 1e-9):
        yield RecordProblem(
            sheet="fixture",
            row=0,
            field="ring_step_m",
            problem=f"{step:g} m does not go with a crop whose shorter side is {longest:g} m",
            allowed=f"from {least:.3g} to {longest:.3g} m, or blank",
            rests_on=("fixture.crop_width_m", "fixture.crop_depth_m"),
        )
