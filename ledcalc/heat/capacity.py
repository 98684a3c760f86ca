"""How much heat a sink takes up as it warms."""

from __future__ import annotations

from numpy.typing import ArrayLike

from ledcalc.arguments import Numbers, answer, numbers
from ledcalc.heat.sinks import PlateFinSink

__all__ = ["sink_heat_capacity"]

ALUMINIUM_J_PER_M3_K = 2.44e6


def sink_heat_capacity(sink: PlateFinSink, *, volumetric_j_per_m3_k: ArrayLike = ALUMINIUM_J_PER_M3_K) -> Numbers:
    """Return the heat capacity of a finned sink: volume of base and fins times heat capacity of the metal.

    Parameters
    ----------
    sink : its dimensions
    volumetric_j_per_m3_k : J/(m3 K), above 0: density times specific heat; the default is that of aluminium

    Returns
    -------
    J/K, in the shape of ``volumetric_j_per_m3_k``

    Raises
    ------
    ArgumentError (a ValueError): a number out of its range

    References
    ----------
    Aluminium at 300 K: 2702 kg/m3 x 903 J/(kg K), Incropera, Table A.1 (from memory).

    Examples
    --------
    >>> sink = PlateFinSink(
    ...     width_m=0.1,
    ...     length_m=0.3,
    ...     base_thickness_m=0.004,
    ...     fin_count=8,
    ...     fin_height_m=0.03,
    ...     fin_thickness_m=0.0015,
    ...     conductivity_w_per_m_k=200.0,
    ...     emissivity_fraction=0.8,
    ...     orientation="vertical",
    ... )
    >>> round(sink_heat_capacity(sink))
    556
    """
    base = sink.width_m * sink.base_thickness_m
    fins = sink.fin_count * sink.fin_height_m * sink.fin_thickness_m
    return answer(numbers("volumetric_j_per_m3_k", volumetric_j_per_m3_k, above=0) * sink.length_m * (base + fins))
