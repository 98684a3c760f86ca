"""What a calibration gives: values with their errors, what the readings cannot tell, and the fixture with it put in."""

from __future__ import annotations

from dataclasses import dataclass

from ledcalc.arguments import FloatArray
from ledcalc.errors import ArgumentError
from ledcalc.fixture import Fixture

__all__ = ["Calibration", "Compared", "Estimate", "KindCompared", "LeftOut", "MapCompared", "Unseparated"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Estimate:
    """One value: before and after the readings, each with its standard error, in ``unit``.

    ``path``: the input that it goes into; empty for a meter's error and for a mean of several boards.
    ``told_fraction``: share of the variance that the readings took away. ``is_at_bound``: held by a limit of what is
    possible, so that its error says little. ``basis``: where the width before comes from.
    """

    name: str
    path: str
    unit: str
    prior_value: float
    prior_error: float
    value: float
    standard_error: float
    told_fraction: float
    is_at_bound: bool
    basis: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Unseparated:
    """A combination of values that the readings tell less of than was known before; ``told_fraction``: how much.

    ``text`` says it in words, ``remedy`` what readings would tell it.
    """

    names: tuple[str, ...]
    told_fraction: float
    text: str
    remedy: str


@dataclass(frozen=True, slots=True, kw_only=True)
class KindCompared:
    """Readings of one kind against their prediction: differences in ``unit``, and in standard deviations."""

    kind: str
    unit: str
    readings_count: int
    mean_difference: float
    rms_difference: float
    rms_normalised: float


@dataclass(frozen=True, slots=True, kw_only=True)
class MapCompared:
    """One light survey at one height: PPFD measured and predicted at its points and by ring, in umol m-2 s-1; measured
    is as read, corrected by what the Surveys sheet says.

    ``ring_sides_m``: full sides of the squares about the crop's centre on which points lie.
    """

    survey: str
    height_m: float
    x_m: FloatArray
    y_m: FloatArray
    measured_umol_m2_s: FloatArray
    predicted_umol_m2_s: FloatArray
    difference_umol_m2_s: FloatArray
    ring_sides_m: FloatArray
    ring_measured_umol_m2_s: FloatArray
    ring_predicted_umol_m2_s: FloatArray


@dataclass(frozen=True, slots=True, kw_only=True)
class Compared:
    """Every reading against its prediction, an entry a reading, in ``unit``; and what that says.

    ``error``: the standard deviation that ``normalised`` counts in. ``chi_square`` over ``degrees_count`` is 1 on
    average where model and meters are as stated; ``agreement`` says it in words.
    """

    place: tuple[str, ...]
    kind: tuple[str, ...]
    unit: tuple[str, ...]
    readings_count: tuple[int, ...]
    measured: FloatArray
    predicted: FloatArray
    error: FloatArray
    normalised: FloatArray
    chi_square: float
    degrees_count: int
    agreement: str
    kinds: tuple[KindCompared, ...]
    maps: tuple[MapCompared, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class LeftOut:
    """Readings of one kind predicted by a calibration that did not have them: root mean square differences in ``unit``
    before and after, and in the meters' standard deviations."""

    kind: str
    unit: str
    readings_count: int
    rms_before: float
    rms_after: float
    rms_normalised_before: float
    rms_normalised_after: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Calibration:
    """A fixture calibrated by its readings.

    ``estimates`` and ``correlation``: values in one order. ``unseparated``: what the readings cannot tell apart, the
    least told first. ``before``: the readings against the fixture as it was; ``after``: against the calibrated one, its
    meters' errors put in. ``left_out``: parts of the readings predicted by the others; empty where that was not asked
    for. ``fixture``: with the values put in. ``assumptions``: what was taken for granted; ``notes``: what to know.
    """

    estimates: tuple[Estimate, ...]
    correlation: FloatArray
    unseparated: tuple[Unseparated, ...]
    before: Compared
    after: Compared
    left_out: tuple[LeftOut, ...]
    left_out_agreement: str
    fixture: Fixture
    readings_count: int
    unknowns_count: int
    assumptions: tuple[str, ...]
    notes: tuple[str, ...]

    def estimate(self, name: str) -> Estimate:
        """Return the value of a name.

        Raises
        ------
        ArgumentError (a ValueError): there is none
        """
        for entry in self.estimates:
            if entry.name == name:
                return entry
        raise ArgumentError("name", name, ", ".join(entry.name for entry in self.estimates))
