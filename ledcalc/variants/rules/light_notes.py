"""Notes about the light, in blocks."""

from __future__ import annotations

from dataclasses import dataclass
from typing import cast

import numpy as np

from ledcalc.arguments import FloatArray
from ledcalc.checks.light_notes import blue_fraction, published_crop, published_range, ultraviolet
from ledcalc.checks.limits import OVER, limit
from ledcalc.photons import light_notes
from ledcalc.results import Evaluation
from ledcalc.variants.blocks.arrays import column
from ledcalc.variants.blocks.worked import Worked
from ledcalc.variants.rules.counts import Check, Counts

__all__ = ["LIGHT_NOTE_RULES"]

# More than any light, and the longest day there is: notes with a limit are given there, and say it.
MORE_UMOL_M2_S, LONGEST_H = 1e9, 24.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Models:
    """What the note on ultraviolet asks of board results."""

    model: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class OfBoards:
    """What the note on ultraviolet asks of results."""

    boards: Models


def _models(worked: Worked) -> tuple[str, ...]:
    return tuple(board.model.tag for board in worked.block.structure.placed)


def _limit(code: str) -> float:
    notes = light_notes(ppfd=MORE_UMOL_M2_S, photoperiod_h=LONGEST_H)
    return next((note.limit for note in notes if note.code == code), np.inf)


def _ppfd_without_co2(worked: Worked) -> Counts:
    if worked.block.structure.fixture.site.added_co2 == "yes":
        return {}
    return {"note": worked.light.statistics.maximum > _limit("ppfd-without-co2")}


def _long_day(worked: Worked) -> Counts:
    hours = column(worked.block.fixture.site.photoperiod_h, worked.block.count)
    return {"note": (hours > _limit("long-day")) & (worked.light.statistics.mean > 0)}


def _ultraviolet(worked: Worked) -> Counts:
    seen = cast(Evaluation, OfBoards(boards=Models(model=_models(worked))))
    found = sum(1 for _ in ultraviolet(worked.block.structure.fixture, seen))
    return {"note": np.full(worked.block.count, found)}


def _blue_light(worked: Worked) -> Counts:
    share = blue_fraction(worked.block.structure.fixture, _models(worked))
    return _bright(share * worked.light.statistics.maximum, "blue_ppfd_umol_m2_s")


def _bright_source(worked: Worked) -> Counts:
    return _bright(worked.light.statistics.maximum, "bright_ppfd_umol_m2_s")


def _bright(most_umol_m2_s: FloatArray, limit_name: str) -> Counts:
    return {"note": most_umol_m2_s > limit(limit_name) * OVER}


def _dose_off_published_range(worked: Worked) -> Counts:
    crop, dose = published_crop(worked.block.fixture), worked.light.dli_mean_mol_m2_d
    if crop is None:
        return {}
    low, high = published_range(crop)
    return {"note": (dose > 0) & ~((low <= dose * OVER) & (dose <= high * OVER))}


LIGHT_NOTE_RULES: dict[str, Check] = {
    "ppfd-without-co2": _ppfd_without_co2,
    "long-day": _long_day,
    "ultraviolet": _ultraviolet,
    "blue-light": _blue_light,
    "bright-source": _bright_source,
    "dose-off-published-range": _dose_off_published_range,
}
