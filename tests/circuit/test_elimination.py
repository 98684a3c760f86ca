"""Elimination and largest eigenvalue of many variants at once, against LAPACK; wires against their Laplacian."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ledcalc.circuit import BoardCurve, Link, Load, Network
from ledcalc.circuit.elimination import FEW_VARIANTS, largest_eigenvalue, solve_general, solve_symmetric
from ledcalc.circuit.ports import wiring_of

VARIANTS = (1, FEW_VARIANTS + 60)


def definite(rng, count, variants):
    factor = rng.normal(size=(variants, count, count))
    return (factor @ factor.transpose(0, 2, 1)).transpose(1, 2, 0)


@pytest.mark.parametrize("variants", VARIANTS)
@pytest.mark.parametrize(("count", "border"), [(1, 0), (2, 0), (6, 0), (13, 0), (4, 1), (8, 3)])
def test_solutions_against_lapack(count, border, variants):
    rng = np.random.default_rng(count)
    diagonal, right = rng.uniform(0.5, 2.0, (count, variants)), rng.normal(size=(count, 3, variants))
    matrix = np.zeros((count + border, count + border, variants))
    matrix[:count, :count] = definite(rng, count, variants)
    matrix[:count, count:] = rng.normal(size=(count, border, 1))
    matrix[count:, :count] = matrix[:count, count:].transpose(1, 0, 2)
    found = solve_symmetric(matrix, diagonal, right)
    for n in range(variants):
        whole = matrix[:, :, n] + np.diag([*diagonal[:, n], *np.zeros(border)])
        wanted = np.linalg.solve(whole, np.vstack([right[:, :, n], np.zeros((border, 3))]))[:count]
        assert found[:, :, n] == pytest.approx(wanted, rel=1e-9, abs=1e-10)


@settings(max_examples=60, deadline=None)
@given(st.integers(1, 9), st.integers(0, 10_000), st.floats(-14, 2), st.floats(-3, 3))
def test_largest_eigenvalue_against_lapack(count, seed, log_spread, centre):
    """Eigenvalues from far apart to nearly all the same, as boards alike have them."""
    rng = np.random.default_rng(seed)
    values = centre + 10**log_spread * rng.normal(size=(100, count))
    turned = np.linalg.qr(rng.normal(size=(100, count, count)))[0]
    matrix = turned * values[:, None, :] @ turned.transpose(0, 2, 1)
    matrix = 0.5 * (matrix + matrix.transpose(0, 2, 1))
    wanted = np.linalg.eigvalsh(matrix)[:, -1]
    accuracy = 1e-13 * (1.0 + np.abs(values).max())
    assert largest_eigenvalue(matrix.transpose(1, 2, 0)) == pytest.approx(wanted, rel=0, abs=accuracy)


@pytest.mark.parametrize(
    "matrix",
    [
        np.zeros((4, 4)),
        np.eye(5),
        np.diag([1.0, 3.0, 3.0, -2.0]),
        np.ones((6, 6)),
        -np.ones((6, 6)),
        np.diag([1.0, 2.0, 2.0]) - 0.1,
        np.diag([0.0, 5.0, 1.0]) + np.diag([1e-9, 1e-9], 1) + np.diag([1e-9, 1e-9], -1),
    ],
)
def test_largest_eigenvalue_where_some_coincide(matrix):
    several = np.repeat(matrix[:, :, None], 100, axis=2)
    wanted = np.linalg.eigvalsh(matrix)[-1]
    assert largest_eigenvalue(several) == pytest.approx(np.full(100, wanted), rel=1e-13, abs=1e-13)


@pytest.mark.parametrize("variants", VARIANTS)
def test_what_is_not_finite_spoils_its_own_variant_only(variants):
    matrix = definite(np.random.default_rng(3), 3, variants + 1)
    wanted = np.linalg.eigvalsh(matrix.transpose(2, 0, 1))[:, -1]
    matrix[0, 0, 0] = np.nan
    found = largest_eigenvalue(matrix)
    assert np.isnan(found[0])
    assert found[1:] == pytest.approx(wanted[1:], rel=1e-13)


CURVE = BoardCurve.from_diode(0.6, 1e-12, 1.0)


@settings(max_examples=60, deadline=None)
@given(st.integers(2, 7), st.integers(0, 6), st.integers(0, 10_000))
def test_wires_against_their_laplacian(count, extra, seed):
    """Drops between the boards' ends by a unit current through each, from the wires' conductance matrix."""
    rng = np.random.default_rng(seed)
    # A random tree on each side of the supply, and some more wires that close meshes.
    ends = []
    for side in "pn":
        ends += [(f"{side}{n}", f"{side}{rng.integers(0, n)}") for n in range(1, count)]
        ends += [tuple(f"{side}{n}" for n in rng.choice(count, 2, replace=False)) for _ in range(extra)]
    ohms = rng.uniform(0.01, 1.0, (len(ends), 3))
    boards = [(f"p{rng.integers(0, count)}", f"n{rng.integers(0, count)}") for _ in range(4)]
    network = Network(
        cables=[Link(*pair, ohm) for pair, ohm in zip(ends, ohms, strict=True)],
        boards=[Load(*pair, CURVE) for pair in boards],
        supply=("p0", "n0"),
    )
    ports = wiring_of(network).ports(slice(None), 3)
    assert ports.feed.tolist() == [1.0] * 4
    number = {f"{side}{n}": n + count * (side == "n") for side in "pn" for n in range(count)}
    pulled = np.zeros((2 * count, 4))
    for column, (plus, minus) in enumerate(boards):
        # The driver gives back at its terminals what the board takes.
        for node, sign in ((plus, 1), (minus, -1), ("p0", -1), ("n0", 1)):
            pulled[number[node], column] += sign
    for variant in range(3):
        laplacian = np.zeros((2 * count, 2 * count))
        for (start, end), ohm in zip(ends, ohms[:, variant], strict=True):
            edge = np.zeros(2 * count)
            edge[number[start]], edge[number[end]] = 1.0, -1.0
            laplacian += np.outer(edge, edge) / ohm
        wanted = pulled.T @ np.linalg.pinv(laplacian) @ pulled
        assert ports.impedance_ohm[:, :, variant] == pytest.approx(wanted, rel=1e-9, abs=1e-11)


@pytest.mark.parametrize("count", [1, 2, 6])
@pytest.mark.parametrize("variants", [3, 200])
def test_general_systems_are_solved_as_lapack_does(count, variants):
    """Near a multiple of the unit matrix, bordered by a row and a column with no diagonal of their own."""
    rng = np.random.default_rng(count)
    matrix = 0.3 * rng.normal(size=(count + 1, count + 1, variants)) + 3.0 * np.eye(count + 1)[:, :, None]
    matrix[count, count] = 0.0
    matrix[count, :count], matrix[:count, count] = 1.0, 1.0
    right = rng.normal(size=(count + 1, 2, variants))
    expected = np.linalg.solve(matrix.transpose(2, 0, 1), right.transpose(2, 0, 1)).transpose(1, 2, 0)
    assert solve_general(matrix, right) == pytest.approx(expected, rel=1e-9, abs=1e-12)
