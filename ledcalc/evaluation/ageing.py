"""How the boards' light falls over the hours lit, by the maintenance tables that they name."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from ledcalc.arguments import FloatArray
from ledcalc.evaluation.parts import PlacedBoard
from ledcalc.fixture import Fixture
from ledcalc.model_curves import maintenance_tests
from ledcalc.photons import MaintenanceAt, maintenance_among_tests, ppfd_for_dose
from ledcalc.results import AgeingResults, Assumption

__all__ = ["ageing_assumptions", "ageing_results"]

NO_TABLE = "names no maintenance table: not projected"
# Less than this is the dust of a fixture without load.
DARK_UMOL_M2_S = 1e-6


def ageing_results(
    fixture: Fixture,
    placed: Sequence[PlacedBoard],
    temperature_c: FloatArray,
    light_umol_m2_s: FloatArray,
) -> AgeingResults | None:
    """Return the boards' ageing at their temperatures; None where no board on the fixture names a table.

    ``light_umol_m2_s``: what each board adds to the mean PPFD, its likes in other fixtures included.
    """
    tables = tuple(board.model.maintenance for board in placed)
    tests = {tag: maintenance_tests(tag, fixture.maintenance) for tag in dict.fromkeys(tables) if tag is not None}
    if not tests:
        return None
    boards = tuple(
        MaintenanceAt(fit=None, basis=NO_TABLE) if tag is None else maintenance_among_tests(tests[tag], float(warm))
        for tag, warm in zip(tables, temperature_c, strict=True)
    )
    total = float(light_umol_m2_s.sum())
    is_lit = total > DARK_UMOL_M2_S
    limits = [np.nan if at.fit is None else at.fit.limit_h for at in boards]
    return AgeingResults(
        tables=tables,
        tests=tests,
        boards=boards,
        share_of_ppfd_fraction=light_umol_m2_s / total if is_lit else np.full(len(placed), np.nan),
        limit_h=float(np.min(limits)),
        held_ppfd_umol_m2_s=_held(fixture),
        reason=_reason(placed, boards, is_lit=is_lit),
    )


def ageing_assumptions(fixture: Fixture, ageing: AgeingResults | None) -> tuple[Assumption, ...]:
    """Return what the projection takes for granted; nothing where there is none."""
    if ageing is None:
        return ()
    found = [
        ("maintenance", "LEDs only", "dirt, optics, drivers and dead boards take light away on top"),
        (
            "maintenance",
            "as many hours at today's currents",
            "running dimmed ages less than that, which is not counted",
        ),
        ("boards", "a board's temperature is that which the test measured its LEDs at", "LED and board differ little"),
    ]
    for tag, tests in ageing.tests.items():
        for test in tests:
            rows = [row for row in fixture.maintenance if row.tag == tag and row.temperature_c == test.temperature_c]
            if all(row.units_count is None for row in rows):
                what = f"{tag} at {test.temperature_c:g} degC: {test.unit_count} units tested"
                found.append(("maintenance", what, "not given; the usual number stands in"))
    return tuple(Assumption(path=path, cell="", value=what, reason=why) for path, what, why in found)


def _held(fixture: Fixture) -> float:
    site = fixture.site
    if site.target_ppfd_umol_m2_s is not None:
        return site.target_ppfd_umol_m2_s
    if site.target_dli_low_mol_m2_d is not None:
        return float(ppfd_for_dose(site.target_dli_low_mol_m2_d, site.photoperiod_h))
    return float("nan")


def _reason(placed: Sequence[PlacedBoard], boards: Sequence[MaintenanceAt], *, is_lit: bool) -> str:
    if not is_lit:
        return "no light reaches the crop"
    lacking = [(board.place.tag, at.basis) for board, at in zip(placed, boards, strict=True) if at.fit is None]
    if not lacking:
        return ""
    tag, basis = lacking[0]
    others = f", and {len(lacking) - 1} more" if len(lacking) > 1 else ""
    return f"{tag} {'is ' if basis.startswith('hotter') else ''}{basis}{others}"
