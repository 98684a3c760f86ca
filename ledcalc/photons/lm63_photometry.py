"""What a photometric file of the LM-63 form says, in SI units, with all its factors applied."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from ledcalc.arguments import FloatArray, Numbers, answer, numbers
from ledcalc.photons.beams import Beam

__all__ = ["LampTilt", "LuminousOpening", "Photometry", "luminous_opening", "remarks_on"]

# By definition of the lumen, no light gives more of them a watt.
MOST_LM_PER_W = 683.0
ODD_FLUX_FRACTION = 0.05
ODD_STEP_FRACTION = 0.02


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LampTilt:
    """How the output changes with the luminaire's tilt: the block that follows TILT=INCLUDE.

    ``lamp_position``: 1, 2 or 3, the lamp's position in the luminaire, as the standard numbers them.
    """

    lamp_position: int
    angles_deg: FloatArray
    multipliers: FloatArray

    def multiplier_at(self, angle_deg: ArrayLike) -> Numbers:
        """Return the multiplier at a tilt in deg, straight between those given and level beyond them."""
        return answer(np.interp(numbers("angle_deg", angle_deg), self.angles_deg, self.multipliers))


@dataclass(frozen=True, slots=True, kw_only=True)
class LuminousOpening:
    """The face that shines: ``shape`` is "point", "rectangle" or "rounded" (the file gives that as negative sizes).

    ``length_m`` lies along the plane of horizontal angle 0 (a board's own x, its ``width_m``), ``width_m`` along that
    of 90 deg, ``height_m`` upright. Which is which: from memory of the standard.
    """

    shape: str
    width_m: float
    length_m: float
    height_m: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Photometry:
    """A luminaire's distribution, type C, hanging as it is meant to: vertical angle 0 is straight down.

    Parameters
    ----------
    edition : 1991, 1995, 2002 or 2019
    keywords : name and text of each, in the file's order; the text of [MORE] lines is joined to the one before
    lamp_count, lamp_flux_lm : lamps, and lm of each; None: absolute photometry
    vertical_deg, horizontal_deg : deg; the range of the horizontal angles says the symmetry (``Beam.tabulated``);
        they count counter-clockwise seen from above (from memory of the standard)
    intensity_cd : cd, shape (horizontal, vertical); multiplier, ballast factors and lamp tilt at 0 deg applied
    factor : what the file's own candela values were multiplied by for that
    opening : the luminous opening
    power_w : W, as the file states it
    tilt : None, or the lamp tilt block
    file_remarks : what was odd while reading, with its line
    lamp_line, ballast_line, plane_lines : where the file has them; 0 and none: not from a file
    """

    edition: int
    keywords: tuple[tuple[str, str], ...]
    lamp_count: int
    lamp_flux_lm: float | None
    vertical_deg: FloatArray
    horizontal_deg: FloatArray
    intensity_cd: FloatArray
    factor: float
    opening: LuminousOpening
    power_w: float
    tilt: LampTilt | None = None
    file_remarks: tuple[str, ...] = ()
    lamp_line: int = 0
    ballast_line: int = 0
    plane_lines: tuple[int, ...] = ()

    def keyword(self, name: str) -> str:
        """Return the text of the first keyword of that name, empty where there is none."""
        return next((text for key, text in self.keywords if key == name.strip("[]").upper()), "")

    def beam(self) -> Beam:
        """Return the distribution as a beam: its azimuth 0 is the horizontal angle 0."""
        return Beam.tabulated(self.vertical_deg, self.horizontal_deg, self.intensity_cd)

    @property
    def luminous_flux_lm(self) -> float:
        """Luminous flux in lm: the candela values integrated over the sphere."""
        table = self.beam().table
        return 0.0 if table is None else table.flux

    def photon_intensity(self, lm_per_umol_s: float) -> FloatArray:
        """Return the photon intensity in umol/s/sr, in the shape of ``intensity_cd``.

        Parameters
        ----------
        lm_per_umol_s : lm for one umol/s, above 0: follows from the spectrum alone
        """
        return np.asarray(self.intensity_cd / numbers("lm_per_umol_s", lm_per_umol_s, above=0))

    def photon_flux_umol_s(self, lm_per_umol_s: float) -> float:
        """Return the photon flux in umol/s (``lm_per_umol_s``: lm for one umol/s, above 0)."""
        return self.luminous_flux_lm / float(numbers("lm_per_umol_s", lm_per_umol_s, above=0))

    @property
    def remarks(self) -> tuple[str, ...]:
        """What is legal in the file but odd, in words; empty where nothing is."""
        return (*self.file_remarks, *self._odd_flux(), *self._odd_planes())

    def _odd_flux(self) -> list[str]:
        flux, lamps = self.luminous_flux_lm, self.lamp_count * (self.lamp_flux_lm or 0.0)
        odd = []
        if self.lamp_flux_lm is not None and flux > lamps * (1.0 + ODD_FLUX_FRACTION):
            odd.append(
                f"{_place(self.lamp_line)}the candela values add up to {flux:.0f} lm, more than the {lamps:.0f} lm of "
                "the lamps: a multiplier or the lamps' lumens are wrong"
            )
        if self.power_w > 0 and flux / self.power_w > MOST_LM_PER_W:
            odd.append(
                f"{_place(self.ballast_line)}{flux:.0f} lm from {self.power_w:g} W is more than light can give: "
                "a multiplier or the watts are wrong"
            )
        return odd

    def _odd_planes(self) -> list[str]:
        peak, odd = float(self.intensity_cd.max()), []
        for column, pole, place in ((0, 0.0, "straight down"), (-1, 180.0, "straight up")):
            values = self.intensity_cd[:, column]
            spread = float(np.ptp(values)) / peak
            if self.vertical_deg[column] == pole and spread > ODD_STEP_FRACTION:
                odd.append(
                    f"{self._plane_place(int(np.abs(values - np.median(values)).argmax()))}the candela values {place} "
                    f"differ between the planes by {spread:.1%} of the peak; it is one direction"
                )
        step = float(np.abs(self.intensity_cd[0] - self.intensity_cd[-1]).max()) / peak
        if self.horizontal_deg[-1] == 360 and step > ODD_STEP_FRACTION:
            odd.append(
                f"{self._plane_place(-1)}the planes of 0 and 360 deg differ by {step:.1%} of the peak; that of 0 deg "
                "was used"
            )
        return odd

    def _plane_place(self, plane: int) -> str:
        return _place(self.plane_lines[plane]) if self.plane_lines else ""


def _place(line: int) -> str:
    return f"line {line}: " if line else ""


def luminous_opening(edition: int, width_m: float, length_m: float, height_m: float) -> LuminousOpening:
    """Return the opening from the file's sizes in m; negative ones mean rounded shapes (codes from memory)."""
    rounded = min(width_m, length_m) < 0
    if rounded and edition < 2002 and length_m == 0:
        # Up to 1995 a round opening gives its diameter once.
        length_m = width_m
    sizes = [abs(size) for size in (width_m, length_m, height_m)]
    shape = "rounded" if rounded else "rectangle" if max(sizes) > 0 else "point"
    return LuminousOpening(shape=shape, width_m=sizes[0], length_m=sizes[1], height_m=sizes[2])


def remarks_on(edition: int, second_factor: float, tilt: LampTilt | None, lines: tuple[int, int]) -> list[str]:
    """Return what is odd about the factors of a file (``lines``: those of TILT and of the ballast)."""
    tilt_line, line = lines
    odd = []
    if edition < 2019 and second_factor != 1.0:
        odd.append(
            f"line {line}: the second number is {second_factor:g}, usually 1; the candela values were multiplied by it"
        )
    if edition >= 2019 and not 1.0 <= second_factor < 1.2:
        odd.append(
            f"line {line}: the second number is {second_factor:g}; it was not used as a factor, as in this edition"
        )
    if tilt is not None:
        odd.append(
            f"line {tilt_line}: the lamp's output changes with the luminaire's tilt; the values hold for it hanging "
            f"level (multiplier {float(tilt.multiplier_at(0.0)):g})"
        )
    return odd
