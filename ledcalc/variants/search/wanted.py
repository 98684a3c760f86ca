"""What a fixture is looked for, and among what: the target, and the space that is searched."""

from __future__ import annotations

import math
from dataclasses import dataclass

from ledcalc.arguments import numbers, whole_numbers
from ledcalc.errors import ArgumentError
from ledcalc.fixture import Fixture
from ledcalc.photons import ppfd_for_dose

__all__ = ["DesignSpace", "DesignTarget", "target_of_site"]


@dataclass(frozen=True, slots=True, kw_only=True)
class DesignTarget:
    """What the fixture must reach: mean PPFD and min/mean over the crop, and what it may not exceed.

    ``most_purchase_cost``: money, all parts landed; ``most_board_c``: degC of the hottest board, beside its own rating;
    ``most_weight_kg``: of all that hangs. Infinite: no limit.
    """

    mean_ppfd_umol_m2_s: float
    least_min_over_mean: float = 0.0
    most_purchase_cost: float = math.inf
    most_board_c: float = math.inf
    most_weight_kg: float = math.inf

    def __post_init__(self) -> None:
        """Refuse what is no target."""
        numbers("mean_ppfd_umol_m2_s", self.mean_ppfd_umol_m2_s, above=0)
        numbers("least_min_over_mean", self.least_min_over_mean, at_least=0, below=1)
        for name in ("most_purchase_cost", "most_board_c", "most_weight_kg"):
            numbers(name, getattr(self, name), above=0, infinite=True)


@dataclass(frozen=True, slots=True, kw_only=True)
class DesignSpace:
    """Among what is searched, beside the boards, heat sinks and drivers of the catalogue.

    ``least_boards_count`` to ``most_boards_count`` in rows and columns over the crop's middle, in parallel or, with
    ``in_series_counts`` above 1, in strings of so many boards. ``wire_sizes``: empty for the size of the catalogue's
    first cable, which is the pattern for all other properties of the wires. Heights and pitches go in steps; the outer
    boards' faces may stand ``overhang_m`` beyond the crop. Wires run square from the driver, ``driver_x_m`` and
    ``driver_y_m`` from the crop's corner (None: over its middle), and take ``wire_slack_m`` more. The driver's current
    goes in steps of ``setting_step_a``, as a dial can be read.
    """

    least_boards_count: int = 1
    most_boards_count: int = 12
    in_series_counts: tuple[int, ...] = (1,)
    wire_sizes: tuple[str, ...] = ()
    least_height_m: float
    most_height_m: float
    height_step_m: float = 0.02
    pitch_step_m: float = 0.02
    overhang_m: float = 0.0
    driver_x_m: float | None = None
    driver_y_m: float | None = None
    wire_slack_m: float = 0.3
    setting_step_a: float = 0.01

    def __post_init__(self) -> None:
        """Refuse an empty space."""
        least = int(whole_numbers("least_boards_count", self.least_boards_count, at_least=1))
        whole_numbers("most_boards_count", self.most_boards_count, at_least=least)
        if not self.in_series_counts:
            raise ArgumentError("in_series_counts", (), "at least one count; (1,) for boards in parallel")
        whole_numbers("in_series_counts", self.in_series_counts, at_least=1)
        low = float(numbers("least_height_m", self.least_height_m, above=0))
        numbers("most_height_m", self.most_height_m, at_least=low)
        for name in ("height_step_m", "pitch_step_m", "setting_step_a"):
            numbers(name, getattr(self, name), above=0)
        for name in ("overhang_m", "wire_slack_m"):
            numbers(name, getattr(self, name), at_least=0)


def target_of_site(fixture: Fixture, **limits: float) -> DesignTarget:
    """Return what the Site sheet asks for: its PPFD, else the low end of its DLI, and its min/mean.

    Parameters
    ----------
    fixture : the catalogue
    limits : further fields of ``DesignTarget``

    Raises
    ------
    ArgumentError (a ValueError): the site names neither PPFD nor DLI

    Examples
    --------
    >>> from ledcalc.demo import seedling_bench
    >>> round(target_of_site(seedling_bench()).mean_ppfd_umol_m2_s, 1)
    138.9
    """
    site = fixture.site
    mean = site.target_ppfd_umol_m2_s
    if mean is None and site.target_dli_low_mol_m2_d is not None:
        mean = float(ppfd_for_dose(site.target_dli_low_mol_m2_d, site.photoperiod_h))
    if mean is None:
        raise ArgumentError("site", "no target", "a target PPFD or DLI on the Site sheet")
    given = {"least_min_over_mean": site.target_min_over_mean_fraction or 0.0, **limits}
    return DesignTarget(mean_ppfd_umol_m2_s=mean, **given)
