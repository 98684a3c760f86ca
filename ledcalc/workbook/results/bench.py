"""The page on bench readings."""

from __future__ import annotations

from ledcalc.results import Evaluation, LightSurvey, LoggedBoards
from ledcalc.workbook.results.pages import Block, Col, Fact, Facts, Page, Table

__all__ = ["bench_page"]


def bench_page(results: Evaluation) -> Page | None:
    """Return readings beside prediction and rating, None without any reading."""
    blocks: list[Block] = []
    if results.logged is not None:
        blocks.append(_currents(results.logged))
    for survey in results.surveys:
        blocks += _light(survey)
    if not blocks:
        return None
    return Page(title="Bench", lead="What was read, beside what was predicted.", blocks=blocks)


def _currents(logged: LoggedBoards) -> Table:
    return Table(
        heading="Latest logged branch currents",
        columns=(
            Col(label="Board"),
            Col(label="Time since switch-on", unit="h"),
            Col(label="Read", unit="A", digits=3),
            Col(label="Meter, +-", unit="A", digits=3),
            Col(label="Predicted", unit="A", digits=3),
            Col(label="Rated", unit="A", digits=3),
            Col(label="Share of logged total", unit="%", digits=1),
            Col(label="Heat sink", unit="degC", digits=1),
            Col(label="Against rating", width=40),
        ),
        rows=tuple(
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
        ),
    )


def _light(survey: LightSurvey) -> list[Block]:
    statistics = survey.statistics
    facts = Facts(
        heading=f"Light survey {survey.survey!r}, boards {survey.height_m:g} m over the sensor, "
        f"{statistics.reading_count} readings",
        facts=(
            Fact(label="Mean of the readings", value=statistics.mean, unit="umol m-2 s-1", digits=0),
            Fact(
                label="Area-weighted mean",
                value=statistics.area_weighted_mean,
                unit="umol m-2 s-1",
                remark="each reading weighs as the area nearest to it",
                digits=0,
            ),
            Fact(
                label="Predicted mean at these points",
                value=survey.predicted_mean_umol_m2_s,
                unit="umol m-2 s-1",
                digits=0,
            ),
            Fact(
                label="Lowest and highest",
                value=statistics.minimum,
                unit="umol m-2 s-1",
                remark=f"to {statistics.maximum:.0f}",
                digits=0,
            ),
            Fact(label="min/mean", value=statistics.min_over_mean, remark="depends on the grid of points"),
        ),
    )
    table = Table(
        heading="",
        columns=(
            Col(label="x", unit="m"),
            Col(label="y", unit="m"),
            Col(label="Read", unit="umol m-2 s-1", digits=0, width=14),
            Col(label="Sensor, +-", unit="umol m-2 s-1", digits=0, width=14),
            Col(label="Predicted", unit="umol m-2 s-1", digits=0, width=14),
            Col(label="Read less predicted", unit="umol m-2 s-1", digits=0, width=14),
        ),
        rows=tuple(
            (
                float(survey.x_m[n]),
                float(survey.y_m[n]),
                float(survey.ppfd_umol_m2_s[n]),
                float(survey.half_width_umol_m2_s[n]),
                float(survey.predicted_umol_m2_s[n]),
                float(survey.ppfd_umol_m2_s[n] - survey.predicted_umol_m2_s[n]),
            )
            for n in range(statistics.reading_count)
        ),
    )
    return [facts, table]
