"""What protects each run against what the driver can push into a fault."""

from __future__ import annotations

from dataclasses import dataclass

from ledcalc.arguments import FloatArray

__all__ = ["ProtectionResults"]


@dataclass(frozen=True, slots=True, kw_only=True)
class ProtectionResults:
    """One entry a cable row. NaN where there is none: no fuse, no standard rating, no ampacity known.

    ``source_limit_a``: the most the driver gives into a fault, its dial turned up. ``fuse_a`` and ``fuse_kind``: what
    guards the run, its own fuse or that of the run it hangs on, ``guarded_by`` whose. ``status``: as
    ``wire_protection`` says it, or that no ampacity is known. ``class_2_passed``: which Class 2 figures the driver
    passes, where it is said to be one.
    """

    source_limit_a: FloatArray
    source_voltage_v: float
    guarded_by: tuple[str, ...]
    fuse_kind: tuple[str, ...]
    fuse_a: FloatArray
    wire_limit_a: FloatArray
    needed_fuse_a: FloatArray
    highest_fuse_a: FloatArray
    recommended_fuse_a: FloatArray
    remedy_size: tuple[str, ...]
    status: tuple[str, ...]
    is_protected: tuple[bool, ...]
    notes: tuple[tuple[str, ...], ...]
    class_2_passed: tuple[str, ...]
