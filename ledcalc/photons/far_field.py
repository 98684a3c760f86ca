"""A fixture as one far source: the light of its boards added up by direction."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Protocol

import numpy as np
from numpy.typing import ArrayLike

from ledcalc.arguments import FloatArray, Numbers, answer, numbers
from ledcalc.errors import ArgumentError
from ledcalc.photons.beams import Beam

__all__ = [
    "Emitter",
    "far_field_beam",
    "far_field_intensity",
    "grid_angles",
    "several_emitters",
    "smallest_planes",
    "spreads_of",
    "without_dark_half",
]

# Planes that agree this closely beside the peak are written once.
SAME_PLANE_FRACTION = 1e-6


class Emitter(Protocol):
    """What the far field asks of a source (a ``LightSource`` has it); where it lies makes no difference."""

    @property
    def photon_flux_umol_s(self) -> float:
        """Its photon flux in umol/s."""

    @property
    def cosine_exponent(self) -> float:
        """The exponent of its beam, where it has no ``beam`` of its own."""

    def axes(self) -> FloatArray:
        """Return unit vectors as rows: along its width, along its length, and the way it faces."""


def far_field_intensity(
    sources: Emitter | Iterable[Emitter],
    theta_rad: ArrayLike,
    phi_rad: ArrayLike = 0.0,
    *,
    beams: Sequence[Beam | None] | None = None,
) -> Numbers:
    """Return the photon intensity of a whole fixture, seen from far away.

    Parameters
    ----------
    sources : one source or several, such as ``LightSource``, turned and tilted as they hang
    theta_rad : rad, 0 to pi: from straight down, any shape
    phi_rad : rad, broadcast with it: from the room's x towards its y, counter-clockwise seen from above
    beams : None, or a beam for each source; None among them: the source's own ``beam`` if it has one, else its cos^m

    Returns
    -------
    umol/s/sr, the shape of the angles

    Raises
    ------
    ArgumentError (a ValueError): no sources, angles out of range, or beams that are not one a source

    Validity
    --------
    Far away only (five times the fixture's size errs about 1 % near the axis: common practice, no source). Boards do
    not shade each other.

    Examples
    --------
    >>> from ledcalc.photons import LightSource
    >>> board = LightSource(x_m=0, y_m=0, z_m=1, width_m=0.2, length_m=0.2, photon_flux_umol_s=100.0)
    >>> round(far_field_intensity([board, board], 0.0), 3)
    63.662
    """
    several = several_emitters(sources)
    spreads = spreads_of(several, beams)
    theta = numbers("theta_rad", theta_rad, at_least=0, at_most=np.pi)
    theta, phi = np.broadcast_arrays(theta, numbers("phi_rad", phi_rad))
    level = np.sin(theta)
    ways = np.stack([level * np.cos(phi), level * np.sin(phi), -np.cos(theta)], axis=-1)
    total = np.zeros(theta.shape)
    for source, beam in zip(several, spreads, strict=True):
        # Rounding must not push a ray along the board's own axis beyond 1.
        local = np.clip(ways @ source.axes().T, -1.0, 1.0)
        total += source.photon_flux_umol_s * beam.towards(local[..., 0], local[..., 1], local[..., 2])
    return answer(total)


def far_field_beam(
    sources: Emitter | Iterable[Emitter],
    *,
    theta_step_deg: float = 2.5,
    phi_step_deg: float = 10.0,
    beams: Sequence[Beam | None] | None = None,
) -> Beam:
    """Return a whole fixture's distribution as one tabulated beam that faces straight down.

    Parameters
    ----------
    sources, beams : as ``far_field_intensity``
    theta_step_deg, phi_step_deg : deg, above 0, that go into 90 a whole number of times

    Raises
    ------
    ArgumentError (a ValueError): as ``far_field_intensity``, or sources without light
    """
    theta, phi = grid_angles(theta_step_deg, phi_step_deg)
    values = np.asarray(
        far_field_intensity(sources, np.deg2rad(theta), np.deg2rad(phi)[:, None], beams=beams), dtype=float
    )
    theta, values = without_dark_half(theta, values)
    return Beam.tabulated(theta, *smallest_planes(phi, values))


def grid_angles(theta_step_deg: float, phi_step_deg: float) -> tuple[FloatArray, FloatArray]:
    """Return angles from the axis, 0 to 180 deg, and azimuths, 0 to 360 deg, in even steps that meet 90."""
    counts = []
    for name, step in (("theta_step_deg", theta_step_deg), ("phi_step_deg", phi_step_deg)):
        count = 90.0 / float(numbers(name, step, at_least=0.1, at_most=90))
        if abs(count - round(count)) > 1e-9:
            raise ArgumentError(name, step, "a step that goes into 90 deg a whole number of times")
        counts.append(round(count))
    return np.linspace(0.0, 180.0, 2 * counts[0] + 1), np.linspace(0.0, 360.0, 4 * counts[1] + 1)


def without_dark_half(theta_deg: FloatArray, values: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Return the angles and columns of the lower or the upper half alone where the other is dark."""
    for half, other in ((theta_deg <= 90.0, theta_deg > 90.0), (theta_deg >= 90.0, theta_deg < 90.0)):
        if (values[:, other] <= SAME_PLANE_FRACTION * values.max()).all():
            return theta_deg[half], values[:, half]
    return theta_deg, values


def smallest_planes(phi_deg: FloatArray, values: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Return the fewest azimuths that say all: round, four quadrants, two sides alike, or the whole circle.

    ``phi_deg``: even steps from 0 to 360 that meet 90; ``values``: a row each, that of 360 the same as of 0.
    """
    close = SAME_PLANE_FRACTION * values.max()

    def alike(mirrored_deg: FloatArray) -> bool:
        order = np.rint(np.mod(mirrored_deg, 360.0) / phi_deg[1]).astype(int)
        return bool(np.abs(values[order] - values).max() <= close)

    if np.abs(values - values[0]).max() <= close:
        return phi_deg[:1], values[:1]
    about_0, about_90 = alike(360.0 - phi_deg), alike(540.0 - phi_deg)
    first, last = (0, 90) if about_0 and about_90 else (0, 180) if about_0 else (90, 270) if about_90 else (0, 360)
    kept = (phi_deg >= first) & (phi_deg <= last)
    return phi_deg[kept], values[kept]


def several_emitters(sources: Emitter | Iterable[Emitter]) -> list[Emitter]:
    """Return one source or several as a list, or say which entry is none."""
    several = list(sources) if isinstance(sources, Iterable) else [sources]
    for source in several:
        if not hasattr(source, "axes") or not hasattr(source, "photon_flux_umol_s"):
            raise ArgumentError("sources", source, "sources such as LightSource")
    if not several:
        raise ArgumentError("sources", several, "at least one source")
    return several


def spreads_of(sources: Sequence[Emitter], beams: Sequence[Beam | None] | None) -> list[Beam]:
    """Return the beam of each source: the one given for it, else its own, else that of its exponent."""
    given = [None] * len(sources) if beams is None else list(beams)
    if len(given) != len(sources):
        raise ArgumentError("beams", len(given), f"one a source: {len(sources)}")
    found = []
    for source, beam in zip(sources, given, strict=True):
        own = getattr(source, "beam", None) if beam is None else beam
        found.append(own if isinstance(own, Beam) else Beam.cosine(source.cosine_exponent))
    return found
