"""Start-up of the commands, as ratios to bare programs in the same run.

Run it with ``python tests/benchmarks/bench_startup.py``; nothing else should be running.
"""

from __future__ import annotations

import argparse
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
TYPER_APP = (
    "import typer\n"
    "app = typer.Typer(rich_markup_mode=None)\n"
    "for name in 'abcdefghijk':\n"
    "    app.command(name)(lambda: None)\n"
)
BARE = {
    "pass": "pass",
    "import typer": "import typer",
    "bare Typer app, --help": TYPER_APP
    + "try:\n    app(['--help'])\nexcept SystemExit:\n    pass\n",
    "bare Typer command and NumPy": TYPER_APP
    + "import numpy\ntry:\n    app(['a'])\nexcept SystemExit:\n    pass\n",
    "bare matplotlib, one PNG": (
        "from io import BytesIO\n"
        "from matplotlib.figure import Figure\n"
        "figure = Figure()\n"
        "figure.add_subplot().plot([0, 1])\n"
        "figure.savefig(BytesIO(), format='png')\n"
    ),
}
OURS = {
    "ease --help": ["--help"],
    "ease --version": ["--version"],
    "ease factors": ["factors", "firm-tricot", "--body", "demo"],
    "ease adjust": ["adjust", "demo-soft", "--to", "firm-tricot"],
    "ease adjust --overlay": [
        "adjust",
        "demo-soft",
        "--to",
        "firm-tricot",
        "--overlay",
        "overlay.png",
        "--force",
    ],
}
BESIDE = {
    "ease --help": "bare Typer app, --help",
    "ease --version": "bare Typer app, --help",
    "ease factors": "bare Typer command and NumPy",
    "ease adjust": "bare Typer command and NumPy",
    "ease adjust --overlay": "bare matplotlib, one PNG",
}


def seconds(command: list[str], folder: str) -> float:
    start = time.perf_counter()
    subprocess.run(
        command,
        cwd=folder,
        env={"PYTHONPATH": str(ROOT), "HOME": folder, "PATH": ""},
        capture_output=True,
        check=True,
    )
    return time.perf_counter() - start


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--repeats", type=int, default=9)
    repeats = parser.parse_args().repeats
    commands = {name: [sys.executable, "-c", code] for name, code in BARE.items()}
    commands |= {
        name: [sys.executable, "-m", "cli", *rest] for name, rest in OURS.items()
    }
    times: dict[str, list[float]] = {name: [] for name in commands}
    with tempfile.TemporaryDirectory() as folder:
        for turn in range(repeats + 1):  # the first fills the caches and does not count
            for name, command in commands.items():
                taken = seconds(command, folder)
                if turn:
                    times[name].append(taken)
    median = {name: statistics.median(values) for name, values in times.items()}
    write = sys.stdout.write
    for name, value in median.items():
        beside = BESIDE.get(name)
        ratio = f"{value / median[beside]:.2f} x {beside}" if beside else ""
        write(f"{name:30} {1000 * value:6.0f} ms  {value / median['pass']:5.1f} x pass")
        write(f"  {ratio}\n")


if __name__ == "__main__":
    main()
