"""Every case that a fuzzer ever found is read again: a result or an `EaseError`."""

from pathlib import Path

import pytest
from fuzz_readers import CORPUS, READERS, block_endings, offer, seeds

from ease.files.any_block import READABLE

CASES = [path for name in READERS for path in seeds(name)]


def _reader(path: Path) -> str:
    return next(name for name in READERS if path in seeds(name))


def test_every_folder_of_cases_has_its_reader() -> None:
    assert {path.name for path in CORPUS.iterdir()} == set(READERS)


def test_every_format_of_blocks_is_fuzzed() -> None:
    assert block_endings() == set(READABLE)


@pytest.mark.parametrize(
    "path", CASES, ids=lambda path: f"{path.parent.name}/{path.name}"
)
def test_case_is_read_or_refused(path: Path, tmp_path: Path) -> None:
    # Warnings are errors here, as in the whole suite.
    read = offer(_reader(path), path.read_bytes(), tmp_path)
    if "good" in path.name or CORPUS not in path.parents:
        assert read
