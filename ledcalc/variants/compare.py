"""Two evaluated fixtures side by side: what differs in them, in what they do and cost, and why one wins."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from ledcalc.cost import CostOfOne, Payback, payback
from ledcalc.errors import ArgumentError
from ledcalc.results import Evaluation
from ledcalc.variants.all_figures import figures_of
from ledcalc.variants.figure_names import figure_name, figure_text
from ledcalc.variants.input_differences import InputDifference, input_differences

__all__ = ["Comparison", "FigureDifference", "compare_fixtures"]

# Figures that differ by less than this share are said to be alike.
ALIKE_FRACTION = 1e-6
# From this share on two fixtures do not give the same light, which is said beside their cost.
UNLIKE_LIGHT_FRACTION = 0.02
# What is told in a sentence, in this order.
TOLD = ("canopy_efficacy_umol_per_j", "highest_board_temperature_c", "purchase_cost", "running_cost")


@dataclass(frozen=True, slots=True, kw_only=True)
class FigureDifference:
    """One figure of both. ``change_fraction``: from the one to the other, NaN from 0 and for temperatures; ``better``:
    the name of the fixture that it speaks for, empty where neither way is better."""

    figure: str
    label: str
    unit: str
    one: float
    other: float
    change_fraction: float
    better: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Comparison:
    """Two fixtures side by side.

    ``figures``: those that differ, ``alike``: labels of those that do not. ``findings``: code -> severities at the one
    and the other, for findings that only one has or that are worse at one. ``payback`` is that of the two as they
    are, None where ``payback_note`` says why; ``same_light_payback`` that with the brighter one lit for fewer hours,
    None where they give the same light. ``winner``: a name, empty where nothing parts them; ``decided_by``: the
    figure, or the findings; ``line`` says why in a sentence.
    """

    one: str
    other: str
    currency: str
    inputs: tuple[InputDifference, ...]
    figures: tuple[FigureDifference, ...]
    alike: tuple[str, ...]
    findings: Mapping[str, tuple[str, str]]
    payback: Payback | None
    same_light_payback: Payback | None
    payback_note: str
    winner: str
    decided_by: str
    line: str


def compare_fixtures(one: Evaluation, other: Evaluation, *, one_name: str = "", other_name: str = "") -> Comparison:
    """Compare two evaluated fixtures: few boards run hard against many run soft, or whatever else differs.

    Parameters
    ----------
    one, other : from ``evaluate``
    one_name, other_name : what to call them, unlike; empty: the fixtures' own names

    Returns
    -------
    Comparison

    Raises
    ------
    ArgumentError (a ValueError): two fixtures of one name, or prices in two currencies

    Validity
    --------
    A fixture with a finding of severity stop loses against one without. Else the lower cost of owning for a mole on the
    crop wins, or of energy for a mole where years of service or parts are not given. Payback takes the same saving
    every year, from what running costs; parts are renewed by hours lit.

    Examples
    --------
    >>> import ledcalc as lc
    >>> from ledcalc.demo import seedling_bench
    >>> hard, soft = (lc.evaluate(lc.with_values(seedling_bench(), {"fixture.current_setting_a": a})) for a in (5, 3))
    >>> compare_fixtures(hard, soft, one_name="hard", other_name="soft").decided_by
    'owning_cost_per_mol'
    """
    names = one_name or one.fixture.name, other_name or other.fixture.name
    money = one.cost.currency
    if names[0] == names[1]:
        raise ArgumentError("other_name", names[1], f"another name than the first fixture's, {names[0]!r}")
    if other.cost.currency != money:
        raise ArgumentError("currency", other.cost.currency, f"{money!r}, that of {names[0]}: money is not converted")
    values = figures_of(one), figures_of(other)
    pairs = {figure: (values[0][figure], values[1][figure]) for figure in values[0]}
    figures = [_difference(figure, pair, names) for figure, pair in pairs.items() if _differs(*pair)]
    paid, same_light, note = _paybacks(one, other, names)
    winner, decided_by = _winner(one, other, pairs, names)
    return Comparison(
        one=names[0],
        other=names[1],
        currency=money,
        inputs=input_differences(one.fixture, other.fixture),
        figures=tuple(figures),
        alike=tuple(figure_name(figure).label for figure, pair in pairs.items() if _alike(*pair)),
        findings=_findings(one, other),
        payback=paid,
        same_light_payback=same_light,
        payback_note=note,
        winner=winner,
        decided_by=decided_by,
        line=_line(winner, decided_by, names, pairs, _paid_text(one, paid, same_light), money)
        + (_to_mend(one if winner == names[0] else other, winner) if winner else ""),
    )


def _alike(one: float, other: float) -> bool:
    return abs(one - other) <= ALIKE_FRACTION * max(abs(one), abs(other))


def _differs(one: float, other: float) -> bool:
    """Return whether two figures differ, a figure that only one has included."""
    return not _alike(one, other) and not (math.isnan(one) and math.isnan(other))


def _difference(figure: str, pair: tuple[float, float], names: tuple[str, str]) -> FigureDifference:
    called, (one, other) = figure_name(figure), pair
    return FigureDifference(
        figure=figure,
        label=called.label,
        unit=called.unit,
        one=one,
        other=other,
        change_fraction=other / one - 1.0 if one and called.unit != "degC" else float("nan"),
        better=_better(figure, pair, names),
    )


def _better(figure: str, pair: tuple[float, float], names: tuple[str, str]) -> str:
    way, (one, other) = figure_name(figure).better, pair
    if not way or _alike(one, other) or math.isnan(one) or math.isnan(other):
        return ""
    return names[0] if (one < other) == (way == "lowest") else names[1]


def _findings(one: Evaluation, other: Evaluation) -> dict[str, tuple[str, str]]:
    worst: list[dict[str, str]] = []
    for results in (one, other):
        by_code: dict[str, str] = {}
        for found in results.findings:
            by_code.setdefault(found.code, found.severity)
        worst.append(by_code)
    codes = dict.fromkeys([*worst[0], *worst[1]])
    pairs = {code: (worst[0].get(code, ""), worst[1].get(code, "")) for code in codes}
    return {code: pair for code, pair in pairs.items() if pair[0] != pair[1]}


def _paybacks(one: Evaluation, other: Evaluation, names: tuple[str, str]) -> tuple[Payback | None, Payback | None, str]:
    """Return the payback as they are, that for the same light where theirs is unlike, and what is to be said of it."""
    for results, name in zip((one, other), names, strict=True):
        if results.cost.purchase is None:
            return None, None, f"no payback: the Parts sheet of {name} is empty"
    rate = one.fixture.costs.discount_fraction or 0.0
    # The photons come from all fixtures in the room, the money is that of one.
    light = [results.cost.canopy_photons_mol / results.light.in_room_count for results in (one, other)]
    as_they_are = payback(_cost_of(one, names[0]), _cost_of(other, names[1]), discount_fraction=rate)
    if not min(light) or abs(light[0] - light[1]) <= UNLIKE_LIGHT_FRACTION * max(light):
        return as_they_are, None, ""
    shares = [min(light) / own for own in light]
    alike = payback(_cost_of(one, names[0], shares[0]), _cost_of(other, names[1], shares[1]), discount_fraction=rate)
    brighter, dimmer = names if light[0] > light[1] else names[::-1]
    note = f"{light[0]:.0f} against {light[1]:.0f} mol on the crop a year: for the same light {brighter} is lit "
    return as_they_are, alike, f"{note}{100 * min(shares):.0f} % of the hours of {dimmer}"


def _cost_of(results: Evaluation, name: str, hours_share: float = 1.0) -> CostOfOne:
    """Return what a version costs to buy and to run, lit for a share of its hours: charges by the day stay."""
    cost = results.cost
    assert cost.purchase is not None
    by_hours, by_days = cost.energy_cost + cost.renewal_cost, cost.standing_cost + cost.demand_cost
    return CostOfOne(
        name=name,
        purchase_cost=cost.purchase.total_cost,
        yearly_cost=hours_share * by_hours + by_days,
        currency=cost.currency,
    )


def _paid_text(one: Evaluation, paid: Payback | None, same_light: Payback | None) -> str:
    """Return the payback that counts in words, with what it means for the years of service."""
    found, service = same_light or paid, one.fixture.costs.service_years
    if found is None:
        return ""
    text = f"For the same light, {found.verdict}" if same_light else found.verdict
    late = service is not None and math.isfinite(found.years) and found.years > service
    return f"{text}, which is later than its {service:g} years of service" if late else text


def _winner(
    one: Evaluation, other: Evaluation, pairs: Mapping[str, tuple[float, float]], names: tuple[str, str]
) -> tuple[str, str]:
    stops = [results.severity == "stop" for results in (one, other)]
    if stops[0] != stops[1]:
        return (names[1] if stops[0] else names[0]), "findings"
    if all(stops):
        return "", "findings"
    for figure in ("owning_cost_per_mol", "energy_cost_per_mol"):
        if not any(math.isnan(value) for value in pairs[figure]):
            return _better(figure, pairs[figure], names), figure
    return "", ""


def _to_mend(results: Evaluation, winner: str) -> str:
    """Return what the winner's findings ask to act on, as a sentence of its own."""
    codes = dict.fromkeys(found.code for found in results.findings if found.severity == "act")
    return f" To act on at {winner}: {', '.join(codes)}." if codes else ""


