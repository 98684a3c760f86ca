"""The workings of what is asked for over time: the light left, the current of a plan's first step."""

from __future__ import annotations

import numpy as np

from ledcalc.results import Evaluation, Working

__all__ = ["workings_over_time"]


def workings_over_time(results: Evaluation) -> list[Working]:
    """Return the workings of ageing and light plan, as far as there are any."""
    return [*_ageing(results), *_plan(results)]


def _ageing(results: Evaluation) -> list[Working]:
    ageing = results.ageing
    if ageing is None or ageing.reason:
        return []
    life = results.fixture.site.wanted_life_h
    hours = ageing.limit_h if life is None else min(life, ageing.limit_h)
    most = int(np.argmax(ageing.share_of_ppfd_fraction))
    fit, share = ageing.boards[most].fit, float(ageing.share_of_ppfd_fraction[most])
    if fit is None:
        return []
    return [
        Working(
            topic="Ageing",
            quantity=f"Light kept after {hours:,.0f} h",
            formula="sum over boards of share of their mean PPFD x B exp(-alpha t), each 1 at most",
            figures=f"{results.boards.tag[most]}: {share:.4g} x {fit.initial_fraction:.5g} x "
            f"exp(-{fit.decay_per_h:.4g} / h x {hours:.6g} h), and so on for all boards",
            value=ageing.kept_fraction(hours),
            unit="",
            source="ANSI/IES TM-21 (public summaries): exponential fit, Arrhenius between two temperatures",
        )
    ]


def _plan(results: Evaluation) -> list[Working]:
    plan, site = results.light_plan, results.fixture.site
    if plan is None:
        return []
    dose, hours = float(plan.wanted_dli_mol_m2_d[0]), float(plan.photoperiod_h[0])
    week = f"week {plan.week[0]}"
    return [
        Working(
            topic="Light plan",
            quantity=f"PPFD wanted in {week}",
            formula="PPFD = DLI x 1 000 000 / (3600 x h)",
            figures=f"{dose:.4g} mol m-2 d-1, {hours:g} h",
            value=float(plan.wanted_ppfd_umol_m2_s[0]),
            unit="umol m-2 s-1",
            source="definition",
        ),
        Working(
            topic="Light plan",
            quantity=f"Energy cost of {week}",
            formula="mains power at that current x hours a day x 7 x price",
            figures=f"{plan.energy_kwh[0]:.4g} kWh x {plan.price_per_kwh[0]:.4g} {site.currency} a kWh",
            value=float(plan.energy_cost[0]),
            unit=site.currency,
            source="definition; the circuit settled anew at several currents, per ampere along lines between",
        ),
    ]
