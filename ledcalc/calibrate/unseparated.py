"""What the readings cannot tell apart: the combinations of values that they say less of than was known before."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ledcalc.arguments import FloatArray
from ledcalc.calibrate.instruments import Instrument
from ledcalc.calibrate.remedies import remedy_for
from ledcalc.calibrate.results import Unseparated
from ledcalc.calibrate.unknowns import Unknowns
from ledcalc.evaluation.parts import PlacedBoard

__all__ = ["unseparated_of"]

# Below this information, in units of what was known before, a combination counts as not told at all.
NOTHING = 0.02
# Below this share of its variance told, the readings say next to nothing of a value.
NEXT_TO_NOTHING = 0.05
# Parts that move less than this part of the one that moves most are not named.
NAMED_ALONE = 0.5
# Effects that cancel to less than this part of the largest make a combination; else a value is told little by itself.
CANCELLED = 0.5
MOST_NAMED = 4
MOST_SWEEPS = 50


@dataclass(frozen=True, slots=True, kw_only=True)
class _Part:
    """Unknowns of one sort within a combination: their places, words, and what sort they are for the remedy."""

    places: NDArray[np.intp]
    words: str
    sort: str
    sign: float


def unseparated_of(
    unknowns: Unknowns, placed: Sequence[PlacedBoard], instruments: Sequence[Instrument], design: FloatArray
) -> tuple[Unseparated, ...]:
    """Return the combinations that the readings halve the variance of at best, the least told first.

    Parameters
    ----------
    unknowns, placed, instruments : what is looked for, and what it is of
    design : slopes of the readings over their standard deviations, (readings, unknowns)

    References
    ----------
    Eigenvectors of the information matrix in units of the prior: L' J' W J L for the prior's covariance L L'. Vectors
    of no information mix at will; the varimax rotation (Kaiser 1958) makes each of as few values as can be.
    """
    root = np.linalg.cholesky(unknowns.covariance)
    seen = design @ root
    information, vectors = np.linalg.eigh(seen.T @ seen)
    nothing, weak = information < NOTHING, information < 1.0
    if not weak.any():
        return ()
    columns = np.concatenate([_varimax(vectors[:, nothing]), vectors[:, weak & ~nothing]], axis=1)
    found = [_combination(root @ column, seen @ column, unknowns, placed, instruments, design) for column in columns.T]
    return tuple(sorted(found, key=lambda entry: entry.told_fraction))


def _combination(
    moved: FloatArray,
    effect: FloatArray,
    unknowns: Unknowns,
    placed: Sequence[PlacedBoard],
    instruments: Sequence[Instrument],
    design: FloatArray,
) -> Unseparated:
    """Say in words what moves together when the unknowns move so."""
    parts = _parts(moved, unknowns, placed, instruments)
    effects = [design[:, part.places] @ moved[part.places] for part in parts]
    weights = [_weight(moved[part.places], unknowns.covariance[np.ix_(part.places, part.places)]) for part in parts]
    told = float(effect @ effect) / (1.0 + float(effect @ effect))
    first = int(np.argmax(weights))
    chosen = _cancelling(effects, first) if np.linalg.norm(effects[first]) > 1.0 else [first]
    if len(chosen) > 1:
        named = [parts[number] for number in sorted(chosen, key=lambda number: -weights[number])]
        turned = [f"{part.words} {'up' if part.sign == named[0].sign else 'down'}" for part in named]
        text = f"the readings know only what these do together; {_listed(turned)} changes hardly any reading"
    else:
        largest = max(weights)
        named = [part for part, weight in zip(parts, weights, strict=True) if weight > NAMED_ALONE * largest]
        text = f"the readings say {'next to nothing' if told < NEXT_TO_NOTHING else 'little'} of it"
    return Unseparated(
        names=tuple(part.words for part in named),
        told_fraction=told,
        text=f"{_listed([part.words for part in named])}: {text}",
        remedy=remedy_for({part.sort for part in named}),
    )


def _weight(moved: FloatArray, covariance: FloatArray) -> float:
    """Return how far a part moves in terms of what was known of it."""
    return float(np.sqrt(moved @ np.linalg.solve(covariance, moved)))


def _cancelling(effects: Sequence[FloatArray], first: int) -> list[int]:
    """Return the fewest parts whose effects on the readings cancel that of one of them; that alone where none do."""
    chosen, left = [first], effects[first]
    enough = CANCELLED * float(np.linalg.norm(left))
    while np.linalg.norm(left) > enough:
        rest = [number for number in range(len(effects)) if number not in chosen]
        closest = min(rest, key=lambda number: float(np.linalg.norm(left + effects[number])), default=first)
        if closest == first or np.linalg.norm(left + effects[closest]) >= np.linalg.norm(left):
            return [first]
        chosen.append(closest)
        left = left + effects[closest]
    return chosen


def _parts(
    moved: FloatArray, unknowns: Unknowns, placed: Sequence[PlacedBoard], instruments: Sequence[Instrument]
) -> list[_Part]:
    """Return the parts of a combination: boards of a model and sinks as one each, every other value by itself."""
    groups: dict[str, list[int]] = {}
    for place, entry in enumerate(unknowns.entries):
        model = placed[entry.number].model.tag if entry.kind == "voltage" else ""
        alone = "" if entry.kind in {"voltage", "sink"} else str(place)
        groups.setdefault(f"{entry.kind} {model}{alone}", []).append(place)
    found = []
    for places in groups.values():
        entries = [unknowns.entries[place] for place in places]
        own, kind = moved[places], entries[0].kind
        together = _move_together(own)
        sort = f"meter {instruments[entries[0].number].kind}" if kind == "meter" else kind
        words = entries[0].name
        if kind in {"voltage", "sink"} and len(places) > 1:
            sort = f"{kind} {'mean' if together else 'each'}"
            words = _of_several(own, [entry.name for entry in entries], kind, together=together)
        elif kind == "voltage":
            sort = "voltage mean"
        found.append(
            _Part(places=np.array(places), words=words, sort=sort, sign=float(np.sign(own[np.abs(own).argmax()])))
        )
    return found


def _move_together(moved: FloatArray) -> bool:
    return bool(np.abs(moved).max() > 0 and np.abs(moved - moved.mean()).max() < 0.5 * np.abs(moved.mean()))


def _of_several(moved: FloatArray, names: Sequence[str], kind: str, *, together: bool) -> str:
    plural = {"voltage": "voltages of the boards", "sink": "resistances of the sinks"}[kind]
    if together:
        return f"{plural} as a whole"
    largest = np.flatnonzero(np.abs(moved) > NAMED_ALONE * np.abs(moved).max())
    if largest.size > MOST_NAMED:
        return f"{plural} among each other"
    return _listed([names[int(number)] for number in largest])


def _listed(words: Sequence[str]) -> str:
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"


def _varimax(vectors: FloatArray) -> FloatArray:
    """Return the vectors turned among each other, two at a time, so that each has few large entries."""
    turned = vectors.copy()
    rows, count = turned.shape
    for _ in range(MOST_SWEEPS):
        largest = 0.0
        for one in range(count):
            for other in range(one):
                x, y = turned[:, one].copy(), turned[:, other].copy()
                u, v = x * x - y * y, 2.0 * x * y
                above = 2.0 * (u @ v) - 2.0 * u.sum() * v.sum() / rows
                below = u @ u - v @ v - (u.sum() ** 2 - v.sum() ** 2) / rows
                angle = np.arctan2(above, below) / 4.0
                turned[:, one] = np.cos(angle) * x + np.sin(angle) * y
                turned[:, other] = np.cos(angle) * y - np.sin(angle) * x
                largest = max(largest, abs(float(angle)))
        if largest < 1e-9:
            break
    return turned
