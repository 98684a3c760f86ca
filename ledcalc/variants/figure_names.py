"""What the figures that variants are compared by are called, in words for people, and which way is better."""

from __future__ import annotations

from dataclasses import dataclass

__all__ = ["FIGURE_NAMES", "FigureName", "figure_name", "figure_text"]


@dataclass(frozen=True, slots=True, kw_only=True)
class FigureName:
    """A figure's label, unit (``money``: the site's currency) and which way is better; empty where neither is."""

    label: str
    unit: str = ""
    better: str = ""


FIGURE_NAMES: dict[str, FigureName] = {
    "driver_voltage_v": FigureName(label="driver voltage", unit="V"),
    "driver_current_a": FigureName(label="driver current", unit="A"),
    "dc_power_w": FigureName(label="DC power", unit="W"),
    "mains_power_w": FigureName(label="mains power", unit="W", better="lowest"),
    "highest_board_current_a": FigureName(label="highest board current", unit="A", better="lowest"),
    "highest_board_temperature_c": FigureName(label="hottest board", unit="degC", better="lowest"),
    "photon_flux_umol_s": FigureName(label="photon flux", unit="umol/s", better="highest"),
    "ppfd_mean_umol_m2_s": FigureName(label="mean PPFD", unit="umol m-2 s-1", better="highest"),
    "min_over_mean_fraction": FigureName(label="min/mean", better="highest"),
    "dli_mean_mol_m2_d": FigureName(label="mean DLI", unit="mol m-2 d-1", better="highest"),
    "utilisation_fraction": FigureName(label="share of the light on the crop", better="highest"),
    "dc_efficacy_umol_per_j": FigureName(label="photon efficacy, DC basis", unit="umol/J", better="highest"),
    "ac_efficacy_umol_per_j": FigureName(label="photon efficacy, AC basis", unit="umol/J", better="highest"),
    "canopy_efficacy_umol_per_j": FigureName(label="photon efficacy on the crop", unit="umol/J", better="highest"),
    "energy_kwh": FigureName(label="energy a year", unit="kWh", better="lowest"),
    "energy_cost": FigureName(label="energy cost a year", unit="money", better="lowest"),
    "boards_count": FigureName(label="boards"),
    "load_fraction": FigureName(label="highest board current over its rating", better="lowest"),
    "least_margin_c": FigureName(label="least margin to a board's rated temperature", unit="K", better="highest"),
    "hottest_junction_c": FigureName(label="hottest junction", unit="degC", better="lowest"),
    "driver_case_c": FigureName(label="driver's case", unit="degC", better="lowest"),
    "driver_efficiency_fraction": FigureName(label="driver's efficiency", better="highest"),
    "wire_loss_w": FigureName(label="lost in wires", unit="W", better="lowest"),
    "canopy_photons_mol": FigureName(label="photons on the crop a year", unit="mol", better="highest"),
    "purchase_cost": FigureName(label="bought, in all", unit="money", better="lowest"),
    "renewal_cost": FigureName(label="renewing worn parts, a year", unit="money", better="lowest"),
    "running_cost": FigureName(label="running it, a year", unit="money", better="lowest"),
    "owning_cost": FigureName(label="owning it, a year", unit="money", better="lowest"),
    "purchase_cost_per_umol_s": FigureName(label="bought, for each umol/s", unit="money", better="lowest"),
    "energy_cost_per_mol": FigureName(label="energy cost of a mole on the crop", unit="money", better="lowest"),
    "owning_cost_per_mol": FigureName(label="owning it, for a mole on the crop", unit="money", better="lowest"),
}


def figure_name(figure: str) -> FigureName:
    """Return how a figure is called; one of the caller's own goes by its own name.

    Examples
    --------
    >>> figure_name("mean_hours_h").label
    'mean hours h'
    """
    return FIGURE_NAMES.get(figure) or FigureName(label=figure.replace("_", " "))


def figure_text(figure: str, value: float, currency: str = "", digits: int = 4) -> str:
    """Return a figure's value, to so many significant digits, with its unit.

    Examples
    --------
    >>> figure_text("mains_power_w", 123.456), figure_text("energy_cost", 61.2, "EUR")
    ('123.5 W', '61.2 EUR')
    """
    unit = figure_name(figure).unit
    return f"{value:.{digits}g} {currency if unit == 'money' else unit}".rstrip()
