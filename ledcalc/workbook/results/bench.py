"""The page on bench readings."""

from __future__ import annotations

from ledcalc.results import Evaluation, LightSurvey, LoggedBoards
from ledcalc.workbook.results.field_cells import counted, is_corrected
from ledcalc.workbook.results.pages import Block, Page, Shown, Table, col

__all__ = ["bench_page", "log_pages"]

PPFD_UNIT = "umol m-2 s-1"
LOG_COLUMNS = (
    col("Board"),
    col("Time since switch-on", "h"),
    col("Read", "A", 3),
    col("Meter, +-", "A", 3),
    col("Predicted", "A", 3),
    col("Rated", "A", 3),
    col("Share of logged total", "%", 1),
    col("Heat sink", "degC", 1),
    col("This reading against rating", width=40),
)
LIGHT_COLUMNS = (
    col("x", "m"),
    col("y", "m"),
    col("Read", PPFD_UNIT, 0, 14),
    col("Sensor, +-", PPFD_UNIT, 0, 14),
    col("Predicted", PPFD_UNIT, 0, 14),
    col("Read less predicted", PPFD_UNIT, 0, 14),
    col("Remark"),
)


def bench_page(results: Evaluation) -> Page | None:
    """Return readings beside prediction and rating, None without any reading."""
    blocks: list[Block] = []
    if results.logged is not None:
        rows = _log_rows(results.logged)
        blocks.append(Table(heading="Latest logged branch currents", columns=LOG_COLUMNS, rows=rows))
    blocks += [
        Table(heading=_heading(survey), columns=LIGHT_COLUMNS, rows=_light_rows(survey)) for survey in results.surveys
    ]
    if not blocks:
        return None
    return Page(title="Bench", lead="What was read, beside what was predicted.", blocks=blocks)


def log_pages(results: Evaluation) -> list[Page]:
    """Return the pages on the log, none where there is none to judge."""
    if results.log_verdict is None:
        return []
    # What judges a log loads where there is one.
    from ledcalc.workbook.results.current_log import current_log_page
    from ledcalc.workbook.results.log_course import log_course_page

    return [page for make in (current_log_page, log_course_page) if (page := make(results)) is not None]


def _log_rows(logged: LoggedBoards) -> tuple[tuple[Shown, ...], ...]:
    return tuple(
        (
            logged.tag[n],
            float(logged.elapsed_h[n]),
            float(logged.current_a[n]),
            float(logged.half_width_a[n]),
            float(logged.predicted_current_a[n]),
            float(logged.rated_current_a[n]),
            100.0 * float(logged.share_fraction[n]),
            float(logged.temperature_c[n]),
            logged.against_rating[n],
        )
        for n in range(len(logged.tag))
    )


def _heading(survey: LightSurvey) -> str:
    date = f" of {survey.taken_on}" if survey.taken_on else ""
    where = f"boards {survey.height_m:g} m over the sensor, {counted(survey.statistics.reading_count)}"
    corrected = ", corrected as the Meters and Surveys sheets say" if is_corrected(survey) else ""
    return f"Light survey {survey.survey!r}{date}, {where}{corrected}"


def _light_rows(survey: LightSurvey) -> tuple[tuple[Shown, ...], ...]:
    return tuple(
        (
            float(survey.x_m[n]),
            float(survey.y_m[n]),
            float(survey.ppfd_umol_m2_s[n]),
            float(survey.half_width_umol_m2_s[n]),
            float(survey.predicted_umol_m2_s[n]),
            float(survey.ppfd_umol_m2_s[n] - survey.predicted_umol_m2_s[n]),
            "suspect" if n in survey.judgement.outliers else "",
        )
        for n in range(survey.statistics.reading_count)
    )
