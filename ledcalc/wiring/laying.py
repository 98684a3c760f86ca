"""Which wires one can buy, and what each may carry the way it is laid."""

from __future__ import annotations

from dataclasses import dataclass

from ledcalc.arguments import choice
from ledcalc.errors import TableRangeError
from ledcalc.wiring.ampacity import AmpacitySteps, ampacity_steps
from ledcalc.wiring.sizes import RULE_SETS, known_sizes

__all__ = ["Laying", "buyable_sizes"]

FINEST_GAUGE = 24


@dataclass(frozen=True, slots=True, kw_only=True)
class Laying:
    """Which wire it is and how it lies, as ``conductor_ampacity`` asks for it."""

    rule_set: str
    wire_kind: str | None
    insulation_c: float | None
    ambient_c: float
    loaded_conductors: int
    installation_method: str | None
    grouped_circuits: int

    def is_known(self) -> bool:
        """Whether it names a wire that has an ampacity table at all."""
        return (self.wire_kind if self.rule_set == "NEC" else self.installation_method) is not None

    def steps(self, size: str) -> AmpacitySteps | str:
        """Return how the ampacity of a size comes about, or why the table gives none."""
        try:
            return ampacity_steps(
                size,
                wire_kind=self.wire_kind,
                insulation_c=self.insulation_c,
                ambient_c=self.ambient_c,
                loaded_conductors=self.loaded_conductors,
                installation_method=self.installation_method,
                grouped_circuits=self.grouped_circuits,
                rule_set=self.rule_set,
            )
        except TableRangeError as problem:
            return str(problem)

    def rating_c(self) -> float:
        """Return the temperature that the table's ampacity brings the wire to; cords 60, fixture wire 90 untold."""
        if self.insulation_c is not None:
            return float(self.insulation_c)
        if self.rule_set == "IEC":
            return 70.0
        return 90.0 if self.wire_kind == "fixture wire" else 60.0


def buyable_sizes(rule_set: str) -> tuple[str, ...]:
    """Return the sizes commonly sold, fine to coarse: even gauges from 24 AWG and 1/0 to 4/0, or IEC from 0.5 mm2.

    References
    ----------
    Common practice, no source; the mm2 sizes are those of IEC 60228.

    Examples
    --------
    >>> buyable_sizes("NEC")[:3], buyable_sizes("IEC")[-1]
    (('24 AWG', '22 AWG', '20 AWG'), '35 mm2')
    """
    if choice("rule_set", rule_set, RULE_SETS) == "IEC":
        return known_sizes("IEC")
    sold = {f"{gauge} AWG" for gauge in range(2, FINEST_GAUGE + 1, 2)}
    return tuple(size for size in known_sizes("NEC") if size in sold or "/0" in size)
