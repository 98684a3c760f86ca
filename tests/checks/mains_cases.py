"""For the rules on the mains side: what fires them, what stays inside, what clears them."""

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))
from rule_cases import Case

from ledcalc.wiring import breaker_holds_a

ROW = "drivers[0]"


def cases_of_mains():
    holds = float(breaker_holds_a(15.0, "B", 0.3e-3))
    inrush = {"site.breaker_curve": "B", f"{ROW}.inrush_ms": 0.3, "fixture.fixtures_count": 2}
    leak = {"site.residual_device_a": 0.03, "fixture.fixtures_count": 3}
    return {
        "inrush-may-trip": [
            Case(
                fires={**inrush, f"{ROW}.inrush_a": holds / 2 * 1.01},
                inside={**inrush, f"{ROW}.inrush_a": holds / 2 * 0.999},
            ),
            Case(
                fires={**inrush, "site.breaker_curve": "D", f"{ROW}.inrush_a": holds * 3},
                inside={**inrush, "site.breaker_curve": "D", f"{ROW}.inrush_a": holds},
            ),
        ],
        "leakage-high": [
            Case(fires={**leak, f"{ROW}.leakage_a": 0.0035}, inside={**leak, f"{ROW}.leakage_a": 0.003}),
            Case(
                fires={**leak, "site.other_leakage_a": 0.008, f"{ROW}.leakage_a": 0.001},
                inside={**leak, "site.other_leakage_a": 0.006, f"{ROW}.leakage_a": 0.001},
            ),
        ],
        "inlet-overloaded": [
            Case(
                fires={f"{ROW}.inlet": "C13", "site.mains_v": 81.0, "drivers[0].efficiency_fraction": 0.9, **heavy()},
                inside={f"{ROW}.inlet": "C13"},
                by_hand={f"{ROW}.inlet": "C19"},
            )
        ],
        "metal-not-earthed": [
            Case(
                fires={"fixture.metal_earthed": "no"},
                inside={"fixture.metal_earthed": "yes"},
                by_hand={"fixture.metal_earthed": "yes"},
                severity="stop",
            ),
            Case(
                fires={"fixture.metal_earthed": "unknown"},
                inside={"fixture.metal_earthed": "unknown", f"{ROW}.protection_class": "III"},
                by_hand={"fixture.metal_earthed": "yes"},
                severity="note",
            ),
        ],
        "inlet-without-earth": [
            Case(
                fires={f"{ROW}.inlet": "C8"},
                inside={f"{ROW}.inlet": "C8", f"{ROW}.protection_class": "II", "boards.has_metal": "no"},
                by_hand={f"{ROW}.inlet": "C14"},
            )
        ],
        "output-not-isolated": [
            Case(
                fires={f"{ROW}.isolated_output": "no"},
                inside={f"{ROW}.isolated_output": "yes"},
                by_hand={f"{ROW}.isolated_output": "yes"},
            )
        ],
    }


def heavy():
    """Return a driver so wasteful that the fixture draws more than a small connector carries."""
    return {"driver_points.efficiency_fraction": 0.31, "driver_points.power_factor_fraction": 0.31}
