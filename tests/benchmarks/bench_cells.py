"""Cell functions: 10,000 calls of the plain formulas in process, beside the Python functions called directly."""

import time

from ledcalc.cells import call_cell, cell_function

CALLS = 10_000
PLAIN = (
    ("LC_WIRE_DROP", [2.0, 3.0, "18 AWG"]),
    ("LC_WIRE_AMPACITY", ["18 AWG", "flexible cord", 60.0]),
    ("LC_DLI", [200.0, 16.0]),
    ("LC_EFFICACY", [256.0, 109.0]),
)


def seconds(call):
    """Return the least time of three rounds."""
    rounds = []
    for _ in range(3):
        start = time.perf_counter()
        for _ in range(CALLS):
            call()
        rounds.append(time.perf_counter() - start)
    return min(rounds)


for name, arguments in PLAIN:
    function = cell_function(name)
    keywords = [argument.keyword for argument in function.arguments]
    direct, given = function.function(), dict(zip(keywords, arguments, strict=False))
    defaults = {a.keyword: a.default for a in function.arguments if a.default is not None and a.keyword not in given}
    as_cell = seconds(lambda name=name, arguments=arguments: call_cell(name, arguments))
    plain = seconds(lambda direct=direct, given=given | defaults: direct(**given))
    print(f"{name:20s} {as_cell:.3f} s for {CALLS} cells, {as_cell / plain:.2f} times the function itself")
