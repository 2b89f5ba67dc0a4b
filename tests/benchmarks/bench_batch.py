"""Rate and memory of ``ease batch``: a million pairs of body and fabric streamed.

Run with ``python tests/benchmarks/bench_batch.py``. A table of drawn bodies is written
to a temporary folder, streamed through every shipped fabric given, and the rows are
written to a file. Rows a second and the most memory that was held are printed.
"""

from __future__ import annotations

import argparse
import resource
import sys
import tempfile
import time
from pathlib import Path

import numpy as np

from ease.body.stream import stream_bodies
from ease.body.table_head import read_head
from ease.fabric.store import load_fabric
from ease.files.batch_file import ResultFile
from ease.files.batch_table import BatchTable, table_header
from ease.fit.aims import AIMS, Allowed
from ease.fit.batch import Cloth

CHUNK = 8192


def write_bodies(path: Path, count: int) -> None:
    """Write a table of drawn bodies, half of them with a torso loop."""
    random = np.random.default_rng(1)
    with path.open("w", encoding="utf-8") as file:
        file.write("name,bust,waist,hip,stature,torso_loop\n")
        for start in range(0, count, 50_000):
            rows = min(50_000, count - start)
            bust = random.uniform(74, 130, rows)
            hip = bust + random.uniform(-4, 16, rows)
            waist = bust - random.uniform(6, 24, rows)
            stature = random.uniform(148, 184, rows)
            loop = 13.55 + 0.46 * stature + 0.276 * bust + 0.404 * hip
            columns = np.stack([bust, waist, hip, stature, loop], axis=1).round(1)
            for place, row in enumerate(columns.tolist()):
                cells = [f"n{start + place}", *map(str, row)]
                file.write(",".join(cells[: 5 + place % 2]) + "\n")


def peak_mb() -> float:
    """Return the most memory the process has held, MB."""
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    return peak / (1e6 if sys.platform == "darwin" else 1e3)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--rows", type=int, default=1_000_000)
    parser.add_argument("--fabric", nargs="+", default=["soft-tricot", "firm-tricot"])
    given = parser.parse_args()
    cloths = [Cloth.of(load_fabric(name)) for name in given.fabric]
    table = BatchTable(cloths, AIMS["regular"], Allowed())
    with tempfile.TemporaryDirectory() as folder:
        bodies, out = Path(folder, "bodies.csv"), Path(folder, "result.csv")
        write_bodies(bodies, -(-given.rows // len(cloths)))
        before = peak_mb()
        start = time.perf_counter()
        head = read_head(bodies)
        with ResultFile.begin(out, table_header(), {}, force=False) as result:
            for chunk in stream_bodies(head, chunk=CHUNK):
                result.append(table.lines(chunk))
        seconds = time.perf_counter() - start
        size = out.stat().st_size / 1e6
    rate = f"{table.rows / seconds:,.0f} a second"
    print(f"{table.rows:,} rows in {seconds:.1f} s: {rate}")
    print(f"without an answer: {table.refused:,}; result file {size:,.0f} MB")
    print(f"peak memory {peak_mb():,.0f} MB, of which {before:,.0f} MB before it began")


if __name__ == "__main__":
    main()
