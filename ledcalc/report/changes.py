"""What changed since an earlier version of the same fixture: inputs, figures, findings, and what was measured."""

from __future__ import annotations

from ledcalc.results import Evaluation, LightSurvey
from ledcalc.variants.compare import compare_fixtures
from ledcalc.workbook.results.pages import Block, Col, Table
from ledcalc.workbook.results.side_by_side import difference_blocks

__all__ = ["changes_since"]

BEFORE, NOW = "before", "now"
# Maps at heights this close are maps of one height.
SAME_HEIGHT_M = 0.005


def changes_since(earlier: Evaluation, results: Evaluation) -> tuple[Block, ...]:
    """Return every input, figure and finding that differs, and the light read at heights that both have.

    Parameters
    ----------
    earlier, results : from ``evaluate``: the version before, and the one reported

    Raises
    ------
    ArgumentError (a ValueError): their prices are in two currencies

    Validity
    --------
    Light that was read under other conditions is not the same figure: the share of what is predicted for the
    conditions of each survey is what may be compared.
    """
    found = compare_fixtures(earlier, results, one_name=BEFORE, other_name=NOW)
    measured = _measured(earlier, results)
    return (*difference_blocks(found), measured) if measured.rows else tuple(difference_blocks(found))


def _measured(earlier: Evaluation, results: Evaluation) -> Table:
    rows = []
    for now in _last_at_each_height(results):
        for before in _last_at_each_height(earlier):
            if abs(before.height_m - now.height_m) <= SAME_HEIGHT_M:
                means = (before.statistics.mean, now.statistics.mean)
                shares = (100.0 * before.over_prediction.value, 100.0 * now.over_prediction.value)
                rows.append((f"Mean PPFD read at {now.height_m:g} m", "umol m-2 s-1", *means))
                rows.append(("of what is predicted for its conditions", "%", *shares))
    return Table(
        heading="Light read at the same heights",
        columns=(
            Col(label="Reading", width=44),
            Col(label="Unit", width=15),
            Col(label=BEFORE, width=24, digits=1),
            Col(label=NOW, width=24, digits=1),
        ),
        rows=tuple(rows),
    )


def _last_at_each_height(results: Evaluation) -> list[LightSurvey]:
    """Return the latest survey at each height; of one day, the one that stands last."""
    last: dict[float, LightSurvey] = {}
    for survey in results.surveys:
        place = round(survey.height_m / SAME_HEIGHT_M)
        if place not in last or survey.taken_on >= last[place].taken_on:
            last[place] = survey
    return list(last.values())
