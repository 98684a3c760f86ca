"""Terminals by counting them out, ferrules, wire ends, labels."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ledcalc.errors import ArgumentError
from ledcalc.fabrication import ferrule_for, node_ports, ports_needed, wire_end_advice, wire_label
from ledcalc.fabrication.terminals import TERMINATIONS, WIRE_ENDS
from ledcalc.tables import table

AREAS = st.floats(min_value=0.05, max_value=16.8)


@given(
    st.integers(min_value=1, max_value=200),
    st.integers(min_value=3, max_value=12),
    st.floats(min_value=0, max_value=1),
    st.sampled_from(["wire links", "bridge bar"]),
)
def test_terminals_are_enough_and_one_fewer_is_not(ends, ports, spare, jumper):
    found = ports_needed(ends, ports, spare, jumper=jumper)
    taken = 2 if jumper == "wire links" else 0
    assert found.port_count == found.terminal_count * ports
    assert found.link_count == found.terminal_count - 1
    assert found.port_count == found.end_count + found.link_port_count + found.spare_count
    assert found.spare_count >= spare * ends - 1e-6
    fewer = found.terminal_count - 1
    if fewer:
        free = fewer * ports - taken * (fewer - 1)
        assert free - ends < spare * ends + 1e-6


def test_terminals_counted_out():
    """Five ports: one terminal takes 5 ends; two linked ones 8; three 11."""
    assert [ports_needed(ends, 5).terminal_count for ends in (5, 6, 8, 9, 11, 12)] == [1, 2, 2, 3, 3, 4]
    assert [ports_needed(ends, 5, jumper="bridge bar").terminal_count for ends in (5, 6, 10, 11)] == [1, 2, 2, 3]
    assert ports_needed(10, 12, 0.1).spare_count == 2
    assert ports_needed(10, 11, 0.1).terminal_count == 1


def test_two_ports_cannot_be_chained_by_wire():
    assert ports_needed(2, 2).terminal_count == 1
    with pytest.raises(ArgumentError, match="at least 3"):
        ports_needed(3, 2)
    assert ports_needed(3, 2, jumper="bridge bar").terminal_count == 2


def test_nodes_keep_their_order_and_empty_ones_drop_out():
    found = node_ports({("N2", "+"): 3, ("N1", "-"): 0, ("N1", ""): 6}, 5)
    assert [(one.node, one.end_count) for one in found] == [("N2 +", 3), ("N1", 6)]


@pytest.mark.parametrize(("ends", "ports", "spare"), [(0, 5, 0), (2.5, 5, 0), (3, 0, 0), (3, 5, -0.1)])
def test_impossible_counts_are_refused(ends, ports, spare):
    with pytest.raises(ArgumentError):
        ports_needed(ends, ports, spare)


@given(AREAS)
def test_the_ferrule_is_the_smallest_that_takes_the_wire(area):
    found = ferrule_for(area)
    assert area <= 1.05 * found.area_mm2
    smaller = [float(row["area_mm2"]) for row in table("ferrules") if float(row["area_mm2"]) < found.area_mm2]
    assert all(area > 1.05 * one for one in smaller)
    assert found.strip_m > found.sleeve_m


# Common practice, no source: ferrules that go on AWG wires.
@pytest.mark.parametrize(
    ("wire_mm2", "ferrule_mm2"),
    [(0.205, 0.25), (0.326, 0.34), (0.518, 0.5), (0.823, 1.0), (1.31, 1.5), (2.08, 2.5), (3.31, 4.0), (5.26, 6.0)],
)
def test_ferrules_on_awg_wires(wire_mm2, ferrule_mm2):
    assert ferrule_for(wire_mm2).area_mm2 == ferrule_mm2


def test_a_wire_too_thick_for_any_ferrule_is_refused():
    with pytest.raises(ArgumentError, match="at most"):
        ferrule_for(25.0)


@pytest.mark.parametrize("termination", ["screw clamp", "spring clamp", "push-in", "crimp"])
def test_tinned_ends_creep_under_every_clamp(termination):
    assert "creep" in wire_end_advice(termination, "tinned")
    assert wire_end_advice(termination, "tinned", maker_allows=True) == ""


def test_what_is_good_practice_gets_no_advice():
    for termination in TERMINATIONS:
        assert wire_end_advice(termination, "ferrule") == ""
    for wire_end in WIRE_ENDS:
        assert wire_end_advice("solder joint", wire_end) == ""
    assert wire_end_advice("spring clamp", "bare strands") == ""
    assert wire_end_advice("crimp", "bare strands") == ""
    assert wire_end_advice("push-in", "bare strands") != ""
    assert wire_end_advice("screw clamp", "bare strands") != ""
    assert wire_end_advice("crimp", "solid") != ""


def test_unknown_terminations_are_refused():
    with pytest.raises(ArgumentError, match="termination"):
        wire_end_advice("glue", "tinned")
    with pytest.raises(ArgumentError, match="wire_end"):
        wire_end_advice("crimp", "frayed")


def test_labels():
    assert wire_label("W1", "PSU", "B1") == "W1 | PSU > B1"
    assert wire_label(" W1 ", "PSU\n1", "B1", size="18 AWG", polarity="-") == "W1 - | PSU 1 > B1 | 18 AWG"
    with pytest.raises(ArgumentError, match="to_place"):
        wire_label("W1", "PSU", " ")
