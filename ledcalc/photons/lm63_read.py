"""Reads photometric files of the LM-63 form (1991, 1995, 2002, 2019): what cannot be meant is an error."""

from __future__ import annotations

import re
from pathlib import Path

import numpy as np

from ledcalc.arguments import FloatArray
from ledcalc.errors import ArgumentError, FileProblem
from ledcalc.photons.lm63_lines import NumberedLines
from ledcalc.photons.lm63_photometry import LampTilt, Photometry, luminous_opening, remarks_on

__all__ = ["parse_lm63", "read_lm63"]

EDITIONS = {"IESNA91": 1991, "IESNA:LM-63-1995": 1995, "IESNA:LM-63-2002": 2002, "IES:LM-63-2019": 2019}
LAMP_COUNT, LAMP_FLUX, MULTIPLIER, VERTICALS, HORIZONTALS, KIND, UNITS, WIDTH, LENGTH, HEIGHT = range(10)
VERTICAL_ENDS = {(0.0, 90.0), (0.0, 180.0), (90.0, 180.0)}
HORIZONTAL_ENDS = {(0.0, 0.0), (0.0, 90.0), (0.0, 180.0), (0.0, 360.0), (90.0, 270.0)}
FOOT_M = 0.3048
LARGEST_FILE_BYTES = 20_000_000
# Beyond these a slip is far likelier than the number.
SMALLEST_FACTOR, LARGEST_FACTOR, LARGEST_SIZE_M, LARGEST_CD, MOST_ANGLES = 1e-4, 1e4, 100.0, 1e9, 10_000


def read_lm63(path: str | Path) -> Photometry:
    """Read a photometric file.

    Parameters
    ----------
    path : the file

    Raises
    ------
    FileProblem : it cannot be opened, or as ``parse_lm63``
    """
    place = Path(path)
    try:
        if place.stat().st_size > LARGEST_FILE_BYTES:
            raise FileProblem(f"{place}: larger than {LARGEST_FILE_BYTES // 1_000_000} MB; no photometric file is")
        content = place.read_bytes()
    except OSError as problem:
        raise FileProblem(f"{place}: cannot be read ({problem.strerror or problem})") from None
    return parse_lm63(content, name=str(place))


def parse_lm63(content: str | bytes, *, name: str = "photometric file") -> Photometry:
    """Read the content of a photometric file.

    Parameters
    ----------
    content : text, or bytes in ASCII, UTF-8 or Latin-1
    name : what errors call it

    Raises
    ------
    FileProblem : with the line: another form or edition, photometric type A or B, TILT naming a file, counts that do
        not fit, angles out of order, values that are no numbers, negative or absurd

    Validity
    --------
    Editions 1991, 1995, 2002 and 2019, type C. Each group of numbers begins on a line of its own. The second number
    of the ballast line multiplies up to the edition of 2002; in 2019 it tells how the file came about and does not
    (from memory of the standard). What is legal but odd stands in ``Photometry.remarks``.

    References
    ----------
    ANSI/IES LM-63-2002 and LM-63-2019: structure as publicly described; first line of 2019 from memory.
    """
    lines = NumberedLines(content, name)
    edition = _edition(lines)
    keywords, odd = _keywords(lines)
    tilt_line = lines.line + 1
    tilt = _tilt(lines)
    lamp = _lamp_line(lines)
    lamp_line = lines.line
    factor, ballast = _factors(lines, lamp, edition, tilt)
    ballast_line = lines.line
    vertical = _angles(lines, "vertical", int(lamp[VERTICALS]), VERTICAL_ENDS)
    horizontal = _angles(lines, "horizontal", int(lamp[HORIZONTALS]), HORIZONTAL_ENDS)
    planes, plane_lines = [], []
    for angle in horizontal:
        plane_lines.append(lines.line + 1)
        planes.append(_plane(lines, angle, vertical.size, factor))
    lines.nothing_left()
    odd += _open_end(lines)
    size = luminous_opening(edition, *(float(lamp[at]) * _unit_m(lamp) for at in (WIDTH, LENGTH, HEIGHT)))
    photometry = Photometry(
        edition=edition,
        keywords=keywords,
        lamp_count=int(lamp[LAMP_COUNT]),
        lamp_flux_lm=None if lamp[LAMP_FLUX] == -1 else float(lamp[LAMP_FLUX]),
        vertical_deg=vertical,
        horizontal_deg=horizontal,
        intensity_cd=np.array(planes),
        factor=factor,
        opening=size,
        power_w=float(ballast[2]),
        tilt=tilt,
        file_remarks=(*odd, *remarks_on(edition, float(ballast[1]), tilt, (tilt_line, ballast_line))),
        lamp_line=lamp_line,
        ballast_line=ballast_line,
        plane_lines=tuple(plane_lines),
    )
    try:
        photometry.beam()
    except ArgumentError as problem:
        raise lines.problem(f"the candela values make no distribution: {problem}") from None
    return photometry