def _line(
    winner: str,
    decided_by: str,
    names: tuple[str, str],
    pairs: Mapping[str, tuple[float, float]],
    paid: str,
    money: str,
) -> str:
    if not winner:
        return {
            "findings": "neither wins: both have a finding of severity stop",
            "": "neither wins: one of them gives no light on the crop",
        }.get(decided_by, f"neither wins: {figure_name(decided_by).label} is alike")
    loser = names[1] if winner == names[0] else names[0]
    if decided_by == "findings":
        return f"{winner} wins: {loser} has a finding of severity stop."
    place = names.index(winner)

    def against(figure: str) -> str:
        own, others = pairs[figure][place], pairs[figure][1 - place]
        texts = figure_text(figure, own, money), figure_text(figure, others, money)
        return f"{figure_name(figure).label} {texts[0]} against {texts[1]}"

    told = [figure for figure in TOLD if _differs(*pairs[figure]) and not math.isnan(sum(pairs[figure]))]
    for_it = [against(figure) for figure in told if _better(figure, pairs[figure], names) == winner]
    contrary = [against(figure) for figure in told if _better(figure, pairs[figure], names) == loser]
    said = [f"{winner} wins by {against(decided_by)}"]
    said += [f"better: {'; '.join(for_it)}"] if for_it else []
    said += [f"worse: {'; '.join(contrary)}"] if contrary else []
    said += [paid] if paid else []
    return ". ".join(text[0].upper() + text[1:] if number else text for number, text in enumerate(said)) + "."
