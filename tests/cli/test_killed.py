"""A command that is killed leaves the old file or the new one, never half of one.

Each writing command is run again and again and killed before every step it takes on the
files (opened, synced, given rights, renamed, removed), and at moments drawn by lot.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
DEMO = ROOT / "ease" / "demo"

# Runs a command in forks of one process, so that a run takes as long as its work.
KILLER = """
import json, os, random, signal, sys, time
from pathlib import Path

folder, chances, *arguments = sys.argv[1:]
folder = Path(folder)
STEPS = ("open", "os.rename", "os.link", "os.chmod", "os.remove", "os.truncate",
         "tempfile.mkstemp")
left = None

def step(event, args):
    global left
    if left is not None and event in STEPS:
        named = [str(a) for a in args if isinstance(a, (str, os.PathLike))]
        if any(name.startswith(str(folder)) for name in named):
            count()

def count():
    global left
    if left is not None:
        left -= 1
        if left < 0:
            os.kill(os.getpid(), signal.SIGKILL)

sync = os.fsync
def fsync(handle):
    count()
    sync(handle)
    count()
os.fsync = fsync
sys.addaudithook(step)

from cli.app import app

def run():
    try:
        app(arguments)
    except SystemExit as ended:
        return int(ended.code or 0)

def contents():
    return {str(p.relative_to(folder)): p.read_bytes() for p in folder.rglob("*")
            if p.is_file() and not p.name.startswith(".ease-")}

def reset(old):
    for path in sorted(folder.rglob("*"), reverse=True):
        path.unlink() if path.is_file() else path.rmdir()
    for name, data in old.items():
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_bytes(data)

def forked(kill_at, delay):
    global left
    child = os.fork()
    if child == 0:
        left = kill_at
        os._exit(run())
    if delay is not None:
        time.sleep(delay)
        os.kill(child, signal.SIGKILL)
    _, status = os.waitpid(child, 0)
    return os.WIFSIGNALED(status)

os.dup2(os.open(os.devnull, os.O_WRONLY), 1)
begun = time.perf_counter()
assert run() == 0
begun = time.perf_counter()
reset({})
assert run() == 0
took = time.perf_counter() - begun
new = contents()
assert new
faults, kills = [], 0
for old in ({}, {name: b"old" for name in new}):
    tries = [(k, None) for k in range(200)]
    if old:
        tries += [(None, random.uniform(0, took)) for _ in range(int(chances))]
    whole = False
    for kill_at, delay in tries:
        if whole and delay is None:
            continue
        reset(old)
        killed = forked(kill_at, delay)
        kills += killed
        whole = whole or (not killed and delay is None)
        found = contents()
        for name, data in found.items():
            if data not in (old.get(name), new.get(name)):
                faults.append(f"{name}: neither old nor new, killed at {kill_at} {delay}")
        if not set(old) <= set(found):
            faults.append(f"an old file is gone, killed at {kill_at} {delay}")
    # What a killed run left behind is in nobody's way.
    reset(old)
    forked(4, None)
    if run() != 0 or contents() != new:
        faults.append("the next run does not do the same")
    if not whole:
        faults.append("it never ran to its end")
sys.stderr.write("\\n" + json.dumps({"faults": faults, "kills": kills}))
"""


@pytest.mark.skipif(not hasattr(os, "fork"), reason="needs fork")
@pytest.mark.parametrize(
    "command",
    [
        "draft demo --out {0}/a.toml --force",
        "adjust demo --from body --to rib --out {0}/a.svg --force",
        "adjust demo --from body --to rib --overlay {0}/a.png --force",
        "convert demo {0}/a.toml --force",
        "convert demo {0}/a.dxf --force",
        "convert demo {0}/a.pdf --force",
        "trace {1}/tests/fuzz/corpus/trace/good.csv --out {0}/a.toml --force",
        "swatch {2}/swatch.csv --save mine --force",
        "load {2}/load.csv --hand {2}/swatch.csv --save mine --force",
        "toile demo --block demo-soft --fabric soft-tricot --body demo --date 2024-05-31"
        " --out {0}/a.toml --save mine --force",
        "lesson --out {0}/a.pdf --force",
    ],
)
def test_killed_at_every_step(command: str, tmp_path: Path) -> None:
    arguments = command.format(tmp_path, ROOT, DEMO).split()
    done = subprocess.run(
        [sys.executable, "-c", KILLER, str(tmp_path), "3", *arguments],
        cwd=ROOT,
        env={
            **os.environ,
            "PYTHONPATH": str(ROOT),
            "EASE_HOME": str(tmp_path),
            "OPENBLAS_NUM_THREADS": "1",
        },
        capture_output=True,
        text=True,
        timeout=300,
        check=False,
    )
    assert done.returncode == 0, done.stderr[-2000:]
    result = json.loads(done.stderr.splitlines()[-1])
    assert result["faults"] == []
    assert result["kills"] >= 10
