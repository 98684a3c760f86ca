"""What no fixture of given parts can better, from cheap arithmetic; and which parts cannot make one at all."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from ledcalc.arguments import FloatArray
from ledcalc.fixture import DriverModel, Fixture, HeatSink
from ledcalc.owning import needed_counts
from ledcalc.variants.search.built import Candidate, built, wire_sizes
from ledcalc.variants.search.catalogue import BoardItem, best_efficiency, board_items, least_resistance
from ledcalc.variants.search.layouts import Layout, LayoutBook
from ledcalc.variants.search.money import MoneyBound
from ledcalc.variants.search.wanted import DesignSpace, DesignTarget

__all__ = ["Bounded", "Refusals", "bounded_candidates"]

# Boards that share the current unevenly may together need a little less than boards that all give the same.
SHARE_FRACTION = 0.98
ROUNDS = 4
# Why candidates cannot do, a row a heat sink and a column a driver, and the figures of one of them.
_Reason: TypeAlias = tuple[str, NDArray[np.bool_], Callable[[int, int], str]]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Bounded:
    """A candidate, what its objective is at least, and the least current of a board that may do."""

    candidate: Candidate
    bound: float
    least_current_a: float


class Refusals:
    """Why candidates were refused: how often, and one example a reason."""

    def __init__(self) -> None:
        self.counts: Counter[tuple[str, str]] = Counter()
        self.examples: dict[tuple[str, str], str] = {}

    def add(self, board: str, reason: str, example: str, count: int = 1) -> None:
        """Count a reason with a board model; the first example of it is kept."""
        if count:
            self.counts[board, reason] += count
            self.examples.setdefault((board, reason), example)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Drivers:
    """The drivers' figures, one entry each; power is that of a lead set where these are limited separately."""

    models: tuple[DriverModel, ...]
    power_limit_w: FloatArray
    voltage_high_v: FloatArray
    current_high_a: FloatArray
    efficiency_fraction: FloatArray
    weight_kg: FloatArray


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Least:
    """What a board needs at least on each heat sink; current is NaN where its rated current does not do."""

    current_a: FloatArray
    voltage_v: FloatArray
    temperature_c: FloatArray


def bounded_candidates(
    catalogue: Fixture, target: DesignTarget, space: DesignSpace, objective: str, book: LayoutBook, refusals: Refusals
) -> list[Bounded]:
    """Return every candidate that could meet the target, the lowest bound of its objective first.

    What each bound rests on: the field is linear in the flux, so that the mean asked for needs a mean flux of the
    boards; light falls and voltage does not rise as a board warms up, and no board is cooler than the air and what its
    least heat makes of its heat sink. So a refusal is certain, but for boards whose shares differ by more than a
    fiftieth.
    """
    money, drivers = MoneyBound(catalogue, target, space, objective), _drivers(catalogue)
    found: list[Bounded] = []
    for item in board_items(catalogue):
        for layout in book.of(item.model):
            for in_series in space.in_series_counts:
                if layout.boards_count % in_series:
                    continue
                task = _Task(catalogue, target, space, item, layout, in_series)
                if layout.reason:
                    refusals.add(item.model.tag, "no layout is even enough", layout.reason, task.tries)
                else:
                    found += task.bounded(drivers, money, objective, refusals)
    return sorted(found, key=lambda one: one.bound)


