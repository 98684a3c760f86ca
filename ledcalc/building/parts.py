"""What a build list consists of."""

from __future__ import annotations

from dataclasses import dataclass

from ledcalc.fabrication import CutPlan, Ferrule, Ports, ShrinkFit
from ledcalc.fixture import Stock

__all__ = ["BuildList", "Cutting", "Rail", "SleeveUse", "WireToCut"]


@dataclass(frozen=True, slots=True, kw_only=True)
class WireToCut:
    """One row of the wire schedule; lengths in m. ``colours``: of its conductors, in their order."""

    tag: str
    from_place: str
    to_place: str
    size: str
    conductors_count: int
    colours: tuple[str, ...]
    path_m: float
    cut_length_m: float
    ends: str
    fuse: str
    sleeve: str
    gland: str
    label: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Cutting:
    """What is cut from one kind of stock: pieces and their tags, and the plan; ``problem`` says why there is none."""

    serves: str
    tags: tuple[str, ...]
    pieces_m: tuple[float, ...]
    stock: tuple[Stock, ...]
    plan: CutPlan | None
    problem: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SleeveUse:
    """A sleeve, conduit or gland with the runs in it; the bundle's diameter is NaN where a cable's is not known."""

    tag: str
    kind: str
    runs: tuple[str, ...]
    bundle_m: float
    size: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Rail:
    """One row of boards on its rails: how many, how long, where the holes go from the rail's end."""

    row: int
    boards: tuple[str, ...]
    rails_count: int
    length_m: float
    holes_m: tuple[float, ...]
    warnings: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class BuildList:
    """Everything that is bought, cut and joined for one fixture. Weights in kg; None where one is not given.

    ``shrinks``: diameter of cable, the tube that grips its end, and how many pieces.
    """

    wires: tuple[WireToCut, ...]
    cuttings: tuple[Cutting, ...]
    terminals: tuple[Ports, ...]
    ferrules: tuple[tuple[str, Ferrule | None, int], ...]
    entries: tuple[SleeveUse, ...]
    fuses: tuple[tuple[str, int], ...]
    shrinks: tuple[tuple[float, ShrinkFit, int], ...]
    rails: tuple[Rail, ...]
    boards: tuple[tuple[str, int], ...]
    heat_sinks: tuple[tuple[str, int], ...]
    weight_kg: float | None
