"""The rule about how much of a board's power its inputs make light."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import fields
from typing import cast

import numpy as np

from ledcalc.arguments import FloatArray
from ledcalc.checks.limits import OVER, limit, limit_source
from ledcalc.findings import Finding
from ledcalc.fixture import BoardModel, Fixture
from ledcalc.results import BoardResults, Evaluation
from ledcalc.schema import Value

__all__ = ["light_share_high", "light_share_of"]

DEFAULT_UMOL_PER_J = cast(
    float, next(entry.default for entry in fields(BoardModel) if entry.name == "photons_per_joule_umol_per_j")
)
EFFICACY = (
    "the efficacy of the datasheet (umol per joule of electricity) is photon flux / (voltage x current) of a Board "
    "points row"
)


def light_share_high(fixture: Fixture, results: Evaluation) -> Iterator[Finding]:
    """A board's light takes more of its electrical power than LEDs do, so that hardly any heat is left."""
    boards, most = results.boards, limit("light_share_fraction")
    share = light_share_of(boards.power_w, boards.heat_w)
    for row, model in enumerate(fixture.boards):
        own = [number for number, name in enumerate(boards.model) if name == model.tag]
        if not own or not share[own].max() > most * OVER:
            continue
        top = own[int(np.argmax(share[own]))]
        path, remedy, changes = _to_mend(fixture, row, boards, top)
        yield Finding(
            code="light-share-high",
            severity="act",
            path=path,
            message=f"{share[top]:.0%} of the power of {boards.tag[top]} ({model.tag}) would leave as light, and only "
            f"{boards.heat_w[top]:.2g} W of {boards.power_w[top]:.3g} W as heat: it would be far hotter than the "
            "results say.",
            value=float(share[top]),
            limit=most,
            unit="1",
            remedy=remedy,
            basis=limit_source("light_share_fraction"),
            changes=changes,
        )


def light_share_of(power_w: FloatArray, heat_w: FloatArray) -> FloatArray:
    """Return the share of each board's power that is not heat; 0 for a dark board."""
    return np.asarray((power_w - heat_w) / np.maximum(power_w, 1e-12))


def _to_mend(fixture: Fixture, row: int, boards: BoardResults, top: int) -> tuple[str, str, dict[str, Value]]:
    """Return the cell that is off, the remedy and its changes: the Boards cell where it is given, else the points."""
    model = fixture.boards[row]
    if model.spectrum is None and model.photons_per_joule_umol_per_j != DEFAULT_UMOL_PER_J:
        path = f"boards[{row}].photons_per_joule_umol_per_j"
        remedy = (
            f"leave the cell blank ({DEFAULT_UMOL_PER_J:g} umol/J) or give the spectrum's value (4.6 to 5.0 for white "
            f"light); {EFFICACY}"
        )
        return path, remedy, {path: DEFAULT_UMOL_PER_J}
    points = [number for number, point in enumerate(fixture.board_points) if point.board == model.tag]
    near = min(points, key=lambda number: abs(fixture.board_points[number].current_a - float(boards.current_a[top])))
    point = fixture.board_points[near]
    efficacy = model.flux_fraction * point.photon_flux_umol_s / (point.voltage_v * point.current_a)
    remedy = (
        f"check flux, voltage and current of the points: that at {point.current_a:g} A has {efficacy:.2f} umol/J; "
        f"{EFFICACY}"
    )
    return f"board_points[{near}].photon_flux_umol_s", remedy, {}
