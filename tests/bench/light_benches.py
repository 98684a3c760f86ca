"""Simulated benches of known light: boards in rows at random sizes and heights, read with a stated sensor."""

from dataclasses import dataclass

import numpy as np

from ledcalc.bench import QuantumSensor, measured_map
from ledcalc.photons import LightSource, ppfd_map

NOISE = 0.02
SENSOR = QuantumSensor(noise_fraction=NOISE)
FINE = 40


@dataclass(frozen=True, slots=True, kw_only=True)
class LightBench:
    """Boards over a rectangle that starts at (0, 0)."""

    width_m: float
    depth_m: float
    height_m: float
    sources: tuple[LightSource, ...]

    def grid(self, count):
        """Return the middles of count x count even cells."""
        middles = (np.arange(count) + 0.5) / count
        x, y = np.meshgrid(middles * self.width_m, middles * self.depth_m)
        return x.ravel(), y.ravel()

    def light(self, x, y):
        return np.asarray(ppfd_map(self.sources, np.stack([x, y, np.zeros_like(x)], axis=-1)))

    def mean(self):
        return float(self.light(*self.grid(FINE)).mean())

    def read(self, count, random, *, noise=NOISE, calibration=0.0, factors=1.0, sensor=SENSOR):
        """Return a map as read: noise new at each reading, one calibration error for all, times ``factors``."""
        x, y = self.grid(count)
        shown = self.light(x, y) * factors * (1 + noise * random.standard_normal(x.size))
        return self.as_map(x, y, shown * (1 + calibration), sensor)

    def as_map(self, x, y, shown, sensor=SENSOR):
        return measured_map(
            x,
            y,
            np.maximum(shown, 0.0),
            sensor=sensor,
            height_m=self.height_m,
            area_m=(self.width_m, self.depth_m),
            centre_m=(self.width_m / 2, self.depth_m / 2),
        )


def light_bench(random, *, flux_spread=0.03):
    """Return 1 to 9 boards in rows over 0.8 to 1.8 m a side, 0.3 to 0.8 m up, fluxes a few percent apart."""
    width, depth, height = random.uniform(0.8, 1.8), random.uniform(0.8, 1.8), random.uniform(0.3, 0.8)
    columns, rows = random.integers(1, 4, 2)
    pitch_x, pitch_y = width / columns * random.uniform(0.7, 1.0), depth / rows * random.uniform(0.7, 1.0)
    sources = tuple(
        LightSource(
            x_m=width / 2 + (i - (columns - 1) / 2) * pitch_x,
            y_m=depth / 2 + (j - (rows - 1) / 2) * pitch_y,
            z_m=height,
            width_m=0.25,
            length_m=0.25,
            photon_flux_umol_s=200.0 * random.uniform(1 - flux_spread, 1 + flux_spread),
        )
        for i in range(columns)
        for j in range(rows)
    )
    return LightBench(width_m=width, depth_m=depth, height_m=height, sources=sources)
