"""The README's Python runs as printed, and its opening states the job."""

import re
from pathlib import Path

README = Path(__file__).parents[1] / "README.md"


def test_python_code_runs(capsys):
    text = README.read_text(encoding="utf-8")
    blocks = re.findall(r"^```python\n(.*?)^```", text, re.MULTILINE | re.DOTALL)
    assert blocks
    for block in blocks:
        exec(compile(block, "README.md", "exec"), {})
    assert "constant current" in capsys.readouterr().out


def test_opens_with_one_paragraph_that_states_the_job():
    head = README.read_text(encoding="utf-8").split("\n\n")
    assert head[0] == "# ledcalc"
    assert head[1].startswith("ledcalc works out multi-board LED plant lights")


def test_both_commands_stand_in_the_readme_as_the_automatic_run_reads_them():
    text = README.read_text(encoding="utf-8")
    for name in ("main", "tests"):
        assert len(re.findall(rf"^```sh {name}\n[^\n]+\n```$", text, re.MULTILINE)) == 1
