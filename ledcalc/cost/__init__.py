"""Cost: parts once, energy for good."""

from ledcalc.cost.energy import energy_cost, energy_kwh
from ledcalc.cost.parts import parts_cost

__all__ = ["energy_cost", "energy_kwh", "parts_cost"]
