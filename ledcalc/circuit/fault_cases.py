"""Which single faults a circuit can have, each as the circuit, driver and air that it leaves."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import TypeAlias

import numpy as np

from ledcalc.arguments import choice, numbers, whole_numbers
from ledcalc.circuit.changed import (
    Circuit,
    loads_of,
    with_ballast,
    with_boards,
    with_heat_scaled,
    without_boards,
    without_link,
)
from ledcalc.circuit.curve import BoardCurve
from ledcalc.circuit.led_matrix import LED_FAULTS, LED_LAYOUTS, with_led_fault
from ledcalc.circuit.network import Network
from ledcalc.circuit.parts import Driver
from ledcalc.errors import ArgumentError

__all__ = ["FAULT_KINDS", "FaultCase", "FaultConditions", "LedLayout", "fault_cases"]

FAULT_KINDS = (
    "board open",
    "wire open",
    "contact bad",
    "LED shorted",
    "LED open",
    "lead set lost",
    "fans off",
    "driver at its highest",
    "hottest day",
    "cold start",
)
# What a contact that has worked loose adds (common practice, no source: a tenth of an ohm to an ohm).
BAD_CONTACT_OHM = 0.5


@dataclass(frozen=True, slots=True, kw_only=True)
class LedLayout:
    """How a board's LEDs are wired.

    Parameters
    ----------
    series_count, parallel_count : at least 1
    layout : ``"strings"`` or ``"cross-tied"``

    Raises
    ------
    ArgumentError (a ValueError): a count below 1 or an unknown layout
    """

    series_count: int
    parallel_count: int = 1
    layout: str = "strings"

    def __post_init__(self) -> None:
        whole_numbers("series_count", self.series_count, at_least=1)
        whole_numbers("parallel_count", self.parallel_count, at_least=1)
        choice("layout", self.layout, LED_LAYOUTS)


@dataclass(frozen=True, slots=True, kw_only=True)
class FaultConditions:
    """What is known beyond the circuit itself. Each part left out is a fault not tried.

    Parameters
    ----------
    board_names : a name a board; none: 1, 2, 3 ...
    link_names : a name a link of a network; none: their nodes
    leds : a layout a board, None for a board whose layout is unknown; none at all: unknown
    lead_sets : names of the driver's output lead sets and the numbers of the boards on each
    fans_off_factor : at least 1: what the thermal resistances are multiplied by with fans off; 1: no fans
    highest : the driver with its dials at their high ends; None: unknown
    hottest_c, coldest_c : degC, air of the hottest day and at the coldest start; None: unknown
    bad_contact_ohm : ohm, above 0: what a bad contact adds

    Raises
    ------
    ArgumentError (a ValueError): a number out of its range
    """

    board_names: Sequence[str] = ()
    link_names: Sequence[str] = ()
    leds: Sequence[LedLayout | None] = ()
    lead_sets: Sequence[tuple[str, Sequence[int]]] = ()
    fans_off_factor: float = 1.0
    highest: Driver | None = None
    hottest_c: float | None = None
    coldest_c: float | None = None
    bad_contact_ohm: float = BAD_CONTACT_OHM

    def __post_init__(self) -> None:
        numbers("fans_off_factor", self.fans_off_factor, at_least=1)
        numbers("bad_contact_ohm", self.bad_contact_ohm, above=0)
        for name in ("hottest_c", "coldest_c"):
            if getattr(self, name) is not None:
                numbers(name, getattr(self, name), above=-273.15)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FaultCase:
    """One fault: what it is, where, and the circuit it leaves; ``left``: the numbers of the boards still fed."""

    kind: str
    where: str
    network: Circuit
    left: tuple[int, ...]
    driver: Driver
    ambient_c: float


Left: TypeAlias = tuple[str, str, Circuit, tuple[int, ...]]


def fault_cases(
    network: Circuit, driver: Driver, ambient_c: float, conditions: FaultConditions
) -> tuple[FaultCase, ...]:
    """Return every single fault of a circuit; parameters as in ``fault_table``."""
    whole = tuple(range(len(loads_of(network))))
    for name in ("board_names", "leds"):
        if getattr(conditions, name) and len(getattr(conditions, name)) != len(whole):
            raise ArgumentError(name, len(getattr(conditions, name)), f"one a board, {len(whole)} in all")
    makers = (_opened, _badly_joined, _led_faults, _sets_lost)
    found = [
        FaultCase(kind=kind, where=where, network=left, left=boards, driver=driver, ambient_c=ambient_c)
        for maker in makers
        for kind, where, left, boards in maker(network, conditions)
    ]
    healthy = FaultCase(kind="", where="", network=network, left=whole, driver=driver, ambient_c=ambient_c)
    if conditions.fans_off_factor > 1:
        hot = with_heat_scaled(network, conditions.fans_off_factor)
        found.append(replace(healthy, kind="fans off", where="all sinks", network=hot))
    if conditions.highest is not None:
        found.append(replace(healthy, kind="driver at its highest", where="both dials", driver=conditions.highest))
    if conditions.hottest_c is not None:
        place = f"air of {conditions.hottest_c:g} degC"
        found.append(replace(healthy, kind="hottest day", where=place, ambient_c=conditions.hottest_c))
    if conditions.coldest_c is not None:
        cold, place = with_heat_scaled(network, 0.0), f"air of {conditions.coldest_c:g} degC"
        found.append(replace(healthy, kind="cold start", where=place, network=cold, ambient_c=conditions.coldest_c))
    return tuple(found)


def _opened(network: Circuit, conditions: FaultConditions) -> Iterator[Left]:
    for number in range(len(loads_of(network))):
        left, boards = without_boards(network, {number})
        yield "board open", _name(conditions, number), left, boards
    if isinstance(network, Network):
        for number in range(len(network.cables)):
            left, boards = without_link(network, number)
            yield "wire open", _link_name(network, conditions, number), left, boards


def _badly_joined(network: Circuit, conditions: FaultConditions) -> Iterator[Left]:
    whole = tuple(range(len(loads_of(network))))
    for number in whole:
        added = with_ballast(network, conditions.bad_contact_ohm, only={number})
        yield "contact bad", _name(conditions, number), added, whole
    if isinstance(network, Network):
        for number, link in enumerate(network.cables):
            worse = replace(link, resistance_ohm=np.asarray(link.resistance_ohm) + conditions.bad_contact_ohm)
            cables = [worse if place == number else entry for place, entry in enumerate(network.cables)]
            yield "contact bad", _link_name(network, conditions, number), replace(network, cables=cables), whole


def _led_faults(network: Circuit, conditions: FaultConditions) -> Iterator[Left]:
    boards = loads_of(network)
    whole = tuple(range(len(boards)))
    for fault in LED_FAULTS:
        for number, leds in enumerate(conditions.leds):
            if leds is None:
                continue
            curve = _faulty(boards[number].curve, fault, leds)
            if curve is None:
                continue
            yield fault, _name(conditions, number), with_boards(network, {number: {"curve": curve}}), whole


@lru_cache(maxsize=64)
def _faulty(curve: BoardCurve, fault: str, leds: LedLayout) -> BoardCurve | None:
    """Return a board's curve with the fault; None for a lone string or LED: that is the whole board open or shorted.

    Kept by curve and layout: boards of one curve share the table that it takes.
    """
    try:
        return with_led_fault(
            curve,
            fault,
            series_count=leds.series_count,
            parallel_count=leds.parallel_count,
            layout=leds.layout,
        )
    except ArgumentError:
        return None


def _sets_lost(network: Circuit, conditions: FaultConditions) -> Iterator[Left]:
    for name, lost in conditions.lead_sets:
        left, boards = without_boards(network, set(lost))
        yield "lead set lost", name, left, boards


def _name(conditions: FaultConditions, number: int) -> str:
    return conditions.board_names[number] if conditions.board_names else str(number + 1)


def _link_name(network: Network, conditions: FaultConditions, number: int) -> str:
    if conditions.link_names:
        return conditions.link_names[number]
    return f"{network.cables[number].from_node} to {network.cables[number].to_node}"