def _edition(lines: NumberedLines) -> int:
    first = lines.text("the first line").strip()
    if first.upper() not in EDITIONS:
        raise lines.problem(
            f"begins with {first[:40]!r}, not with one of {', '.join(EDITIONS)}; files of 1986 and "
            "other forms are not read"
        )
    return EDITIONS[first.upper()]


def _keywords(lines: NumberedLines) -> tuple[tuple[tuple[str, str], ...], list[str]]:
    """Return the keywords and what was odd; afterwards the TILT line is next."""
    found: list[tuple[str, str]] = []
    odd: list[str] = []
    while True:
        text = lines.text("a line that begins with TILT=").strip()
        if re.match(r"TILT\s*=", text, re.IGNORECASE):
            lines.taken_count -= 1
            return tuple(found), odd
        keyword = re.fullmatch(r"\[\s*([^\[\]]+?)\s*\]\s*(.*)", text)
        if keyword is None:
            if text:
                odd.append(f"line {lines.line}: {text[:40]!r} is no [KEYWORD] line and was left out")
        elif keyword[1].upper() == "MORE" and found:
            found[-1] = (found[-1][0], f"{found[-1][1]} {keyword[2]}".strip())
        else:
            found.append((keyword[1].upper(), keyword[2]))


def _tilt(lines: NumberedLines) -> LampTilt | None:
    kind = lines.text("TILT=").split("=", 1)[1].strip()
    if kind.upper() == "NONE":
        return None
    if kind.upper() != "INCLUDE":
        raise lines.problem(
            f"TILT={kind[:40]} names another file, which is not read; allowed: NONE, or INCLUDE with its lines"
        )
    position = _whole(lines, lines.values("the lamp's position (1, 2 or 3)", 1)[0], "the lamp's position", 1, 3)
    count = _whole(lines, lines.values("the number of tilt angles", 1)[0], "the number of tilt angles", 1, MOST_ANGLES)
    angles = lines.values("the tilt angles", count)
    if (np.diff(angles) <= 0).any() or angles[0] < 0 or angles[-1] > 180:
        raise lines.problem("the tilt angles do not rise between 0 and 180 deg")
    multipliers = lines.values("the tilt multipliers", count)
    if (multipliers < 0).any() or (multipliers > LARGEST_FACTOR).any() or multipliers[0] == 0:
        raise lines.problem(f"a tilt multiplier is negative, 0 at the first angle, or above {LARGEST_FACTOR:g}")
    return LampTilt(lamp_position=position, angles_deg=angles, multipliers=multipliers)


