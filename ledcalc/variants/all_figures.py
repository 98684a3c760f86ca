"""Every figure that two evaluated fixtures, or many, can be compared by."""

from __future__ import annotations

import numpy as np

from ledcalc.results import Evaluation

__all__ = ["figures_of"]


def figures_of(results: Evaluation) -> dict[str, float]:
    """Return the numbers of ``Evaluation.summary``, and those of load, heat, wires and owning beside them.

    NaN where a figure is not known: junctions without their resistance, money without parts or years of service.

    Examples
    --------
    >>> import ledcalc as lc
    >>> from ledcalc.demo import seedling_bench
    >>> figures_of(lc.evaluate(seedling_bench()))["boards_count"]
    8.0
    """
    boards, operating, cost = results.boards, results.operating, results.cost
    junctions = boards.junction_temperature_c
    known = junctions[~np.isnan(junctions)]
    return {
        **{name: float(value) for name, value in results.summary().items() if not isinstance(value, str)},
        "boards_count": float(len(boards.tag)),
        "load_fraction": float((boards.current_a / boards.rated_current_a).max()),
        "least_margin_c": float((boards.rated_temperature_c - boards.temperature_c).min()),
        "hottest_junction_c": float(known.max()) if known.size else float("nan"),
        "driver_case_c": operating.case_temperature_c,
        "driver_efficiency_fraction": operating.efficiency_fraction,
        "wire_loss_w": float(results.wires.loss_w.sum()),
        "canopy_photons_mol": cost.canopy_photons_mol,
        "purchase_cost": cost.purchase.total_cost if cost.purchase else float("nan"),
        "renewal_cost": cost.renewal_cost if cost.purchase else float("nan"),
        "running_cost": cost.running_cost,
        "owning_cost": cost.owning_cost,
        "purchase_cost_per_umol_s": cost.purchase_cost_per_umol_s,
        "energy_cost_per_mol": cost.energy_cost_per_mol,
        "owning_cost_per_mol": cost.owning_cost_per_mol,
    }
