"""The part of a rectangle that lies nearer to one point than to any other, for each point: Voronoi cells, clipped."""

from __future__ import annotations

import numpy as np

from ledcalc.arguments import FloatArray

__all__ = ["cell_areas"]


def cell_areas(x_m: FloatArray, y_m: FloatArray, size_m: FloatArray) -> FloatArray:
    """Return each point's cell in m2 within a rectangle about the origin; points at one place share their cell.

    Points of a full rectangular grid are done by mid-lines, all others by cutting the rectangle at the bisectors of the
    nearest neighbours, nearest first, until a neighbour is too far to cut.
    """
    gridded = _grid_areas(x_m, y_m, size_m)
    if gridded is not None:
        return gridded
    places, first, counts = np.unique(np.column_stack([x_m, y_m]), axis=0, return_inverse=True, return_counts=True)
    areas = np.array([_cell_area(places, number, size_m) for number in range(places.shape[0])])
    return np.asarray((areas / counts)[first.ravel()])


def _grid_areas(x_m: FloatArray, y_m: FloatArray, size_m: FloatArray) -> FloatArray | None:
    columns, column = np.unique(x_m, return_inverse=True)
    rows, row = np.unique(y_m, return_inverse=True)
    if columns.size * rows.size != x_m.size or np.unique(row * columns.size + column).size != x_m.size:
        return None
    return np.asarray(_strips(columns, float(size_m[0]))[column] * _strips(rows, float(size_m[1]))[row])


def _strips(places: FloatArray, side: float) -> FloatArray:
    edges = np.concatenate([[-side / 2], (places[1:] + places[:-1]) / 2, [side / 2]])
    return np.diff(np.clip(edges, -side / 2, side / 2))


def _cell_area(places: FloatArray, number: int, size_m: FloatArray) -> float:
    half_x, half_y = size_m / 2
    own = places[number]
    polygon = np.array([[-half_x, -half_y], [half_x, -half_y], [half_x, half_y], [-half_x, half_y]])
    distance = np.hypot(*(places - own).T)
    for other in np.argsort(distance, kind="stable")[1:]:
        reach = np.hypot(*(polygon - own).T).max() if polygon.size else 0.0
        if polygon.size == 0 or distance[other] > 2.0 * reach:
            break
        polygon = _cut(polygon, (places[other] + own) / 2.0, places[other] - own)
    return _polygon_area(polygon)


def _cut(polygon: FloatArray, point: FloatArray, outward: FloatArray) -> FloatArray:
    beyond = (polygon - point) @ outward
    kept = []
    for number, corner in enumerate(polygon):
        after = (number + 1) % len(polygon)
        if beyond[number] <= 0:
            kept.append(corner)
        if (beyond[number] <= 0) != (beyond[after] <= 0):
            share = beyond[number] / (beyond[number] - beyond[after])
            kept.append(corner + share * (polygon[after] - corner))
    return np.array(kept).reshape(-1, 2)


def _polygon_area(polygon: FloatArray) -> float:
    if len(polygon) < 3:
        return 0.0
    x, y = polygon.T
    return float(abs(np.dot(x, np.roll(y, -1)) - np.dot(y, np.roll(x, -1))) / 2.0)
