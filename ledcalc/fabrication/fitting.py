"""What a bundle of cables fits: sleeves, braid, heat-shrink tube."""

from __future__ import annotations

from dataclasses import dataclass

from numpy.typing import ArrayLike

from ledcalc.arguments import choice, numbers
from ledcalc.fabrication.packing import bundle_diameter
from ledcalc.tables import table

__all__ = ["SHRINK_RATIOS", "BraidFit", "ShrinkFit", "SleeveFit", "braid_for", "heat_shrink_for", "sleeve_for"]

SHRINK_RATIOS = ("2:1", "3:1")


@dataclass(frozen=True, slots=True, kw_only=True)
class SleeveFit:
    """A bundle in a sleeve. ``needed_m``: inner diameter with clearance; ``fits``: as much as that is there."""

    bundle_m: float
    needed_m: float
    sleeve_inner_m: float
    spare_m: float
    fits: bool
    status: str


def sleeve_for(diameters_m: ArrayLike, sleeve_inner_m: float, *, clearance_fraction: float = 0.05) -> SleeveFit:
    """Return whether a bundle of cables can be pulled into a sleeve.

    Parameters
    ----------
    diameters_m : m, above 0, a cable an entry, 1 to 100 of them
    sleeve_inner_m : m, above 0: inner diameter
    clearance_fraction : at least 0: room to pull the bundle in, over the bundle's diameter

    Returns
    -------
    SleeveFit; status ``"fits"``, ``"tight: goes in, but without the clearance to pull it"``, ``"not shown to fit"``
    (thinner than the packing found, not below the proved bound) or ``"does not fit"``

    Raises
    ------
    ArgumentError (a ValueError): no cable, more than 100, or a number out of its range

    Validity
    --------
    Smooth straight sleeves; bends and connectors that have to pass want more.

    References
    ----------
    Clearance of 5 % of the bundle: common practice, no source.

    Examples
    --------
    >>> sleeve_for([0.0055, 0.0055, 0.0055], 0.0127).status
    'fits'
    """
    inner = float(numbers("sleeve_inner_m", sleeve_inner_m, above=0))
    clearance = float(numbers("clearance_fraction", clearance_fraction, at_least=0))
    bundle = bundle_diameter(diameters_m)
    needed = bundle.diameter_m * (1.0 + clearance)
    # A sleeve of just the bundle's size fits; the packing is known to about 1e-9 of its diameter.
    slack = 1e-9 * inner
    if needed <= inner + slack:
        status = "fits"
    elif bundle.diameter_m <= inner + slack:
        status = "tight: goes in, but without the clearance to pull it"
    elif bundle.lower_bound_m <= inner:
        status = "not shown to fit"
    else:
        status = "does not fit"
    return SleeveFit(
        bundle_m=bundle.diameter_m,
        needed_m=needed,
        sleeve_inner_m=inner,
        spare_m=inner - needed,
        fits=status == "fits",
        status=status,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class BraidFit:
    """A bundle in an expandable braid. ``expansion_fraction``: 0 at the braid's narrow end, 1 at its wide end."""

    bundle_m: float
    expansion_fraction: float
    fits: bool
    status: str


def braid_for(diameters_m: ArrayLike, braid_low_m: float, braid_high_m: float) -> BraidFit:
    """Return whether an expandable braided sleeve lies close round a bundle of cables.

    Parameters
    ----------
    diameters_m : m, above 0, a cable an entry, 1 to 100 of them
    braid_low_m, braid_high_m : m, above 0: bundle diameters that the maker states, narrowest and widest

    Returns
    -------
    BraidFit; status ``"fits"``, ``"too thin: the braid stays loose"`` or ``"too thick: the braid does not open so
    far"``

    Raises
    ------
    ArgumentError (a ValueError): no cable, more than 100, a number out of its range, or a range upside down

    Examples
    --------
    >>> braid_for([0.0055, 0.0055], 0.006, 0.016).status
    'fits'
    """
    low = float(numbers("braid_low_m", braid_low_m, above=0))
    high = float(numbers("braid_high_m", braid_high_m, above=low))
    bundle = bundle_diameter(diameters_m).diameter_m
    status = "fits"
    if bundle < low * (1.0 - 1e-9):
        status = "too thin: the braid stays loose"
    elif bundle > high * (1.0 + 1e-9):
        status = "too thick: the braid does not open so far"
    return BraidFit(
        bundle_m=bundle, expansion_fraction=(bundle - low) / (high - low), fits=status == "fits", status=status
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class ShrinkFit:
    """A heat-shrink tube chosen; both diameters NaN where none fits."""

    supplied_m: float
    recovered_m: float
    fits: bool
    status: str


def heat_shrink_for(
    object_m: float, *, ratio: str = "2:1", margin_fraction: float = 0.1, passed_m: float | None = None
) -> ShrinkFit:
    """Return the smallest heat-shrink tube that slides on and grips when shrunk.

    Parameters
    ----------
    object_m : m, above 0: diameter to be gripped
    ratio : ``"2:1"`` or ``"3:1"``
    margin_fraction : at least 0, below 1: room to slide on, and grip when shrunk, over the diameters
    passed_m : m, at least ``object_m``: the widest part that the tube has to slide over; None: the object itself

    Returns
    -------
    ShrinkFit; status ``"fits"``, ``"no tube of this ratio is wide enough"`` or ``"no tube of this ratio shrinks so
    far"``

    Raises
    ------
    ArgumentError (a ValueError): an unknown ratio, or a number out of its range

    Validity
    --------
    Sizes of the table; walls add to the outside and are left out.

    References
    ----------
    Supplied at least the object plus the margin, recovered below the object by the margin: common practice, no source.
    Sizes: table ``heat_shrink``.

    Examples
    --------
    >>> heat_shrink_for(0.0055).supplied_m
    0.0064
    """
    gripped = float(numbers("object_m", object_m, above=0))
    passed = gripped if passed_m is None else float(numbers("passed_m", passed_m, at_least=gripped))
    margin = float(numbers("margin_fraction", margin_fraction, at_least=0, below=1))
    series = choice("ratio", ratio, SHRINK_RATIOS)
    tubes = sorted(
        (float(row["supplied_mm"]) / 1000.0, float(row["recovered_mm"]) / 1000.0)
        for row in table("heat_shrink")
        if row["ratio"] == series
    )
    wide = [tube for tube in tubes if tube[0] >= passed * (1.0 + margin) * (1.0 - 1e-9)]
    if not wide:
        return _no_tube("no tube of this ratio is wide enough")
    supplied, recovered = wide[0]
    if recovered >= gripped * (1.0 - margin) * (1.0 + 1e-9):
        return _no_tube("no tube of this ratio shrinks so far")
    return ShrinkFit(supplied_m=supplied, recovered_m=recovered, fits=True, status="fits")


def _no_tube(status: str) -> ShrinkFit:
    return ShrinkFit(supplied_m=float("nan"), recovered_m=float("nan"), fits=False, status=status)
