"""One case from its seed: which input is made, in which way it is spoiled."""

import random
from dataclasses import dataclass, field
from pathlib import Path

from fuzz_books import example, packed, parts_of
from fuzz_cells import MUTATIONS, NEUTRAL
from fuzz_files import bom_and_line_ends, write_book, write_folder
from fuzz_judge import judge

import ledcalc as lc

# Results are written for one case in so many: that takes longest.
WRITTEN_EVERY = 8


@dataclass(frozen=True, slots=True)
class Case:
    """A case's input on the disk, what was done to it, and whether it still says the same."""

    path: Path
    done: list = field(default_factory=list)
    is_same: bool = False


def made(seed, folder):
    """Make the input of a case in a folder of its own."""
    rng = random.Random(seed)
    book, done = example(), []
    is_folder, is_same = rng.random() < 0.3, rng.random() < 0.05
    for _ in range(0 if not is_same and rng.random() < 0.2 else rng.choice([1, 1, 1, 2, 3, 6])):
        mutation = rng.choice(NEUTRAL if is_same else MUTATIONS)
        try:
            mutation(rng, book)
        except (IndexError, ValueError, KeyError):
            continue  # an earlier one left it nothing to work on
        done.append(mutation.__name__)
    damage = 0 if is_same else rng.choice([0, 0, 1, 2]) if done else rng.choice([1, 1, 2])
    folder.mkdir()
    if is_folder:
        path = folder / "bench"
        done += write_folder(rng, book, path, in_files=damage)
        if is_same:
            bom_and_line_ends(rng, path)
        return Case(path, done, is_same)
    path = folder / "bench.xlsx"
    done += write_book(rng, book, path, in_parts=damage, in_bytes=not is_same and rng.random() < 0.08)
    return Case(path, done, is_same)


def tried(seed, folder, base, *, written_every=WRITTEN_EVERY):
    """Make a case and judge it; return it and its verdict."""
    case = made(seed, folder / "in")
    out = None
    if seed % written_every == 0:
        out = folder / ("results.xlsx" if seed % (2 * written_every) else "results")
    return case, judge(case.path, out, same_as=base if case.is_same else None)


def base_fixture(folder):
    """The unspoiled example as a fixture; also loads what takes memory once."""
    path = folder / "example.xlsx"
    path.write_bytes(packed(parts_of(example())))
    lc.recalculate(path, folder / "example-results.xlsx")
    return lc.read_workbook(path)
