"""Run every command block of the README and put its real output and pictures in.

``python .readme/make.py`` rewrites README.md and the pictures beside this file;
``python .readme/make.py --check`` only tells whether README.md is up to date.
"""

from __future__ import annotations

import argparse
import os
import re
import shlex
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

FOLDER = Path(__file__).resolve().parent
README = FOLDER.parent / "README.md"
PICTURES = {
    "overlay.png": "ease-demo/overlay.png",
    "wear.png": "wear.png",
    "draft.png": "draft.png",
    "sizes.png": "sizes.png",
    "lesson.png": "lesson.png",
    "nest.png": "nest.png",
}
FILE = re.compile(
    r"<!-- file: (?P<name>[\w.-]+) -->\n```\w+\n(?P<body>.*?)```\n", re.DOTALL
)
BLOCK = re.compile(r"```console\n(?P<body>.*?)```", re.DOTALL)
CUT = "[...]"


def run(line: str, folder: Path) -> str:
    """Return what a command prints to stdout, at 80 columns."""
    words = shlex.split(line)
    if words[0] == "cat":
        return (folder / words[1]).read_text(encoding="utf-8").rstrip("\n")
    environment = {
        **os.environ,
        "COLUMNS": "80",
        "EASE_HOME": str(folder / "home"),
        "PYTHONPATH": str(README.parent),
    }
    command = [sys.executable, "-m", "cli", *words[1:]]
    done = subprocess.run(
        command, cwd=folder, env=environment, capture_output=True, text=True
    )
    if done.returncode:
        message = f"{line}\nended with {done.returncode}\n{done.stderr}"
        raise SystemExit(message)
    return "\n".join(row.rstrip() for row in done.stdout.rstrip().splitlines())


def shown(output: str, old: str) -> str:
    """Cut the output where the block in the README cuts it: after ``[...]``."""
    rows, kept = output.splitlines(), old.splitlines()
    if CUT not in kept:
        return output
    return "\n".join([*rows[: kept.index(CUT)], CUT])


def write_files(text: str, folder: Path) -> None:
    """Write what the README shows as files, for its commands to read."""
    for match in FILE.finditer(text):
        (folder / match["name"]).write_text(match["body"], encoding="utf-8")


def rebuilt(text: str, folder: Path) -> str:
    """Return the README with every block's output run anew, in order."""
    write_files(text, folder)

    def block(match: re.Match[str]) -> str:
        parts = re.split(r"^\$ (.*)$", match["body"], flags=re.MULTILINE)[1:]
        rows = []
        for line, old in zip(parts[::2], parts[1::2], strict=True):
            output = shown(run(line, folder), old.strip("\n"))
            rows.append(f"$ {line}\n{output}".rstrip())
        return "```console\n" + "\n".join(rows) + "\n```"

    return BLOCK.sub(block, text)


def main() -> int:
    """Run the blocks; write README and pictures, or only compare."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--check", action="store_true")
    check = parser.parse_args().check
    text = README.read_text(encoding="utf-8")
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        new = rebuilt(text, folder)
        if check:
            return int(new != text)
        README.write_text(new, encoding="utf-8")
        for picture, made in PICTURES.items():
            shutil.copy(folder / made, FOLDER / picture)
    return 0


if __name__ == "__main__":
    sys.exit(main())
