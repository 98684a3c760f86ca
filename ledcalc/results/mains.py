"""The mains side: what hangs on the circuit, what switches on together, what leaks, what is earthed."""

from __future__ import annotations

from dataclasses import dataclass

__all__ = ["MainsResults"]


@dataclass(frozen=True, slots=True, kw_only=True)
class MainsResults:
    """Figures of the mains circuit; NaN where an input that they need is not given, and ``notes`` say which.

    ``fixture_a``: one fixture. ``fixtures_fit_count``: how many may run on the circuit beside its other load.
    ``inrush_share_fraction``: of what the breaker holds; ``inrush_fit_count``: drivers that may switch on together.
    ``leakage_share_fraction``: of what may stand behind the residual-current device. ``inlet_limit_a``: continuous, of
    the connector at the driver. ``earth_reasons``: why metal asks for earth, none where it does not.
    """

    fixture_a: float
    fixtures_fit_count: float
    circuit_share_fraction: float
    inrush_share_fraction: float
    inrush_fit_count: float
    leakage_a: float
    leakage_share_fraction: float
    leakage_fit_count: float
    inlet_limit_a: float
    earth_driver_case: bool
    earth_fixture_metal: bool
    earth_reasons: tuple[str, ...]
    earth_conductor: str
    notes: tuple[str, ...]
