"""The smallest wire of each run: by drop, by ampacity, by protection."""

from __future__ import annotations

import numpy as np

from ledcalc.checks.limits import limit
from ledcalc.results import Evaluation
from ledcalc.wiring import SizeChoice, smallest_size

__all__ = ["size_choices"]


def size_choices(results: Evaluation) -> tuple[SizeChoice, ...]:
    """Return, for each run, the smallest size by drop, by ampacity and by protection, and which governs."""
    fixture, wires, protection = results.fixture, results.wires, results.protection
    allowed_v = _allowed_drop_v(results)
    return tuple(
        smallest_size(
            float(wires.current_a[row]),
            cable.one_way_length_m,
            allowed_drop_v=allowed_v,
            conductors=wires.conductors_count[row],
            stranding=cable.stranding,
            wire_kind=cable.wire_kind,
            insulation_c=cable.insulation_c,
            ambient_c=float(wires.ambient_c[row]),
            loaded_conductors=cable.loaded_conductors_count,
            installation_method=cable.installation_method,
            grouped_circuits=cable.grouped_circuits_count,
            protection_a=float(np.fmin(protection.fuse_a[row], protection.source_limit_a[row])),
            contact_resistance_ohm=cable.contact_resistance_ohm,
            rule_set=fixture.site.rule_set,
        )
        for row, cable in enumerate(fixture.cables)
    )


def _allowed_drop_v(results: Evaluation) -> float:
    return limit("drop_recommended_fraction") * results.operating.voltage_v
