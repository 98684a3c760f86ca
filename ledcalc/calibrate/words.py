"""A calibration as text: values before and after, what the readings could not tell, how well they are met."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import floor, log10

from ledcalc.calibrate.results import Calibration, Estimate

__all__ = ["agreement_lines", "difference_rows", "estimate_rows", "remark_lists", "text_of"]

# How a value's unit is shown, factor and unit.
SHOWN = {"V": (1000.0, "mV"), "times": (100.0, "%"), "1": (100.0, "%"), "degC": (1.0, "K")}
MOST_SHOWN = 6


def text_of(calibration: Calibration) -> str:
    """Return the calibration in words and figures, line by line.

    Examples
    --------
    >>> from ledcalc.calibrate import calibrate
    >>> from ledcalc.demo import seedling_bench
    >>> print(text_of(calibrate(seedling_bench(), leave_out=False)).splitlines()[0])
    Winter seedling bench (invented example): 34 readings, 14 unknowns
    """
    return "\n".join(_lines(calibration))


def _lines(found: Calibration) -> Iterator[str]:
    yield f"{found.fixture.name}: {found.readings_count} readings, {found.unknowns_count} unknowns"
    yield from agreement_lines(found)
    yield ""
    yield from _table(estimate_rows(found))
    yield ""
    yield from _table(difference_rows(found))
    for title, lines in remark_lists(found).items():
        yield from _listed(title, lines)


def agreement_lines(found: Calibration) -> tuple[str, ...]:
    """Return how well readings and model agree: before, after, and where parts were left out."""
    lines = [
        f"{when}: {compared.agreement} (chi-square {compared.chi_square:.1f} of {compared.degrees_count} readings)."
        for when, compared in (("Before", found.before), ("After", found.after))
    ]
    if found.left_out_agreement:
        lines.append(f"Left out in turn: {found.left_out_agreement}.")
    return tuple(lines)


def estimate_rows(found: Calibration) -> list[tuple[str, ...]]:
    """Return the values before and after with their errors, under a heading."""
    return [("Value", "before", "after", "told by the readings"), *(_estimate(entry) for entry in found.estimates)]


def remark_lists(found: Calibration) -> dict[str, tuple[str, ...]]:
    """Return what is to be said beside the figures, by heading."""
    open_ends = tuple(f"{one.text}. {_sentence(one.remedy)}" for one in found.unseparated)
    return {
        "What the readings cannot tell": open_ends,
        "Taken for granted": found.assumptions,
        "To know": found.notes,
    }


def _estimate(entry: Estimate) -> tuple[str, ...]:
    factor, unit = SHOWN[entry.unit]
    return (
        entry.name,
        f"{_with_error(factor * entry.prior_value, factor * entry.prior_error)} {unit}",
        f"{_with_error(factor * entry.value, factor * entry.standard_error)} {unit}",
        f"{entry.told_fraction:.0%}" + (", at its limit" if entry.is_at_bound else ""),
    )


def difference_rows(found: Calibration) -> list[tuple[str, ...]]:
    """Return how far readings and prediction differ, by kind: before, after, and predicted without them; root mean
    squares, under a heading."""
    left_out = {entry.kind: entry for entry in found.left_out}
    head = ["Readings", "number", "off before", "off after"] + (
        ["left out: before", "left out: after"] if left_out else []
    )
    rows = [tuple(head)]
    for first, second in zip(found.before.kinds, found.after.kinds, strict=True):
        row = [first.kind, str(first.readings_count)]
        row += [f"{kind.rms_difference:.2g} {kind.unit}" for kind in (first, second)]
        if first.kind in left_out:
            own = left_out[first.kind]
            row += [f"{value:.2g} {own.unit}" for value in (own.rms_before, own.rms_after)]
        rows.append(tuple(row))
    return rows


def _with_error(value: float, error: float) -> str:
    """Return a value and its error to two digits of the error."""
    decimals = max(1 - floor(log10(error)), 0) if error > 0 else 2
    return f"{round(value, decimals) + 0.0:.{decimals}f} +- {error:.{decimals}f}"


def _table(rows: Sequence[Sequence[str]]) -> Iterator[str]:
    widths = [max(len(row[column]) for row in rows if column < len(row)) for column in range(len(rows[0]))]
    for row in rows:
        yield "  ".join(text.ljust(width) for text, width in zip(row, widths, strict=False)).rstrip()


def _listed(title: str, lines: Sequence[str]) -> Iterator[str]:
    if lines:
        yield ""
        yield title
        yield from (f"  - {line}" for line in lines[:MOST_SHOWN])
        if len(lines) > MOST_SHOWN:
            yield f"  - and {len(lines) - MOST_SHOWN} more"


def _sentence(text: str) -> str:
    return f"{text[:1].upper()}{text[1:]}." if text else ""
