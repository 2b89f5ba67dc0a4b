"""Each value of each good TOML file in turn becomes a value of another kind."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from fuzz_readers import READERS, offer, seeds

VALUE = re.compile(r'(?m)= *("[^"\n]*"|-?[0-9.]+|true|false)')
KINDS = ("{ a = 1 }", "[1]", "[[1]]", "1979-05-27", "[{ a = 1 }]", "nan", "true", '""')
FILES = [
    pytest.param(name, path, id=f"{name}-{path.name}")
    for name in READERS
    for path in seeds(name)
    if path.suffix == ".toml"
]


@pytest.mark.filterwarnings("error")
@pytest.mark.parametrize(("name", "path"), FILES)
def test_another_kind_of_value_is_read_or_refused(
    name: str, path: Path, tmp_path: Path
) -> None:
    text = path.read_text(encoding="utf-8", errors="surrogateescape")
    for found in VALUE.finditer(text):
        for kind in KINDS:
            changed = text[: found.start(1)] + kind + text[found.end(1) :]
            offer(name, changed.encode("utf-8", errors="surrogateescape"), tmp_path)
