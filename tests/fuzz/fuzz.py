"""Fuzz one reader, guided by coverage: `python tests/fuzz/fuzz.py svg --minutes 5`.

Faults found are written into the corpus as they come, one for each place in the code;
a run without faults ends with the count of executions. It needs the extra `fuzz`.
"""

from __future__ import annotations

import argparse
import hashlib
import os
import random
import sys
import tempfile
import time
import traceback
import warnings
from collections.abc import Callable
from pathlib import Path

sys.path[:0] = [str(Path(__file__).parents[2]), str(Path(__file__).parent)]

TIME_LIMIT_S = 5  # for one input
MEMORY_LIMIT_MB = 256  # for one input
# The fuzzer itself keeps about 7 kB for each input it has tried.
PROCESS_LIMIT_MB = 8192


def say(line: str) -> None:
    """Print a line at once."""
    sys.stdout.write(f"{line}\n")
    sys.stdout.flush()


class Hunt:
    """Offers inputs to one reader, keeps what breaks it, and counts."""

    def __init__(self, name: str, found: Path) -> None:
        """Begin with nothing found; faults are written into the folder ``found``."""
        self.name = name
        self.found = found
        self.folder = Path(tempfile.mkdtemp(prefix="ease-fuzz-"))
        self.begun = time.monotonic()
        self.runs = self.read = 0
        self.slowest = 0.0
        self.faults: dict[str, int] = {}

    def offer(self, data: bytes) -> None:
        """Offer one input."""
        from fuzz_readers import offer

        self.runs += 1
        begun, held = time.monotonic(), _peak_mb()
        try:
            self.read += offer(self.name, data, self.folder)
            if _peak_mb() - held > MEMORY_LIMIT_MB:
                message = f"took {_peak_mb() - held:.0f} MB"
                raise MemoryError(message)
        except Exception as error:
            self._keep(error, data)
        self.slowest = max(self.slowest, time.monotonic() - begun)

    def _keep(self, error: Exception, data: bytes) -> None:
        frames = traceback.extract_tb(error.__traceback__)
        own = [f for f in frames if "/ease/" in f.filename or "/cli/" in f.filename]
        last = (own or frames)[-1]
        place = f"{type(error).__name__} {Path(last.filename).name}:{last.lineno}"
        self.faults[place] = self.faults.get(place, 0) + 1
        if self.faults[place] > 1:
            return
        self.found.mkdir(parents=True, exist_ok=True)
        mark = hashlib.sha256(data).hexdigest()[:8]
        path = self.found / f"{type(error).__name__}-{mark}"
        path.write_bytes(data)
        say(f"FOUND {place}: {str(error)[:200]} -> {path}")

    def report(self) -> str:
        """Return one line on the run."""
        took = time.monotonic() - self.begun
        return (
            f"{self.name}: {self.runs} executions in {took:.0f} s, {self.read} read, "
            f"slowest {self.slowest:.2f} s, {len(self.faults)} faults"
        )


def _peak_mb() -> float:
    """Return the most memory this process has held, MB."""
    import resource

    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024


def _mutator(name: str) -> Callable[[bytes, int, int], bytes]:
    import atheris
    from fuzz_mutants import changed
    from fuzz_readers import READERS, seeds

    most = READERS[name].most_bytes
    good = [seed.read_bytes() for seed in seeds(name)]

    def mutate(data: bytes, size: int, seed: int) -> bytes:
        dice = random.Random(seed)
        if dice.random() < 0.3:
            return bytes(atheris.Mutate(data, len(data)))[:size]
        if dice.random() < 0.5:
            data = dice.choice(good)  # else what is refused early crowds out the rest
        text = data.decode("utf-8", errors="surrogateescape")
        edits = [
            (
                dice.choice((0, 1, 2, 3, 4, 5, 5, 5)),
                dice.randrange(1 << 20),
                dice.randrange(1 << 20),
            )
            for _ in range(dice.choice((1, 1, 1, 2, 2, 4)))
        ]
        made = changed(text, edits).encode("utf-8", errors="surrogateescape")
        return made[: max(size, most)]

    return mutate


def main() -> int:
    """Run one reader for a while; exit code 1 if a fault was found."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("reader")
    parser.add_argument("--minutes", type=float, default=5.0)
    parser.add_argument("--work", type=Path, help="keeps what reached new code")
    parser.add_argument("--found", type=Path, help="else the corpus of the reader")
    given = parser.parse_args()
    try:
        import atheris
    except ImportError:
        say("skipped: atheris is not installed; pip install -e '.[fuzz]'")
        return 0
    with atheris.instrument_imports(include=["ease", "svgelements", "tomllib"]):
        from fuzz_readers import CORPUS, READERS, seeds
    if given.reader not in READERS:
        say(f"no reader {given.reader}; there are {', '.join(READERS)}")
        return 2
    warnings.simplefilter("error")
    hunt = Hunt(given.reader, given.found or CORPUS / given.reader)
    work = given.work or Path(tempfile.mkdtemp(prefix="ease-fuzz-work-"))
    work.mkdir(parents=True, exist_ok=True)
    for number, seed in enumerate(seeds(given.reader)):
        (work / f"seed-{number}").write_bytes(seed.read_bytes())
    _run(hunt, work, given.minutes)
    return 0


def _run(hunt: Hunt, work: Path, minutes: float) -> None:
    import atheris
    from fuzz_readers import READERS

    until = time.monotonic() + 60 * minutes

    def one(data: bytes) -> None:
        hunt.offer(data)
        if time.monotonic() > until:
            say(hunt.report())
            # The fuzzer takes any exception, an ordinary end too, for a find.
            os._exit(1 if hunt.faults else 0)

    options = [
        sys.argv[0],
        str(work),
        f"-timeout={TIME_LIMIT_S}",
        f"-rss_limit_mb={PROCESS_LIMIT_MB}",
        f"-max_len={READERS[hunt.name].most_bytes}",
        f"-artifact_prefix={hunt.found}/",
        "-mutate_depth=1",
        "-verbosity=0",
    ]
    atheris.Setup(options, one, custom_mutator=_mutator(hunt.name))
    atheris.Fuzz()


if __name__ == "__main__":
    sys.exit(main())
