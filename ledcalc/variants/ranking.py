"""Which variants are worth having: those that no other betters in everything asked for, and why the others are not."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from difflib import get_close_matches
from typing import Any

import numpy as np

from ledcalc.arguments import FloatArray, choice
from ledcalc.errors import ArgumentError
from ledcalc.variants.figure_names import figure_name, figure_text
from ledcalc.variants.pareto import IndexArray, pareto_layers
from ledcalc.variants.rows import VariantRow

__all__ = ["Frontier", "Standing", "frontier"]

# Significant digits by which figures are compared.
DIGITS = 9


@dataclass(frozen=True, slots=True, kw_only=True)
class Standing:
    """How one variant stands: ``line`` says in a sentence why it won or lost.

    ``layer``: 1 on the frontier, 2 on the frontier of what is left without those, ...; ``rank``: 1 for the best, by
    layer and then by the first objective. Both are None where it is not ranked. ``beaten_by``: the variant on the
    frontier that betters it and is nearest to it, empty on the frontier.
    """

    name: str
    layer: int | None
    rank: int | None
    beaten_by: str
    line: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Frontier:
    """Every variant's standing in the order given; ``best``: names on the frontier, by rank."""

    objectives: Mapping[str, str]
    standings: tuple[Standing, ...]
    best: tuple[str, ...]

    def ranked(self) -> tuple[Standing, ...]:
        """Return the standings by rank, those that are not ranked last."""
        return tuple(sorted(self.standings, key=lambda one: one.rank or len(self.standings) + 1))


@dataclass(frozen=True, slots=True, kw_only=True)
class _Entry:
    """A variant as this module needs it; ``out``: why it is not ranked."""

    name: str
    figures: Mapping[str, Any]
    out: str


def frontier(variants: Iterable[VariantRow] | Any, objectives: Mapping[str, str], *, currency: str = "") -> Frontier:
    """Return which variants no other betters in every objective, and for the others which one does.

    Parameters
    ----------
    variants : rows of ``evaluate_variants``, or the table of ``evaluate_many``
    objectives : figure -> ``lowest`` or ``highest``, the first one deciding among equals of a layer; figures of
        ``Evaluation.summary``, or columns of one's own in the table
    currency : written behind money

    Returns
    -------
    Frontier

    Raises
    ------
    ArgumentError (a ValueError): no objective, an unknown one, or one that is no number

    Validity
    --------
    A variant with a finding of severity stop, one that could not be computed and one that lacks a figure are not
    ranked, and beat nobody.

    Examples
    --------
    >>> from ledcalc.demo import seedling_bench
    >>> from ledcalc.variants import Variant, evaluate_variants
    >>> settings = [Variant(name=f"{amps} A", changes={"fixture.current_setting_a": amps}) for amps in (3.0, 4.0)]
    >>> found = frontier(evaluate_variants(seedling_bench(), settings), {"ppfd_mean_umol_m2_s": "highest"})
    >>> found.best, found.standings[0].beaten_by
    (('4.0 A',), '4.0 A')
    """
    if not objectives:
        raise ArgumentError("objectives", {}, "at least one figure")
    for figure, best in objectives.items():
        choice(f"objectives[{figure!r}]", best, ("lowest", "highest"))
    entries = _entries(variants)
    values = _rounded(_values(entries, list(objectives)))
    out = [entry.out or _lacking(row, objectives) for entry, row in zip(entries, values, strict=True)]
    signs = np.array([1.0 if best == "lowest" else -1.0 for best in objectives.values()])
    points = np.where(np.array([bool(reason) for reason in out], dtype=bool)[:, None], np.nan, values * signs)
    layers = pareto_layers(points)
    rank = _ranks(points, layers.layer)
    places = _places(points)
    standings = tuple(
        Standing(
            name=entry.name,
            layer=int(layers.layer[row]) or None,
            rank=int(rank[row]) or None,
            beaten_by=entries[beater].name if (beater := int(layers.dominated_by[row])) >= 0 else "",
            line=_out_line(out[row])
            or (
                _lost_line(entries[beater].name, values[beater], values[row], objectives, currency)
                if beater >= 0
                else _won_line(values[row], places[row], int((rank > 0).sum()), objectives, currency)
            ),
        )
        for row, entry in enumerate(entries)
    )
    best_first = sorted((one for one in standings if one.layer == 1), key=lambda one: one.rank or 0)
    return Frontier(objectives=dict(objectives), standings=standings, best=tuple(one.name for one in best_first))


def _entries(variants: Iterable[VariantRow] | Any) -> list[_Entry]:
    if hasattr(variants, "to_dict"):
        return [_of_table_row(row) for row in variants.to_dict("records")]
    return [_Entry(name=row.name, figures=row.figures, out=_out(row.reason, row.counts, row.codes)) for row in variants]


