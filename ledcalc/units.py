"""Registered units and their factors to the canonical unit of each quantity; used at the edges only.

Inside, every number is in its canonical unit (SI, with degC, h and the trade's own units where they are usual), and the
end of its name says which: ``SUFFIX_UNITS`` is the register of those endings.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from difflib import get_close_matches

from ledcalc.errors import ArgumentError

__all__ = ["SUFFIX_UNITS", "UNITS", "Unit", "convert", "name_unit", "split_number_and_unit", "unit"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Unit:
    """One unit: value in the canonical unit = value * factor + offset."""

    symbol: str
    quantity: str
    factor: float = 1.0
    offset: float = 0.0
    spellings: tuple[str, ...] = ()


def _unit(symbol: str, quantity: str, factor: float = 1.0, *spellings: str, offset: float = 0.0) -> Unit:
    return Unit(symbol=symbol, quantity=quantity, factor=factor, offset=offset, spellings=spellings)


# The inch (25.4 mm), the foot (12 in), the pound (0.45359237 kg) and the Fahrenheit scale are exact by definition.
UNITS: dict[str, Unit] = {
    entry.symbol: entry
    for entry in (
        _unit("m", "length", 1.0, "metre", "metres", "meter", "meters"),
        _unit("cm", "length", 0.01),
        _unit("mm", "length", 0.001),
        _unit("in", "length", 0.0254, '"', "inch", "inches", "″"),
        _unit("ft", "length", 0.3048, "'", "foot", "feet", "′"),
        _unit("V", "voltage", 1.0, "volt", "volts", "Vdc", "V dc"),
        _unit("mV", "voltage", 0.001),
        _unit("A", "current", 1.0, "amp", "amps", "ampere", "amperes"),
        _unit("mA", "current", 0.001),
        _unit("W", "power", 1.0, "watt", "watts"),
        _unit("kW", "power", 1000.0),
        _unit("ohm", "resistance", 1.0, "Ω", "Ω", "ohms"),
        _unit("mohm", "resistance", 0.001, "mΩ", "mΩ"),
        _unit("degC", "temperature", 1.0, "°C", "C", "deg C"),
        _unit("degF", "temperature", 5.0 / 9.0, "°F", "F", "deg F", offset=-160.0 / 9.0),
        _unit("K/W", "thermal resistance", 1.0, "°C/W", "degC/W", "C/W"),
        _unit("nm", "wavelength", 1.0),
        _unit("kg", "weight", 1.0),
        _unit("g", "weight", 0.001),
        _unit("lb", "weight", 0.45359237, "lbs"),
        _unit("kg/m", "weight a length", 1.0),
        _unit("g/m", "weight a length", 0.001),
        _unit("ms", "pulse width", 1.0),
        _unit("us", "pulse width", 0.001, "µs", "μs"),
        _unit("m3", "volume", 1.0, "m³"),
        _unit("cm3", "volume", 1e-6, "cm³", "ml"),
        _unit("in3", "volume", 0.0254**3, "in³", "cu in"),
        _unit("W/K", "heat loss", 1.0, "W/°C", "W/degC"),
        _unit("J/K", "heat capacity", 1.0, "J/°C", "J/degC"),
        _unit("m/s", "speed", 1.0, "m s-1"),
        _unit("ft/min", "speed", 0.3048 / 60.0, "fpm"),
        _unit("m3/h", "flow of air", 1.0, "m³/h"),
        _unit("ft3/min", "flow of air", 0.3048**3 * 60.0, "cfm", "ft³/min"),
        _unit("W/(m K)", "thermal conductivity", 1.0, "W/m/K", "W/mK", "W/(m·K)"),
        _unit("V/K", "voltage coefficient", 1.0, "V/°C", "V/degC"),
        _unit("mV/K", "voltage coefficient", 0.001, "mV/°C", "mV/degC"),
        _unit("1/K", "relative coefficient", 1.0, "1/°C", "1/degC"),
        _unit("%/K", "relative coefficient", 0.01, "%/°C", "%/degC"),
        _unit("umol/s", "photon flux", 1.0, "µmol/s", "μmol/s", "umol s-1"),
        _unit("umol m-2 s-1", "photon flux density", 1.0, "µmol m-2 s-1", "μmol m-2 s-1", "umol/m2/s", "µmol/m²/s"),
        _unit("mol m-2 d-1", "daily light integral", 1.0, "mol/m2/d", "mol/m²/d", "mol m-2 day-1"),
        _unit("umol/J", "photon efficacy", 1.0, "µmol/J", "μmol/J"),
        _unit("1", "share", 1.0),
        _unit("%", "share", 0.01, "percent"),
        _unit("h", "time", 1.0, "hour", "hours", "hr"),
        _unit("min", "time", 1.0 / 60.0, "minute", "minutes"),
        _unit("s", "time", 1.0 / 3600.0, "second", "seconds", "sec"),
        _unit("deg", "angle", 1.0, "°", "degree", "degrees"),
        _unit("per kWh", "price of energy", 1.0, "/kWh"),
        _unit("years", "span of years", 1.0, "year", "yr"),
        # A month is a twelfth of a year of 365 days.
        _unit("per day", "charge by time", 1.0, "/day"),
        _unit("per month", "charge by time", 12.0 / 365.0, "/month"),
        _unit("per year", "charge by time", 1.0 / 365.0, "/year"),
        _unit("per kW and day", "charge by power", 1.0, "per kW day", "/kW/day"),
        _unit("per kW and month", "charge by power", 12.0 / 365.0, "per kW month", "/kW/month"),
    )
}

SUFFIX_UNITS: dict[str, str] = {
    "_m": "m",
    "_mm2": "mm2",
    "_v": "V",
    "_a": "A",
    "_w": "W",
    "_ohm": "ohm",
    "_c": "degC",
    "_k_per_w": "K/W",
    "_w_per_m_k": "W/(m K)",
    "_nm": "nm",
    "_kg": "kg",
    "_kg_per_m": "kg/m",
    "_ms": "ms",
    "_m3": "m3",
    "_w_per_k": "W/K",
    "_j_per_k": "J/K",
    "_m_per_s": "m/s",
    "_m3_per_h": "m3/h",
    "_v_per_k": "V/K",
    "_fraction_per_k": "1/K",
    "_umol_s": "umol/s",
    "_umol_m2_s": "umol m-2 s-1",
    "_mol_m2_d": "mol m-2 d-1",
    "_umol_per_j": "umol/J",
    "_fraction": "1",
    "_h": "h",
    "_deg": "deg",
    "_count": "",
    "_per_kwh": "per kWh",
    "_per_day": "per day",
    "_per_kw_day": "per kW and day",
    "_years": "years",
    "_kwh": "kWh",
}

_SPELLINGS: dict[str, str] = {
    spelling.casefold(): entry.symbol for entry in UNITS.values() for spelling in (entry.symbol, *entry.spellings)
}
_CASED = {spelling: entry.symbol for entry in UNITS.values() for spelling in (entry.symbol, *entry.spellings)}
_NUMBER = re.compile(r"([+-]?(?:\d+(?:\.\d*)?|\.\d+)(?:[eE][+-]?\d+)?)\s*(.*)", re.DOTALL)


def unit(text: str) -> Unit:
    """Return the registered unit that a text spells.

    Raises
    ------
    ArgumentError (a ValueError): no such unit; the text names the nearest one

    Examples
    --------
    >>> unit("°C").symbol
    'degC'
    """
    words = " ".join(text.split())
    symbol = _CASED.get(words) or _SPELLINGS.get(words.casefold())
    if symbol is None:
        near = get_close_matches(words, list(_CASED), n=1)
        raise ArgumentError("unit", text, f"{', '.join(UNITS)}{f' (nearest: {near[0]})' if near else ''}")
    return UNITS[symbol]


def convert(value: float, from_unit: str, to_unit: str) -> float:
    """Convert a number between two units of one quantity.

    Parameters
    ----------
    value : in ``from_unit``
    from_unit, to_unit : any registered spelling

    Raises
    ------
    ArgumentError (a ValueError): an unknown unit, or units of two different quantities

    References
    ----------
    Inch, foot and the Fahrenheit scale: exact definitions (NIST SP 811, Appendix B).

    Examples
    --------
    >>> round(convert(18.0, "in", "m"), 6)
    0.4572
    """
    source, target = unit(from_unit), unit(to_unit)
    if source.quantity != target.quantity:
        raise ArgumentError("unit", from_unit, f"a unit of {target.quantity}, such as {target.symbol}")
    if source is target:
        return value
    return (value * source.factor + source.offset - target.offset) / target.factor


def split_number_and_unit(text: str) -> tuple[float, str]:
    """Split a typed quantity such as ``18 in`` into its number and its unit's text (empty where none stands).

    Raises
    ------
    ArgumentError (a ValueError): the text does not begin with a number written with a decimal point

    Examples
    --------
    >>> split_number_and_unit("18 in")
    (18.0, 'in')
    """
    match = _NUMBER.fullmatch(text.strip().replace("\N{MINUS SIGN}", "-"))
    if match is None or match.group(2)[:1] in {",", "."} or match.group(2)[:1].isdigit():
        raise ArgumentError("quantity", text, "a number with a decimal point, and a unit behind it if need be")
    return float(match.group(1)), match.group(2)


def name_unit(name: str) -> str | None:
    """Return the unit that the end of a name stands for, or None where the name has no registered ending.

    Examples
    --------
    >>> name_unit("thermal_resistance_k_per_w")
    'K/W'
    """
    endings = [ending for ending in SUFFIX_UNITS if name.endswith(ending)]
    return SUFFIX_UNITS[max(endings, key=len)] if endings else None
