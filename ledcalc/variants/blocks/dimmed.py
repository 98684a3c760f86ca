"""A block with the dial turned: settled anew, all variants together, at the currents that one evaluation samples."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from ledcalc.arguments import FloatArray
from ledcalc.evaluation.dimmed import DARK, AtLimit, sampled_limits
from ledcalc.variants.blocks.arrays import column, rows
from ledcalc.variants.blocks.circuits import cable_currents, lead_set_currents
from ledcalc.variants.blocks.steady import Steady, steady_state
from ledcalc.variants.blocks.structure import Block

__all__ = ["BlockAtLimit", "dimmed_of"]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BlockAtLimit:
    """As ``AtLimit`` at a current limit each, an entry a variant; ``is_settled``: where a steady state was found."""

    limit_a: FloatArray
    is_settled: NDArray[np.bool_]
    current_a: FloatArray
    ppfd_umol_m2_s: FloatArray
    power_w: FloatArray
    load_fraction: FloatArray
    mode: NDArray[np.object_]

    def of(self, variant: int) -> AtLimit:
        """Return one variant's."""
        return AtLimit(
            current_a=float(self.current_a[variant]),
            ppfd_umol_m2_s=float(self.ppfd_umol_m2_s[variant]),
            power_w=float(self.power_w[variant]),
            load_fraction=float(self.load_fraction[variant]),
            mode=str(self.mode[variant]),
        )


def dimmed_of(block: Block, steady: Steady, ppfd_per_flux: FloatArray) -> list[BlockAtLimit]:
    """Return a block at its present currents, the last entry, and at the limits that are sampled besides.

    ``ppfd_per_flux``: mean PPFD of a umol/s of each board, m-2; a row a board.
    """
    limits = sampled_limits(block.fixture, block.driver)
    found = []
    for limit in np.broadcast_to(limits.reshape(len(limits), -1), (len(limits), block.count)):
        turned = replace(block.fixture, current_setting_a=limit, dimming_fraction=1.0)
        at, numbers = steady_state(Block.of(block.structure, turned, block.count))
        found.append(_at_limit(block, at, numbers, limit, ppfd_per_flux))
    present = column(np.multiply(block.fixture.current_setting_a, block.fixture.dimming_fraction), block.count)
    return [*found, _at_limit(block, steady, np.arange(block.count), present, ppfd_per_flux)]


def _at_limit(
    block: Block, at: Steady | None, numbers: NDArray[np.intp], limit_a: FloatArray, ppfd_per_flux: FloatArray
) -> BlockAtLimit:
    """Return the variants at a limit; ``at``: the steady state of those whose numbers are given."""
    is_settled, figures = np.zeros(block.count, dtype=bool), np.zeros((4, block.count))
    mode = np.full(block.count, "", dtype=object)
    if at is not None:
        rated = rows([board.model.rated_current_a for board in block.placed], block.count)[:, numbers]
        is_settled[numbers], mode[numbers] = True, np.asarray(at.split.mode)
        figures[:, numbers] = (
            np.where(np.isin(at.split.mode, DARK), 0.0, _set_current(at)),
            np.sum(ppfd_per_flux[:, numbers] * at.photon_flux_umol_s, axis=0),
            np.multiply(at.split.driver_voltage_v, at.split.driver_current_a),
            (at.split.current_a / rated).max(axis=0),
        )
    current, ppfd, power, load = figures
    return BlockAtLimit(
        limit_a=limit_a,
        is_settled=is_settled,
        current_a=current,
        ppfd_umol_m2_s=ppfd,
        power_w=power,
        load_fraction=load,
        mode=mode,
    )


def _set_current(at: Steady) -> FloatArray:
    """Return the current that the dial limits: the driver's, or the greatest of its lead sets limited by themselves."""
    sets = lead_set_currents(at.circuit, cable_currents(at.circuit, at.split.current_a))
    if at.circuit.are_sets_separate and sets:
        return np.asarray(np.max(list(sets.values()), axis=0))
    return np.asarray(at.split.driver_current_a, dtype=float)