def _lamp_line(lines: NumberedLines) -> FloatArray:
    lamp = lines.values("the lamp line (lamps, lumens, multiplier, angles, type, units, width, length, height)", 10)
    _whole(lines, lamp[LAMP_COUNT], "the number of lamps", 1, 10_000)
    if lamp[LAMP_FLUX] != -1 and lamp[LAMP_FLUX] <= 0:
        raise lines.problem(f"lumens per lamp are {lamp[LAMP_FLUX]:g}; allowed: above 0, or -1 for absolute photometry")
    _sane_factor(lines, float(lamp[MULTIPLIER]), "the candela multiplier")
    _whole(lines, lamp[VERTICALS], "the number of vertical angles", 2, MOST_ANGLES)
    _whole(lines, lamp[HORIZONTALS], "the number of horizontal angles", 1, MOST_ANGLES)
    kind = _whole(lines, lamp[KIND], "the photometric type", 1, 3)
    if kind != 1:
        raise lines.problem(f"photometric type {'B' if kind == 2 else 'A'} ({kind}) is not read; allowed: type C (1)")
    _whole(lines, lamp[UNITS], "the units type", 1, 2)
    if np.abs(lamp[WIDTH:]).max() * _unit_m(lamp) > LARGEST_SIZE_M:
        raise lines.problem(f"the luminous opening is larger than {LARGEST_SIZE_M:g} m; are feet and metres mixed up?")
    return lamp


def _factors(lines: NumberedLines, lamp: FloatArray, edition: int, tilt: LampTilt | None) -> tuple[float, FloatArray]:
    """Return what candela values are to be multiplied by, and the three numbers of the ballast line."""
    ballast = lines.values("the ballast line (ballast factor, further factor, input watts)", 3)
    _sane_factor(lines, float(ballast[0]), "the ballast factor")
    _sane_factor(lines, float(ballast[1]), "the second number of the ballast line")
    if ballast[2] < 0:
        raise lines.problem(f"input watts are {ballast[2]:g}; allowed: at least 0")
    hanging = 1.0 if tilt is None else float(tilt.multiplier_at(0.0))
    factor = float(lamp[MULTIPLIER] * ballast[0]) * (float(ballast[1]) if edition < 2019 else 1.0) * hanging
    _sane_factor(lines, factor, "the product of all multipliers")
    return factor, ballast


def _angles(lines: NumberedLines, name: str, count: int, ends: set[tuple[float, float]]) -> FloatArray:
    angles = lines.values(f"the {name} angles", count)
    falling = np.flatnonzero(np.diff(angles) <= 0)
    if falling.size:
        before, after = angles[falling[0]], angles[falling[0] + 1]
        raise lines.problem(f"{name} angle {after:g} follows {before:g}; allowed: each above the one before")
    if (float(angles[0]), float(angles[-1])) not in ends:
        allowed = ", ".join(f"{first:g} to {last:g}" if last else "0 alone" for first, last in sorted(ends))
        raise lines.problem(f"{name} angles go from {angles[0]:g} to {angles[-1]:g} deg; allowed in type C: {allowed}")
    return angles


def _plane(lines: NumberedLines, angle: float, count: int, factor: float) -> FloatArray:
    values = lines.values(f"the candela values at horizontal angle {angle:g}", count)
    if (values < 0).any():
        raise lines.problem(f"candela value {values.min():g} is negative")
    if (values * factor > LARGEST_CD).any():
        raise lines.problem(f"candela value {values.max():g} times {factor:g} is above {LARGEST_CD:g} cd")
    return values * factor


def _open_end(lines: NumberedLines) -> list[str]:
    """Return a remark where nothing tells the last number from the first digits of a longer one."""
    if lines.has_last_line_end:
        return []
    last = lines.lines[-1].replace(",", " ").split()[-1]
    return [
        f"line {len(lines.lines)}: the last line has no end; if the file was cut short, its last number {last} may be"
    ]


def _unit_m(lamp: FloatArray) -> float:
    return FOOT_M if lamp[UNITS] == 1 else 1.0


def _whole(lines: NumberedLines, value: float, what: str, at_least: int, at_most: int) -> int:
    if value != int(value) or not at_least <= value <= at_most:
        raise lines.problem(f"{what} is {value:g}; allowed: a whole number from {at_least} to {at_most}")
    return int(value)


def _sane_factor(lines: NumberedLines, value: float, what: str) -> None:
    if not SMALLEST_FACTOR <= value <= LARGEST_FACTOR:
        raise lines.problem(f"{what} is {value:g}; allowed: {SMALLEST_FACTOR:g} to {LARGEST_FACTOR:g}")
