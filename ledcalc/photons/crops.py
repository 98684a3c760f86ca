"""How much light crops are given, and what to mind about strong light."""

from __future__ import annotations

import re
from dataclasses import dataclass
from difflib import get_close_matches

from ledcalc.arguments import numbers
from ledcalc.errors import ArgumentError
from ledcalc.photons.spectrum import Spectrum
from ledcalc.tables import table

__all__ = ["CropMatch", "CropTarget", "LightNote", "crop_target", "crop_targets", "light_notes", "match_crop"]


@dataclass(frozen=True, slots=True, kw_only=True)
class CropTarget:
    """Daily light integral given to a crop; ``quantity`` says what the range is, ``confidence`` how well it stands."""

    crop: str
    quantity: str
    low_mol_m2_d: float
    high_mol_m2_d: float
    confidence: str
    source: str
    read_from: str

    def place(self, dli_mol_m2_d: float) -> str:
        """Say where a daily light integral lies: ``below``, ``within`` or ``above`` the range.

        Examples
        --------
        >>> crop_target("houseplants").place(3.0)
        'below'
        """
        dose = float(numbers("dli_mol_m2_d", dli_mol_m2_d, at_least=0))
        if dose < self.low_mol_m2_d:
            return "below"
        return "above" if dose > self.high_mol_m2_d else "within"


@dataclass(frozen=True, slots=True, kw_only=True)
class CropMatch:
    """What a text names of the crops' table: its ``target``, or None and the ``nearest`` name where one is near."""

    target: CropTarget | None
    nearest: str | None


@dataclass(frozen=True, slots=True, kw_only=True)
class LightNote:
    """Advice about a light: why it is given (``value`` against ``limit``; NaN: for any light), and on what basis."""

    code: str
    text: str
    value: float
    limit: float
    unit: str
    basis: str


def crop_targets() -> tuple[CropTarget, ...]:
    """Return the daily light integrals given to crops, from table ``crop_light_targets``.

    Examples
    --------
    >>> crop_targets()[0].crop
    'houseplants'
    """
    return tuple(
        CropTarget(
            crop=row["crop"],
            quantity=row["quantity"],
            low_mol_m2_d=float(row["low"]),
            high_mol_m2_d=float(row["high"]),
            confidence=row["confidence"],
            source=row["source"],
            read_from=row["read_from"],
        )
        for row in table("crop_light_targets")
    )


def crop_target(crop: str) -> CropTarget:
    """Return the daily light integral given to a crop.

    Parameters
    ----------
    crop : a name of the table, in small or capital letters

    Raises
    ------
    ArgumentError (a ValueError): no crop of that name; the text lists them

    Examples
    --------
    >>> crop_target("Microgreens").high_mol_m2_d
    12.0
    """
    targets = {target.crop.casefold(): target for target in crop_targets()}
    try:
        return targets[crop.strip().casefold()]
    except (AttributeError, KeyError):
        raise ArgumentError("crop", crop, ", ".join(target.crop for target in crop_targets())) from None


def match_crop(text: str) -> CropMatch:
    """Return the crop that a text names, alone or with an explanation behind it; else the nearest name.

    Parameters
    ----------
    text : what somebody wrote: ``head lettuce``, ``head lettuce (winter)``, ``Lettuce``

    Validity
    --------
    A name within a longer one is near and no more: a pepper's seedlings are not given a pepper's light.

    Examples
    --------
    >>> match_crop("Microgreens: radish").target.high_mol_m2_d
    12.0
    >>> match_crop("lettuce")
    CropMatch(target=None, nearest='head lettuce')
    """
    plain = " ".join(text.casefold().split())
    targets = {target.crop.casefold(): target for target in crop_targets()}
    for name in sorted(targets, key=len, reverse=True):
        if re.match(rf"{re.escape(name)}\s*($|[(:;])", plain):
            return CropMatch(target=targets[name], nearest=None)
    words = set(re.findall(r"\w+", plain))
    near = [name for name in targets if re.search(rf"(?<![\w-]){re.escape(name)}(?![\w-])", plain)]
    near += get_close_matches(plain, targets, n=1, cutoff=0.6)
    near += [name for name in targets if words and words <= set(re.findall(r"\w+", name))]
    return CropMatch(target=None, nearest=targets[near[0]].crop if near else None)


def light_notes(
    *, ppfd: float | None = None, photoperiod_h: float | None = None, spectrum: Spectrum | None = None
) -> tuple[LightNote, ...]:
    """Return what to mind about a light; what is None is not judged.

    Parameters
    ----------
    ppfd : umol m-2 s-1, at least 0: on the crop, at its highest
    photoperiod_h : h, from 0 to 24
    spectrum : of the light

    Returns
    -------
    the notes that hold for any light, and those whose limit is exceeded, in the table's order

    Raises
    ------
    ArgumentError (a ValueError): a number out of its range

    Validity
    --------
    Advice, no assessment: the risk group of a lamp is measured, not computed from its spectrum's shape.

    References
    ----------
    Table ``light_cautions``: each note says its own basis.

    Examples
    --------
    >>> [note.code for note in light_notes(ppfd=1500.0, photoperiod_h=12.0)]
    ['ppfd-without-co2', 'blue-light', 'bright-source']
    """
    known = {
        "ppfd": None if ppfd is None else float(numbers("ppfd", ppfd, at_least=0)),
        "photoperiod": (
            None if photoperiod_h is None else float(numbers("photoperiod_h", photoperiod_h, at_least=0, at_most=24))
        ),
        "ultraviolet": None if spectrum is None else spectrum.radiant_flux_w(100.0, 400.0) / spectrum.radiant_flux_w(),
    }
    notes = []
    for row in table("light_cautions"):
        value, limit = known.get(row["quantity"]), float(row["value"] or "nan")
        if row["quantity"] != "any light" and (value is None or value <= limit):
            continue
        notes.append(
            LightNote(
                code=row["code"],
                text=row["text"],
                value=float("nan") if value is None else value,
                limit=limit,
                unit=row["unit"],
                basis=row["source"] if row["read_from"] in row["source"] else f"{row['source']}, {row['read_from']}",
            )
        )
    return tuple(notes)
