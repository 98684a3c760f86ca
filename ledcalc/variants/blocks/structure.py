"""What the variants of a block share: boards, curves and driver, by the fixture that their numbers are put into."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ledcalc.arguments import FloatArray
from ledcalc.circuit import BoardCurve
from ledcalc.evaluation.parts import PlacedBoard, boards_on, driver_model
from ledcalc.fixture import DriverModel, Fixture
from ledcalc.model_curves import curve_of, flux_of, photons_per_joule_of
from ledcalc.photons import BoardFlux
from ledcalc.variants.blocks.arrays import Only, taken

__all__ = ["Block", "Structure", "structure_of"]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Structure:
    """A fixture without arrays, its boards, and what no number that varies changes; an entry a board.

    ``on_sink``: for each board which boards are on its sink, itself included; ``first_on_sink``: the first of these.
    """

    fixture: Fixture
    placed: tuple[PlacedBoard, ...]
    driver: DriverModel
    curves: tuple[BoardCurve, ...]
    fluxes: tuple[BoardFlux, ...]
    photons_per_joule: FloatArray
    on_sink: NDArray[np.bool_]
    first_on_sink: tuple[int, ...]
    shares_sinks: bool


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Block:
    """Variants of one structure. ``fixture``: any of its numbers may be an array, an entry a variant."""

    structure: Structure
    fixture: Fixture
    count: int
    placed: tuple[PlacedBoard, ...]
    driver: DriverModel

    @classmethod
    def of(cls, structure: Structure, fixture: Fixture, count: int) -> Block:
        """Return so many variants, with each board's and the driver's numbers looked up."""
        return cls(
            structure=structure,
            fixture=fixture,
            count=count,
            placed=boards_on(fixture),
            driver=driver_model(fixture),
        )

    def only(self, variants: Only) -> Block:
        """Return some of the variants."""
        return Block.of(self.structure, taken(self.fixture, variants), np.arange(self.count)[variants].size)


def structure_of(fixture: Fixture) -> Structure:
    """Return the structure of a fixture whose inputs have been checked."""
    placed = boards_on(fixture)
    labels = [board.place.shared_sink for board in placed]
    on_sink = np.array(
        [
            [row == column or (own is not None and own == other) for column, other in enumerate(labels)]
            for row, own in enumerate(labels)
        ]
    )
    return Structure(
        fixture=fixture,
        placed=placed,
        driver=driver_model(fixture),
        curves=tuple(curve_of(board.model, board.points) for board in placed),
        fluxes=tuple(flux_of(board.model, board.points) for board in placed),
        photons_per_joule=np.array([photons_per_joule_of(board.model, fixture.spectra) for board in placed]),
        on_sink=on_sink,
        first_on_sink=tuple(int(np.argmax(row)) for row in on_sink),
        shares_sinks=any(label is not None for label in labels),
    )
