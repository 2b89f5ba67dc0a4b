"""Long runs of one sign, and long files: time and memory stay in step with the size.

Expressions that search to the end from every place take the square of the length; at the
lengths below that is many minutes; the limit only ends what hangs, and no speed is
measured here.
"""

from __future__ import annotations

import subprocess
import sys
import time
from pathlib import Path

import pytest
from fuzz_readers import READERS, ROOT, offer, seeds

LIMIT_S = 120.0  # a hang, on any machine; a quiet one takes at most 2
LENGTH = 135_000  # past the 131 072 signs at which the CSV reader gives up
RUNS = (
    " ", "a", "1", ".", "1.", "a ", "_", "=", "# ", "(", "[", '"', "{", "/*", "<", "&",
    "a,", ";", "-",
)  # fmt: skip


@pytest.mark.parametrize("name", READERS)
def test_long_runs_of_one_sign(name: str, tmp_path: Path) -> None:
    good = next(path for path in seeds(name) if "good" in path.name or path.suffix)
    text = good.read_text(encoding="utf-8", errors="replace")
    middle = text.find("\n", len(text) // 3)
    for run in RUNS:
        long = run * (LENGTH // len(run))
        for made in (f"{long}x\n{text}", f"{text[:middle]}{long}x/{text[middle:]}"):
            begun = time.perf_counter()
            offer(name, made.encode(), tmp_path)
            assert time.perf_counter() - begun < LIMIT_S, run


@pytest.mark.parametrize(
    "inner",
    [
        "<style>{}</style>".format("a" * LENGTH),
        "<style>{}</style>".format("/*" * LENGTH),
        "<style>{}</style>".format("a{b:c}" * LENGTH),
        '<path d="M0 0{}"/>'.format(" " * LENGTH),
        '<path d="M0 0{}x"/>'.format("1" * LENGTH),
        '<path d="M0 0{}"/>'.format("a1e8 1e8 0 0 1 5 5" * 19_000),
        '<path d="M0 0L1 1" transform="scale(1){}x"/>'.format(" " * LENGTH),
        '<path d="M0 0L1 1" transform="{}"/>'.format("scale(1)" * LENGTH),
        '<circle r="1{}!"/>'.format(" " * LENGTH),
        '<g id="a0"><path d="M0 0l1 1"/></g>'
        + "".join(
            f'<g id="a{i}"><use href="#a{i - 1}"/><use href="#a{i - 1}"/></g>'
            for i in range(1, 40)
        ),
    ],
    ids=lambda inner: inner[:24],
)
def test_drawings_that_ask_for_much(inner: str, tmp_path: Path) -> None:
    begun = time.perf_counter()
    page = '<svg width="9mm" height="9mm" viewBox="0 0 9 9">'
    assert offer("svg", f"{page}{inner}</svg>".encode(), tmp_path) == 0
    assert time.perf_counter() - begun < LIMIT_S


BIG = """
import re, sys, tempfile
from pathlib import Path
from fuzz_readers import offer
name, row, times = sys.argv[1:]
top, _, row = row.encode().decode("unicode_escape").partition("|")
offer(name, (top + row * int(times)).encode(), Path(tempfile.mkdtemp()))
# The peak of this program alone; the one of getrusage begins with its parent's.
status = Path("/proc/self/status").read_text()
print(int(re.search(r"VmHWM:\\s+([0-9]+)", status)[1]) // 1024)
"""


@pytest.mark.skipif(
    not Path("/proc/self/status").is_file(), reason="the peak is read from /proc"
)
@pytest.mark.parametrize(
    ("name", "row", "times"),
    [
        ("hand", r"direction,gauge,extended\n|across,10,15\n", 100_000),
        ("load", r"Extension (mm),Load (N)\n|1,1\n", 300_000),
        ("bodies", r"name,bust,waist,hip\n|a,88,70,96\n", 200_000),
        ("block", r'schema = "ease/block/1"\nunits = "cm"\n|[[piece]]\n', 80_000),
        ("fabric", r'schema = "ease/fabric/1"\n|# a\n', 200_000),
        ("svg", r"<svg>|<g></g>", 300_000),
        ("dxf", r"  0\nSECTION\n  2\nENTITIES\n|  0\nLINE\n  8\n1\n", 49_000),
    ],
)
def test_memory_stays_below_a_gigabyte(name: str, row: str, times: int) -> None:
    done = subprocess.run(
        [sys.executable, "-c", BIG, name, row, str(times)],
        capture_output=True,
        text=True,
        timeout=60,
        env={"PYTHONPATH": f"{ROOT}:{ROOT / 'tests' / 'fuzz'}"},
        check=True,
    )
    assert int(done.stdout) < 1024
