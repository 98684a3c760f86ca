"""Heat: from electrical power to board temperature."""

from ledcalc.heat.steady import board_temperature

__all__ = ["board_temperature"]
