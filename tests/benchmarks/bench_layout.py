"""Speed of the layout searches; set OMP_NUM_THREADS=1 where others share the machine.

python tests/benchmarks/bench_layout.py
"""

import time

import ledcalc as lc
from ledcalc.photons import (
    CropGrid,
    Room,
    best_dimming,
    best_pitch_and_height,
    boards_for_target,
    evenness_bound,
    ppfd_per_flux,
)

BOARD = lc.LightSource(x_m=0.0, y_m=0.0, z_m=0.0, width_m=0.2, length_m=0.2, photon_flux_umol_s=60.0)
RANGES = {"row_pitch_range_m": (0.2, 0.5), "column_pitch_range_m": (0.2, 0.42), "height_range_m": (0.2, 0.4)}


def timed(text, call, rounds=3):
    times = []
    for _ in range(rounds):
        start = time.perf_counter()
        found = call()
        times.append(time.perf_counter() - start)
    print(f"{text}: {min(times):.3f} s")
    return found


def search(crop, field_of=None):
    return best_pitch_and_height(BOARD, crop, rows=3, columns=4, target_mean=250.0, field_of=field_of, **RANGES)


def main() -> None:
    whole = CropGrid(width_m=1.2, depth_m=0.9)
    # Cells that are no whole number of steps share fewer offsets: the slower case.
    odd = CropGrid(width_m=1.22, depth_m=0.91)
    best = timed("12 boards, pitches and height, cells of whole steps", lambda: search(whole))
    print(f"  {best.layout_count:,} layouts, all tried; {best.layout}")
    timed("12 boards, pitches and height, odd cells", lambda: search(odd))
    room = Room(
        width_m=1.5, depth_m=1.2, height_m=1.5, wall_reflectance=0.8, ceiling_reflectance=0.7, floor_reflectance=0.2
    )
    inner = CropGrid(width_m=1.5, depth_m=1.2, height_m=0.3)
    prepared = timed("a room prepared", lambda: room.prepare(inner.points_m, fixture_height_m=[0.6]))
    found = timed(
        "12 boards, pitches and height, in the room",
        lambda: search(inner, lambda sources, points: ppfd_per_flux(sources, points, room=prepared)),
        rounds=1,
    )
    print(f"  {found.layout_count:,} layouts, {found.method}; {found.layout}")
    fields = 60.0 * ppfd_per_flux(best.sources, whole.points_m)
    dimmed = timed("best dimming of 12 boards over 400 cells", lambda: best_dimming(fields, target_mean=200.0))
    bound = timed("bound of evenness", lambda: evenness_bound(BOARD, whole, height_m=best.layout.height_m))
    print(
        f"  min/mean {best.layout.min_over_mean:.3f}, dimmed {dimmed.min_over_mean:.3f}, "
        f"at most {bound.min_over_mean:.3f} (lattice {bound.lattice_min_over_mean:.3f})"
    )
    count = timed(
        "boards for a target",
        lambda: boards_for_target(
            BOARD, whole, height_m=0.3, target_umol_m2_s=250.0, least_min_over_mean=0.85, overhang_m=0.1
        ),
    )
    print(f"  {count.arrangement}")


if __name__ == "__main__":
    main()
