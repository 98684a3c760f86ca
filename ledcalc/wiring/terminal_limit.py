"""What the terminals at its ends allow a wire: they get as warm as it does, and may stand less."""

from __future__ import annotations

from ledcalc.errors import ArgumentError
from ledcalc.wiring.ampacity import conductor_ampacity

__all__ = ["terminal_limit_a"]


def terminal_limit_a(
    size: str,
    terminal_c: float,
    *,
    wire_kind: str | None = None,
    loaded_conductors: int = 2,
    installation_method: str | None = None,
    rule_set: str = "NEC",
) -> float:
    """Return the current at which a wire is as warm as its terminals may get.

    Parameters
    ----------
    size, wire_kind, loaded_conductors, installation_method, rule_set : as in ``conductor_ampacity``
    terminal_c : degC: temperature rating of the terminals: 60, 70, 75 or 90

    Returns
    -------
    A: the table's ampacity in the column of the terminals' temperature, uncorrected; infinity where the tables have no
    such column for this wire, as then they say nothing of it

    Validity
    --------
    A ceiling on the corrected ampacity, which may be worked out from the insulation's own column.

    References
    ----------
    NFPA 70 (NEC) 110.14(C), from memory; IEC 60364-5-52 523.1 note, from memory: equipment for 70 degC.

    Examples
    --------
    >>> terminal_limit_a("12 AWG", 60.0, wire_kind="building wire")
    20.0
    """
    try:
        return float(
            conductor_ampacity(
                size,
                wire_kind=wire_kind,
                insulation_c=terminal_c,
                ambient_c=30.0,
                loaded_conductors=min(loaded_conductors, 3),
                installation_method=installation_method,
                rule_set=rule_set,
            )
        )
    except ArgumentError:
        return float("inf")
