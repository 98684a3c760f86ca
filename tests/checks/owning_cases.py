"""For the rule on the parts list: what fires it, what stays inside, what clears it."""

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))
from rule_cases import Case


def cases_of_owning():
    return {
        "parts-too-few": [
            Case(fires={"parts[0].quantity": 7.0}, inside={"parts[0].quantity": 8.0}, severity="note"),
            Case(
                fires={"parts[0].quantity": 6.0, "parts[0].spares_count": 1.0},
                inside={"parts[0].quantity": 6.0, "parts[0].spares_count": 2.0},
            ),
            # Wire counts in metres: as it is cut, loops and spare length included.
            Case(
                fires={"parts[3].tag": "18 AWG", "parts[3].quantity": 10.6},
                inside={"parts[3].tag": "18 AWG", "parts[3].quantity": 10.8},
            ),
        ]
    }