class _Task:
    """A board, a layout and how many boards are in series: bounds over all heat sinks (rows) and drivers (columns)."""

    def __init__(
        self,
        catalogue: Fixture,
        target: DesignTarget,
        space: DesignSpace,
        item: BoardItem,
        layout: Layout,
        in_series: int,
    ) -> None:
        self.catalogue, self.target, self.space = catalogue, target, space
        self.item, self.layout, self.in_series = item, layout, in_series
        self.count, self.strings = layout.boards_count, layout.boards_count // in_series
        self.sinks, self.wires = catalogue.heat_sinks, wire_sizes(catalogue, space)
        self.tries = len(self.sinks) * len(catalogue.drivers) * len(self.wires)
        self.limit_c = min(item.model.rated_temperature_c, target.most_board_c)

    def bounded(self, drivers: _Drivers, money: MoneyBound, objective: str, refusals: Refusals) -> list[Bounded]:
        """Return the candidates of all heat sinks, drivers and wires that may do."""
        least = self._least()
        power = self.count * least.current_a * least.voltage_v
        mains = power[:, None] / drivers.efficiency_fraction
        found: list[Bounded] = []
        for wire in self.wires:
            purchase, owning = self._money(drivers, money, mains, wire)
            left = np.ones(mains.shape, dtype=bool)
            for reason, wrong, example in self._reasons(least, power, drivers, money, purchase):
                wrong = wrong & left
                if wrong.any():
                    row, column = (int(place) for place in np.argwhere(wrong)[0])
                    refusals.add(self.item.model.tag, reason, self._example(example(row, column)), int(wrong.sum()))
                left &= ~wrong
            bound = {"purchase_cost": purchase, "mains_power_w": mains, "owning_cost": owning}[objective]
            found += [
                Bounded(
                    candidate=self._candidate(self.sinks[row], drivers.models[column], wire),
                    bound=float(bound[row, column]),
                    least_current_a=float(least.current_a[row]),
                )
                for row, column in np.argwhere(left)
            ]
        return found

    def _candidate(self, sink: HeatSink, driver: DriverModel, wire: str) -> Candidate:
        return Candidate(
            board=self.item,
            heat_sink=sink,
            driver=driver,
            layout=self.layout,
            in_series=self.in_series,
            wire_size=wire,
        )

    def _least(self) -> _Least:
        model, air = self.item.model, self.catalogue.site.air_temperature_c
        k_per_w = np.array([least_resistance(sink) for sink in self.sinks])
        flux = self.target.mean_ppfd_umol_m2_s / float(self.layout.mean_per_flux.sum())
        light_w = flux / SHARE_FRACTION / self.item.photons_per_joule_umol_per_j
        warm = max(self.limit_c, air)
        temperature = np.full(k_per_w.shape, air)
        for _ in range(ROUNDS):
            amps = self.item.least_current_a(SHARE_FRACTION * flux, temperature)
            reached = np.nan_to_num(amps, nan=model.rated_current_a)
            volts = np.minimum(*(np.asarray(self.item.curve.voltage(reached, at)) for at in (air, warm)))
            # Each round starts from a temperature that is not above the truth, and ends with one.
            heat = np.maximum(np.nan_to_num(amps) * volts - light_w, 0.0)
            temperature = np.minimum(air + k_per_w * heat, warm + 1.0)
        return _Least(current_a=amps, voltage_v=volts, temperature_c=temperature)

    def _money(
        self, drivers: _Drivers, money: MoneyBound, mains_w: FloatArray, wire: str
    ) -> tuple[FloatArray, FloatArray]:
        """Return purchase and the least cost of owning a year, a row a heat sink and a column a driver."""
        first = built(self.catalogue, self.target, self.space, self._candidate(self.sinks[0], drivers.models[0], wire))
        rows, columns = np.arange(len(self.sinks))[:, None], np.arange(len(drivers.models))
        counts = {
            self.item.model.tag: np.array(float(self.count)),
            wire: np.array(needed_counts(first)[wire]),
            **{sink.tag: np.where(rows == number, self.count, 0.0) for number, sink in enumerate(self.sinks)},
            **{model.tag: np.where(columns == number, 1.0, 0.0) for number, model in enumerate(drivers.models)},
        }
        purchase, renewals = (np.broadcast_to(value, mains_w.shape) for value in money.purchase(counts))
        return purchase, money.owning(purchase, renewals, mains_w)

    def _weight(self, drivers: _Drivers) -> FloatArray:
        """Return the least that hangs, NaN where a weight is not given; rails come on top."""
        own = math.nan if self.item.model.weight_kg is None else self.item.model.weight_kg
        each = np.array([math.nan if sink.weight_kg is None else sink.weight_kg for sink in self.sinks])
        return self.count * (own + each)[:, None] + drivers.weight_kg + self.catalogue.build.other_weight_kg

    def _reasons(
        self, least: _Least, power_w: FloatArray, drivers: _Drivers, money: MoneyBound, purchase: FloatArray
    ) -> Iterator[_Reason]:
        """Yield why candidates cannot do: the reason, for which it holds, and the figures of one of them."""
        target, model = self.target, self.item.model
        tags = [[(sink.tag, driver.tag) for driver in drivers.models] for sink in self.sinks]
        unpriced = np.array([[not money.has_price(model.tag, *pair) for pair in row] for row in tags])
        yield "no price on the Parts sheet", unpriced, lambda row, column: " or ".join([model.tag, *tags[row][column]])
        every = np.zeros(unpriced.shape, dtype=bool)
        dim = np.isnan(least.current_a)[:, None] | every
        yield "boards give too little light", dim, lambda *_: f"at the {model.rated_current_a:g} A they are rated for"
        hot = (least.temperature_c > self.limit_c)[:, None] | every
        yield "boards too hot", hot, lambda row, _: f"on {self.sinks[row].tag}, above {self.limit_c:g} degC"
        volts, amps = self.in_series * least.voltage_v, self.strings * least.current_a
        yield _beyond_driver("voltage", volts, drivers.voltage_high_v, "V", drivers)
        yield _beyond_driver("current", amps, drivers.current_high_a, "A", drivers)
        yield _beyond_driver("power", power_w, drivers.power_limit_w, "W", drivers)
        weight = self._weight(drivers)
        if math.isfinite(target.most_weight_kg):
            yield "weight not given", np.isnan(weight), lambda row, column: " or ".join([model.tag, *tags[row][column]])
            yield "too heavy", weight > target.most_weight_kg, lambda row, column: f"{weight[row, column]:.2f} kg"
        dear = purchase > target.most_purchase_cost
        yield "parts cost too much", dear, lambda row, column: f"{purchase[row, column]:.2f}"

    def _example(self, text: str) -> str:
        return f"{self.layout.rows} x {self.layout.columns}: {text}"


def _beyond_driver(what: str, least: FloatArray, most: FloatArray, unit: str, drivers: _Drivers) -> _Reason:
    """Return where boards need more of something than drivers give."""

    def example(row: int, column: int) -> str:
        return f"at least {least[row]:.3g} {unit} of {drivers.models[column].tag}'s {most[column]:g} {unit}"

    return f"more {what} than the driver gives", least[:, None] > most, example


def _drivers(catalogue: Fixture) -> _Drivers:
    models = catalogue.drivers
    sets = [one.lead_sets_count if one.lead_sets == "separately limited" else 1 for one in models]
    return _Drivers(
        models=models,
        power_limit_w=np.array([one.power_limit_w / share for one, share in zip(models, sets, strict=True)]),
        voltage_high_v=np.array([one.voltage_high_v for one in models]),
        current_high_a=np.array([one.current_high_a for one in models]),
        efficiency_fraction=np.array([best_efficiency(catalogue, one) for one in models]),
        weight_kg=np.array([math.nan if one.weight_kg is None else one.weight_kg for one in models]),
    )
