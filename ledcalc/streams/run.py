"""The way from a file of variants to a file of results."""

from __future__ import annotations

import hashlib
import os
from collections.abc import Callable, Iterator
from concurrent.futures import BrokenExecutor, CancelledError, Executor
from dataclasses import dataclass, replace
from pathlib import Path

from ledcalc.errors import FileProblem
from ledcalc.fixture import Fixture
from ledcalc.streams.source import Source
from ledcalc.streams.target import Target
from ledcalc.streams.worked import Job, headers_of, made
from ledcalc.variants.executors import in_order, packed
from ledcalc.version import __version__

__all__ = ["Streamed", "stream_variants"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Streamed:
    """What a run came to, over all its parts. ``resumed_at_count``: variants that an earlier run had done."""

    variants_count: int
    not_computed_count: int
    stop_count: int
    resumed_at_count: int


def stream_variants(
    fixture: Fixture,
    source: Source,
    out: str | os.PathLike[str],
    *,
    executor: Executor | None = None,
    ahead: int = 8,
    anew: bool = False,
    done: Callable[[int], object] | None = None,
) -> Streamed:
    """Evaluate a file of variants into a file of results, in their order; memory does not grow with their number.

    A run that was stopped, however, goes on where it was when called again with the same inputs: results are the same
    to the byte. Until all are there they lie in ``NAME.part`` beside the file.

    Parameters
    ----------
    fixture : the base
    source : from ``open_source``
    out : a name ending in .csv or .parquet (that needs pyarrow)
    executor : any of ``concurrent.futures``; None: in this process
    ahead : blocks handed out at a time: twice the workers keep them busy
    anew : whether to throw away what an earlier run left
    done : told how many variants came to be done, each time a block is written

    Raises
    ------
    FileProblem: the place cannot be written, holds unfinished results of something else, or workers were lost
    """
    path = Path(out)
    target = Target(path=path, of=_all_it_depends_on(fixture, source, path), headers=headers_of(source.columns))
    earlier, tell = target.begin(anew=anew), done or (lambda count: count)
    tell(earlier.variants_count)
    jobs = _jobs(fixture, source, target, skipped=earlier.blocks_count)
    try:
        for block in in_order(made, jobs, executor=executor, ahead=ahead):
            target.add(block)
            tell(block.variants_count)
    except (BrokenExecutor, CancelledError, ConnectionError) as problem:
        told = str(problem) or type(problem).__name__
        raise FileProblem(f"{target.path}: workers were lost ({told}); {target.kept()}") from None
    except KeyboardInterrupt:
        raise FileProblem(f"{target.path}: stopped by the keyboard; {target.kept()}") from None
    target.finish()
    reached = target.reached
    return Streamed(
        variants_count=reached.variants_count,
        not_computed_count=reached.not_computed_count,
        stop_count=reached.stop_count,
        resumed_at_count=earlier.variants_count,
    )


def _jobs(fixture: Fixture, source: Source, target: Target, *, skipped: int) -> Iterator[Job]:
    """Yield every block that is not there yet; those that are, are read all the same, for their names."""
    base, ending = packed(fixture), target.path.suffix.lower().lstrip(".")
    for number, block in enumerate(source.blocks()):
        if number >= skipped:
            yield Job(fixture=base, columns=source.columns, variants=block, ending=ending)


def _all_it_depends_on(fixture: Fixture, source: Source, out: Path) -> str:
    # Where inputs stand in their file changes no result.
    parts = (__version__, repr(replace(fixture, origin=None)), source.sha256, source.path.suffix, out.suffix.lower())
    return hashlib.sha256("\0".join(parts).encode()).hexdigest()
