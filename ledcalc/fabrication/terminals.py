"""Terminals: how many a node needs, which ferrule goes on a wire, and which wire ends a clamp takes."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from ledcalc.arguments import choice, numbers, whole_numbers
from ledcalc.errors import ArgumentError
from ledcalc.tables import table

__all__ = ["JUMPERS", "TERMINATIONS", "WIRE_ENDS", "Ferrule", "Ports", "ferrule_for", "node_ports", "ports_needed"]
__all__ += ["wire_end_advice"]

JUMPERS = ("wire links", "bridge bar")
TERMINATIONS = ("screw clamp", "spring clamp", "push-in", "crimp", "solder joint")
WIRE_ENDS = ("solid", "bare strands", "ferrule", "tinned")


@dataclass(frozen=True, slots=True, kw_only=True)
class Ports:
    """Terminals of one node: ``port_count`` in all, for wire ends, links between terminals, and what is left."""

    node: str
    terminal_count: int
    port_count: int
    end_count: int
    link_count: int
    link_port_count: int
    spare_count: int


def ports_needed(
    ends: int, ports_per_terminal: int, spare_fraction: float = 0.0, *, jumper: str = "wire links", node: str = ""
) -> Ports:
    """Return how many terminals join a number of wire ends into one node.

    Parameters
    ----------
    ends : at least 1: wire ends that meet
    ports_per_terminal : at least 1: wires one terminal takes
    spare_fraction : at least 0: ports to be left free over ``ends``, rounded up
    jumper : ``"wire links"`` (each link between two terminals takes a port of both) or ``"bridge bar"`` (takes none)
    node : name carried through to the result

    Returns
    -------
    Ports

    Raises
    ------
    ArgumentError (a ValueError): a number out of its range, or terminals of one or two ports that wire links cannot
    chain to that many

    Validity
    --------
    A chain: n terminals have n - 1 links, so n terminals of p ports leave n p - 2 (n - 1) for wires.

    References
    ----------
    Counting.

    Examples
    --------
    >>> found = ports_needed(9, 5, 0.1)
    >>> found.terminal_count, found.link_count, found.spare_count
    (3, 2, 2)
    """
    wires = int(whole_numbers("ends", ends, at_least=1))
    ports = int(whole_numbers("ports_per_terminal", ports_per_terminal, at_least=1))
    spare = float(numbers("spare_fraction", spare_fraction, at_least=0))
    taken = 2 if choice("jumper", jumper, JUMPERS) == "wire links" else 0
    # 0.1 of 10 ends is one port, whatever the last binary digit says.
    wanted = wires + math.ceil(spare * wires - 1e-9)
    if wanted <= ports:
        terminals = 1
    elif ports > taken:
        terminals = math.ceil((wanted - taken) / (ports - taken))
    else:
        raise ArgumentError(
            "ports_per_terminal", ports, f"at least 3 where wire links join {wanted} ports into one node"
        )
    links = terminals - 1
    return Ports(
        node=node,
        terminal_count=terminals,
        port_count=terminals * ports,
        end_count=wires,
        link_count=links,
        link_port_count=taken * links,
        spare_count=terminals * ports - taken * links - wires,
    )


def node_ports(
    ends: Mapping[tuple[str, str], int],
    ports_per_terminal: int,
    spare_fraction: float = 0.0,
    *,
    jumper: str = "wire links",
) -> tuple[Ports, ...]:
    """Return the terminals of each node and polarity, in the order given; nodes without a wire end need none.

    Parameters
    ----------
    ends : (node, polarity) to number of wire ends that meet there
    ports_per_terminal, spare_fraction, jumper : as for ``ports_needed``

    Returns
    -------
    tuple of Ports, named node and polarity with a space between

    Raises
    ------
    ArgumentError (a ValueError): as for ``ports_needed``

    Examples
    --------
    >>> [(one.node, one.terminal_count) for one in node_ports({("N1", "+"): 4, ("N1", "-"): 7}, 5)]
    [('N1 +', 1), ('N1 -', 2)]
    """
    return tuple(
        ports_needed(count, ports_per_terminal, spare_fraction, jumper=jumper, node=f"{node} {polarity}".strip())
        for (node, polarity), count in ends.items()
        if int(whole_numbers("ends", count)) > 0
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Ferrule:
    """An insulated ferrule: its cross-section, colour, sleeve, and how far the wire is stripped for it."""

    area_mm2: float
    colour: str
    sleeve_m: float
    strip_m: float


def ferrule_for(wire_mm2: float) -> Ferrule:
    """Return the smallest insulated ferrule that takes a stranded wire.

    Parameters
    ----------
    wire_mm2 : mm2, above 0: cross-section of the conductor

    Returns
    -------
    Ferrule

    Raises
    ------
    ArgumentError (a ValueError): a number out of its range, or a wire thicker than the table's largest ferrule

    Validity
    --------
    One wire a ferrule. A ferrule takes up to 5 % more than its name, so 20 AWG (0.52 mm2) goes into 0.5 mm2. Colours
    of the German series; others are in use.

    References
    ----------
    DIN 46228-4, from memory: table ``ferrules``. The 5 %: common practice, no source.

    Examples
    --------
    >>> ferrule_for(0.823).colour
    'red'
    """
    area = float(numbers("wire_mm2", wire_mm2, above=0))
    rows = table("ferrules")
    for row in rows:
        if area <= 1.05 * float(row["area_mm2"]):
            return Ferrule(
                area_mm2=float(row["area_mm2"]),
                colour=row["colour"],
                sleeve_m=float(row["sleeve_mm"]) / 1000.0,
                strip_m=float(row["strip_mm"]) / 1000.0,
            )
    raise ArgumentError("wire_mm2", area, f"at most {1.05 * float(rows[-1]['area_mm2']):g} mm2")


def wire_end_advice(termination: str, wire_end: str, *, maker_allows: bool = False) -> str:
    """Return what speaks against a wire end in a termination; empty where nothing does.

    Parameters
    ----------
    termination : ``"screw clamp"``, ``"spring clamp"``, ``"push-in"``, ``"crimp"`` or ``"solder joint"``
    wire_end : ``"solid"``, ``"bare strands"``, ``"ferrule"`` or ``"tinned"`` (soldered)
    maker_allows : whether the maker of the terminal allows this wire end in it

    Raises
    ------
    ArgumentError (a ValueError): an unknown termination or wire end

    References
    ----------
    Solder creeps under lasting pressure, so the clamp comes loose; fine strands escape a bare screw or buckle before a
    push-in spring: common practice, no source.

    Examples
    --------
    >>> wire_end_advice("spring clamp", "tinned")
    'tinned ends creep under a clamp and come loose: strip anew, leave the strands bare or crimp a ferrule on'
    >>> wire_end_advice("spring clamp", "ferrule")
    ''
    """
    place, end = choice("termination", termination, TERMINATIONS), choice("wire_end", wire_end, WIRE_ENDS)
    if maker_allows or place == "solder joint":
        return ""
    if end == "tinned":
        return (
            "tinned ends creep under a clamp and come loose: strip anew, leave the strands bare or crimp a ferrule on"
        )
    if end == "bare strands" and place == "push-in":
        return "bare strands buckle before a push-in spring: crimp a ferrule on, or open the spring with its lever"
    if end == "bare strands" and place == "screw clamp":
        return "bare strands escape the screw: crimp a ferrule on, unless the clamp guards the wire"
    if end == "solid" and place == "crimp":
        return "most crimp barrels are made for strands: ask the maker about solid wire"
    return ""
