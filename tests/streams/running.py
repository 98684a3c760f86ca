"""Files of variants of the example, the command in a process of its own, and how far it came."""

import json
import os
import subprocess
import sys
import time

import numpy as np


def electrical(path, count):
    """A file of variants whose electrical and dimming inputs differ."""
    rng = np.random.default_rng(11)
    drawn = zip(rng.uniform(2.0, 4.8, count), rng.uniform(0.2, 1.0, count), rng.uniform(23, 26, count), strict=True)
    rows = [f"v{number},{amps:.5f},{dimming:.4f},{volts:.3f}" for number, (amps, dimming, volts) in enumerate(drawn)]
    head = "Variant,fixture.current_setting_a,fixture.dimming_fraction,fixture.voltage_setting_v"
    path.write_text("\n".join([head, *rows, ""]))
    return path


def started(*arguments, block_size=None, **options):
    """The command in a process of its own; ``block_size``: variants a block, to have many of them soon."""
    small = f"import ledcalc.variants.varied as v; v.MANY = v.FEW = {block_size}; " if block_size else ""
    code = f"import sys; {small}from ledcalc.cli import main; sys.exit(main(sys.argv[1:]))"
    return subprocess.Popen(
        [sys.executable, "-c", code, "variants", *map(str, arguments)],
        env={**os.environ, "OMP_NUM_THREADS": "1"},
        stdout=subprocess.PIPE,
        stderr=options.pop("stderr", subprocess.PIPE),
        text=True,
        **options,
    )


def outcome(process, timeout=300):
    """Wait for a process: exit status, what it said, what it complained of."""
    with process:
        said, complained = process.communicate(timeout=timeout)
    return process.returncode, said, complained


def reached(out):
    try:
        return json.loads(out.with_name(f"{out.name}.part.json").read_text())["blocks_count"]
    except FileNotFoundError:
        return -1


def wait_for(condition, process, seconds=120.0):
    end = time.monotonic() + seconds
    while not condition():
        assert process.poll() is None, process.communicate()
        assert time.monotonic() < end
        time.sleep(0.002)
