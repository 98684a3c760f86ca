"""The page on the current log: verdict first, what to turn, boards, predicted against measured, mains, dial."""

from __future__ import annotations

import numpy as np

from ledcalc.arguments import FloatArray
from ledcalc.evaluation.log_advice import Turn, dial_of, turns_of
from ledcalc.evaluation.log_compared import Comparison, comparisons_of
from ledcalc.evaluation.sensors import zeroed_logs
from ledcalc.results import Evaluation, LogVerdict
from ledcalc.workbook.results.pages import Block, Fact, Facts, Lines, Page, Table, col, fact

__all__ = ["current_log_page"]

MOST_DIGITS = 3
BOARD_COLUMNS = (
    col("Board", width=22),
    col("Current", "A", 3, 10),
    col("Known to, +-", "A", 3, 10),
    col("Rated", "A", 3, 10),
    col("At or below rating", "% sure", 0, 10),
    col("Share", "%", 2, 10),
    col("Change over the log", "A", 3, 10),
    col("Noise reaches", "A", 3, 10),
    col("Settled?", width=18),
    col("Drift?", width=36),
)
DIAL_COLUMNS = (
    col("Dial position", "as marked", 2, 22),
    col("Read", "A", 3, 10),
    col("By the line", "A", 3, 10),
    col("Known to, +-", "A", 3, 10),
)


def current_log_page(results: Evaluation) -> Page | None:
    """Return what the log says; None without a log whose meter is listed."""
    found = results.log_verdict
    if found is None:
        return None
    first, *rest = found.sentences
    blocks: list[Block] = [
        Lines(lines=(f"{first[0].upper()}{first[1:]}.", found.in_short), bold=True),
        Lines(lines=tuple(f"{line[0].upper()}{line[1:]}." for line in rest)),
        _turns(results, found),
        _boards(results, found),
        *_compared(results),
        _mains(results, found),
        *_dial(results),
        Lines(heading="What this rests on", lines=_basis(found)),
    ]
    lead = (
        f"Judged from the log at {100 * found.confidence_fraction:g} % confidence, the meters' errors carried through."
    )
    return Page(title="Current log", lead=lead, blocks=blocks)


def _turns(results: Evaluation, found: LogVerdict) -> Facts:
    heading = f"What keeps every board at or below its rating, {100 * found.confidence_fraction:g} % sure"
    return Facts(heading=heading, facts=tuple(_turned(turn) for turn in turns_of(results)))


def _turned(turn: Turn) -> Fact:
    label = f"{turn.what[0].upper()}{turn.what[1:]}"
    if not np.isfinite(turn.then):
        return fact(label, "none", "", 0, turn.remark)
    digits = 0 if turn.unit == "boards" else 2
    light = f"the highest board then takes {turn.highest_a:.3f} A, light is {100 * turn.light_fraction:.1f} % of now"
    return fact(label, turn.then, turn.unit, digits, f"now {turn.now:.{digits}f}; {light}; {turn.remark}")


def _boards(results: Evaluation, found: LogVerdict) -> Table:
    rated = dict(zip(results.boards.tag, results.boards.rated_current_a.tolist(), strict=True))
    serial = {entry.board: f" (serial {entry.serial})" for entry in results.fixture.build_record}
    return Table(
        heading="Boards",
        columns=BOARD_COLUMNS,
        rows=tuple(
            (
                f"{tag}{serial.get(tag, '')}",
                float(found.current_a[n]),
                float(found.half_width_a[n]),
                rated[tag],
                100.0 * float(found.chance_below_fraction[n]),
                100.0 * float(found.share_fraction[n]),
                float(found.change_a[n]),
                float(found.least_change_a[n]),
                _settled(found, n),
                found.drift[n],
            )
            for n, tag in enumerate(found.tag)
        ),
    )


def _settled(found: LogVerdict, n: int) -> str:
    going = f", {found.to_go_a[n]:+.3f} A to go" if found.settling[n] == "still settling" else ""
    return f"{found.settling[n]}{going}"


def _compared(results: Evaluation) -> list[Block]:
    found = comparisons_of(results)
    words = tuple(f"{each.quantity[0].upper()}{each.quantity[1:]}: {each.verdict}." for each in found)
    return [Lines(heading="Predicted against measured", lines=words), *(_beside(each) for each in found)]


def _beside(each: Comparison) -> Table:
    columns = (
        col(f"{each.quantity[0].upper()}{each.quantity[1:]}", width=22),
        *(
            col(label, each.unit, _digits(each.half_width), 10)
            for label in ("Measured", "Known to, +-", "Predicted", "Difference")
        ),
    )
    figures = zip(each.tag, each.measured, each.half_width, each.predicted, strict=True)
    rows = tuple((tag, float(m), float(half), float(p), float(m - p)) for tag, m, half, p in figures)
    return Table(heading="", columns=columns, rows=rows)


def _digits(half_width: FloatArray) -> int:
    """Return how many decimals figures are worth that are known to so much: two digits of the closest."""
    known = half_width[half_width > 0.0]
    return int(np.clip(1 - np.floor(np.log10(known.min())), 0, MOST_DIGITS)) if known.size else MOST_DIGITS


def _mains(results: Evaluation, found: LogVerdict) -> Facts:
    operating, light = results.operating, results.light
    facts: list[Fact] = []
    if np.isfinite(found.mains_w):
        half = found.mains_half_width_w
        known = f"+- {half:.2g} W by its meter" if np.isfinite(half) else "the power meter is not listed"
        efficacy = light.photon_flux_umol_s / found.mains_w
        facts += [
            fact("Mains power, measured", found.mains_w, "W", 1, f"predicted {operating.mains_power_w:.1f} W; {known}"),
            fact(
                "Power factor, measured",
                found.power_factor_fraction,
                "",
                2,
                f"predicted {operating.power_factor_fraction:.2f}",
            ),
            fact("Photon efficacy, AC basis", efficacy, "umol/J", 2, "predicted flux over measured mains power"),
        ]
    else:
        basis = "predicted, not measured: the supply log has no mains power"
        facts.append(fact("Photon efficacy, AC basis", light.ac_efficacy_umol_per_j, "umol/J", 2, basis))
    return Facts(heading="Mains side", facts=tuple(facts))


def _dial(results: Evaluation) -> list[Block]:
    line = dial_of(results.fixture)
    if line is None:
        return []
    readings = sorted(zeroed_logs(results.fixture).dial_log, key=lambda row: row.position)
    rows = tuple(
        (
            row.position,
            row.current_a,
            float(line.current_a(row.position)),
            float(line.half_width_a(row.position)),
        )
        for row in readings
    )
    bent = "the readings lie on a straight line" if line.straight else "bent: go between the two positions next to it"
    return [Table(heading=f"Dial and current: {bent}", columns=DIAL_COLUMNS, rows=rows)]


def _basis(found: LogVerdict) -> tuple[str, ...]:
    lines = [
        "Of a meter's percentage, half is taken to repeat from reading to reading and half to come anew with each; all "
        "anywhere within its limits (common practice, no source).",
        "The log is taken to be of one setting of the dial; shares to stay where it is turned.",
    ]
    if found.unjudged_count:
        lines.append(f"{found.unjudged_count} rows name no current meter, and are left out here.")
    return tuple(lines)