def _of_table_row(row: Mapping[str, Any]) -> _Entry:
    reason, codes, stops = row.get("reason"), row.get("findings"), row.get("stop")
    return _Entry(
        name=str(row["variant"]),
        figures=row,
        out=_out(
            reason if isinstance(reason, str) else "",
            # A count that is missing, as in rows that were not computed, is pandas.NA or NaN.
            {"stop": int(stops) if isinstance(stops, int | float) and stops == stops else 0},
            codes.split(", ") if isinstance(codes, str) else (),
        ),
    )


def _out(reason: str, counts: Mapping[str, int], codes: Sequence[str]) -> str:
    """Return why a variant is not ranked: it was not computed, or a rule says stop."""
    if reason:
        return reason
    if not counts["stop"]:
        return ""
    from ledcalc.checks import RULES

    # Codes stand worst first, so that the first is one that says stop; a later one may have been milder.
    always = {rule.code for rule in RULES if rule.severities == ("stop",)}
    named = dict.fromkeys([*codes[:1], *(code for code in codes if code in always)])
    return f"do not energise: {', '.join(named) or 'a finding of severity stop'}"


def _values(entries: Sequence[_Entry], figures: Sequence[str]) -> FloatArray:
    known = {name for entry in entries for name in entry.figures}
    for figure in figures:
        if known and figure not in known:
            near = get_close_matches(figure, sorted(known), n=1)
            said = f" (nearest: {near[0]})" if near else f": {', '.join(sorted(known))}"
            raise ArgumentError("objectives", figure, f"a figure of the variants{said}")
    try:
        rows = [[_number(entry.figures.get(figure)) for figure in figures] for entry in entries]
    except (TypeError, ValueError):
        raise ArgumentError("objectives", ", ".join(figures), "figures that are numbers") from None
    return np.array(rows, dtype=float).reshape(len(entries), len(figures))


def _number(value: Any) -> float:
    return float("nan") if value is None else float(value)


def _lacking(row: FloatArray, objectives: Mapping[str, str]) -> str:
    lacking = [
        figure_name(figure).label for figure, value in zip(objectives, row.tolist(), strict=True) if value != value
    ]
    return f"no {' and no '.join(lacking)}" if lacking else ""


def _ranks(points: FloatArray, layer: IndexArray) -> IndexArray:
    """Return 1, 2, ... by layer, then by the objectives in their order; 0 for what is not ranked."""
    order = np.lexsort((*points.T[::-1], layer))
    order = order[layer[order] > 0]
    rank = np.zeros(len(points), dtype=np.intp)
    rank[order] = np.arange(1, order.size + 1)
    return rank


def _places(points: FloatArray) -> IndexArray:
    """Return each variant's place in each objective, 1 for the best; equals share the better place."""
    places = np.zeros(points.shape, dtype=np.intp)
    for number, column in enumerate(points.T):
        places[:, number] = 1 + np.searchsorted(np.sort(column[~np.isnan(column)]), column)
    return places


def _out_line(reason: str) -> str:
    return f"not ranked: {reason}" if reason else ""


def _won_line(row: FloatArray, places: IndexArray, count: int, objectives: Mapping[str, str], currency: str) -> str:
    figures = list(objectives)
    firsts = [number for number in range(len(figures)) if places[number] == 1]
    said = [f"{figure_name(figures[one]).label} ({figure_text(figures[one], row[one], currency)})" for one in firsts]
    if said:
        return f"on the frontier: best in {' and '.join(said)}"
    strong = int(np.argmin(places))
    return (
        f"on the frontier: nothing betters it in everything; strongest in {figure_name(figures[strong]).label} "
        f"({figure_text(figures[strong], row[strong], currency)}), place {places[strong]} of {count}"
    )


def _lost_line(name: str, better: FloatArray, row: FloatArray, objectives: Mapping[str, str], currency: str) -> str:
    gains = [
        f"{figure_name(figure).label} {_told_apart(figure, wins, own, currency)}"
        for figure, wins, own in zip(objectives, better.tolist(), row.tolist(), strict=True)
        if wins != own
    ]
    rest = ", the rest alike" if len(gains) < len(objectives) else ""
    return f"beaten by {name}: {'; '.join(gains)}{rest}"


def _told_apart(figure: str, wins: float, own: float, currency: str) -> str:
    """Return two values with as many digits as tell them apart."""
    texts = ((figure_text(figure, wins, currency, n), figure_text(figure, own, currency, n)) for n in (4, 6, DIGITS))
    first, second = next((pair for pair in texts if pair[0] != pair[1]), ("more", "less"))
    return f"{first} against {second}"


def _rounded(values: FloatArray) -> FloatArray:
    """Return values without the dust of floating-point arithmetic, which is no reason to prefer a variant."""
    with np.errstate(divide="ignore"):
        power = 10.0 ** (DIGITS - 1 - np.floor(np.log10(np.abs(values))))
    usable = np.isfinite(power) & np.isfinite(values)
    return np.where(usable, np.round(values * np.where(usable, power, 1.0)) / np.where(usable, power, 1.0), values)
