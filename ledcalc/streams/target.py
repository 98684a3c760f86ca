"""A file of results that grows block by block, and that a run which was stopped goes on from.

Until it is complete, what is there lies beside it, in ``NAME.part``, and how far that goes in ``NAME.part.json``:
earlier results stay as they are until then.
"""

from __future__ import annotations

import csv
import io
import json
import os
import shutil
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import asdict, dataclass, field
from pathlib import Path

from ledcalc.errors import FileProblem
from ledcalc.streams.files import parquet_module
from ledcalc.streams.worked import Made

__all__ = ["Reached", "Target"]

GOES_ON = "the same command goes on from there"


@dataclass(frozen=True, slots=True, kw_only=True)
class Reached:
    """How far results go: blocks and bytes written, and how the variants in them fared. ``of``: what they are of."""

    of: str
    blocks_count: int = 0
    bytes_count: int = 0
    variants_count: int = 0
    not_computed_count: int = 0
    stop_count: int = 0


@dataclass(slots=True, kw_only=True)
class Target:
    """Results on their way into a file. ``of``: a hash of all that they depend on."""

    path: Path
    of: str
    headers: Sequence[str]
    reached: Reached = field(init=False)

    @property
    def part(self) -> Path:
        """Where the results are until all are there: a file, or a folder of files for Parquet."""
        return self.path.with_name(f"{self.path.name}.part")

    @property
    def note(self) -> Path:
        """Where it is written down how far they go."""
        return self.path.with_name(f"{self.path.name}.part.json")

    @property
    def is_parquet(self) -> bool:
        """Whether the results are a Parquet file."""
        return self.path.suffix.lower() == ".parquet"

    def begin(self, *, anew: bool = False) -> Reached:
        """Open the file, or find how far an earlier run came.

        Raises
        ------
        FileProblem: the place cannot be written, has the unfinished results of something else, or is
            a Parquet file without pyarrow
        """
        if self.path.suffix.lower() not in {".csv", ".parquet"}:
            raise FileProblem(f"{self.path}: results of a file of rows go into a name ending in .csv or .parquet")
        if self.path.is_dir():
            raise FileProblem(f"{self.path}: is a folder; give a file name")
        if not self.path.parent.is_dir():
            raise FileProblem(f"{self.path}: there is no folder {self.path.parent}; make it first")
        if self.is_parquet:
            parquet_module()
        with self._told():
            found = None if anew else self._earlier()
            self.reached = found or self._fresh()
            if not self.is_parquet:
                os.truncate(self.part, self.reached.bytes_count)
        return self.reached

    def add(self, block: Made) -> None:
        """Append a block; it counts once the note says so.

        Raises
        ------
        FileProblem: the disk is full, or the place has gone
        """
        reached = self.reached
        with self._told():
            if self.is_parquet:
                _write(self._part_file(reached.blocks_count), block.data)
            else:
                _write(self.part, block.data, mode="ab")
            self._noted(
                Reached(
                    of=self.of,
                    blocks_count=reached.blocks_count + 1,
                    bytes_count=reached.bytes_count + len(block.data),
                    variants_count=reached.variants_count + block.variants_count,
                    not_computed_count=reached.not_computed_count + block.not_computed_count,
                    stop_count=reached.stop_count + block.stop_count,
                )
            )

    def finish(self) -> None:
        """Put the results in place.

        Raises
        ------
        FileProblem: as ``add``
        """
        with self._told():
            if self.is_parquet:
                joined = self.part / "joined"
                self._join(joined)
                os.replace(joined, self.path)
                shutil.rmtree(self.part)
            else:
                os.replace(self.part, self.path)
            self.note.unlink()

    def _earlier(self) -> Reached | None:
        """Return what an earlier run reached, None where there was none."""
        if not (self.note.exists() and self.part.exists()):
            return None
        try:
            reached = Reached(**json.loads(self.note.read_text(encoding="utf-8")))
        except (ValueError, TypeError):
            reached = Reached(of="")
        if reached.of != self.of:
            raise FileProblem(
                f"{self.part}: unfinished results of other inputs, or of another version; --anew overwrites them, "
                "another --out leaves them"
            )
        return reached

    def _fresh(self) -> Reached:
        head = io.StringIO()
        csv.writer(head, lineterminator="\n").writerow(self.headers)
        if self.part.is_dir():
            shutil.rmtree(self.part)
        if self.is_parquet:
            self.part.unlink(missing_ok=True)
            self.part.mkdir()
            reached = Reached(of=self.of)
        else:
            _write(self.part, head.getvalue().encode())
            reached = Reached(of=self.of, bytes_count=len(head.getvalue().encode()))
        self._noted(reached)
        return reached

    def _noted(self, reached: Reached) -> None:
        beside = self.note.with_name(f"{self.note.name}.new")
        _write(beside, json.dumps(asdict(reached)).encode())
        os.replace(beside, self.note)
        self.reached = reached

    def _part_file(self, number: int) -> Path:
        return self.part / f"{number:06d}.parquet"

    def _join(self, into: Path) -> None:
        parquet = parquet_module()
        first = parquet.read_schema(self._part_file(0))
        with parquet.ParquetWriter(into, first) as writer:
            for number in range(self.reached.blocks_count):
                writer.write_table(parquet.read_table(self._part_file(number)))

    @contextmanager
    def _told(self) -> Iterator[None]:
        """Turn an operating-system error into words that say what is left and how to go on."""
        try:
            yield
        except OSError as problem:
            kept = f"; {self.kept()}" if hasattr(self, "reached") else "; nothing was changed"
            raise FileProblem(f"{self.path}: cannot be written ({problem.strerror or problem}){kept}") from None

    def kept(self) -> str:
        """Return in words what is there of results that are not complete."""
        return f"{self.reached.variants_count:,} variants are in {self.part.name}: {GOES_ON}"


def _write(path: Path, data: bytes, mode: str = "wb") -> None:
    """Write and wait until it is on the disk: what a note says must be there when the power has gone."""
    with path.open(mode) as stream:
        stream.write(data)
        stream.flush()
        os.fsync(stream.fileno())
