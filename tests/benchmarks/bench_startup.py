"""Start-up of the commands, as ratios to bare programs in the same run.

Run it with ``python tests/benchmarks/bench_startup.py``; nothing else should be running.
The bare programs are started as the commands are, as modules with their bytecode kept;
they have as many commands, and draw a picture of the same size in dots. All take turns,
and the shortest time of each counts: what else the machine does only adds to it.
"""

from __future__ import annotations

import argparse
import os
import subprocess
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
TYPER_APP = """import typer

app = typer.Typer(rich_markup_mode=None, add_completion=False)
for name in "abcdefghijklmnop":
    app.command(name)(lambda: None)
"""
PICTURE = """from io import BytesIO
from matplotlib.figure import Figure

figure = Figure(figsize=(9.5, 8.0))
figure.add_subplot().plot([0, 1])
figure.savefig(BytesIO(), format="png", dpi=150)
"""
BARE = {
    "pass": "",
    "bare Typer app, --help": TYPER_APP + "app(['--help'])\n",
    "bare Typer command": TYPER_APP + "app(['a'])\n",
    "bare Typer command and NumPy": TYPER_APP + "import numpy\napp(['a'])\n",
    "bare matplotlib, one PNG": PICTURE,
    "bare Typer command and PNG": TYPER_APP + PICTURE + "app(['a'])\n",
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
    "ease --help": ("bare Typer app, --help",),
    "ease --version": ("bare Typer app, --help",),
    "ease factors": ("bare Typer command and NumPy",),
    "ease adjust": ("bare Typer command and NumPy",),
    "ease adjust --overlay": ("bare matplotlib, one PNG", "bare Typer command and PNG"),
}


def seconds(command: list[str], folder: str) -> float:
    start = time.perf_counter()
    subprocess.run(
        command,
        cwd=folder,
        env={
            "PYTHONPATH": os.pathsep.join((str(ROOT), folder)),
            "HOME": folder,
            "PATH": "",
        },
        capture_output=True,
        check=True,
    )
    return time.perf_counter() - start


def bare_commands(folder: str) -> dict[str, list[str]]:
    """Write each bare program as a package, so that its bytecode is kept."""
    commands = {}
    for place, (name, code) in enumerate(BARE.items()):
        package = Path(folder, f"bare{place}")
        package.mkdir()
        (package / "__init__.py").touch()
        (package / "__main__.py").write_text("from . import app\n", encoding="utf-8")
        (package / "app.py").write_text(code, encoding="utf-8")
        commands[name] = [sys.executable, "-m", package.name]
    return commands


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--repeats", type=int, default=15)
    repeats = parser.parse_args().repeats
    with tempfile.TemporaryDirectory() as folder:
        commands = bare_commands(folder)
        commands |= {
            name: [sys.executable, "-m", "cli", *rest] for name, rest in OURS.items()
        }
        times: dict[str, list[float]] = {name: [] for name in commands}
        for turn in range(repeats + 1):  # the first fills the caches and does not count
            for name, command in commands.items():
                taken = seconds(command, folder)
                if turn:
                    times[name].append(taken)
    least = {name: min(values) for name, values in times.items()}
    for name, value in least.items():
        print(f"{name:30} {1000 * value:6.0f} ms")
        for other in BESIDE.get(name, ()):
            print(f"{value / least[other]:36.2f} x {other}")


if __name__ == "__main__":
    main()
