"""Good files with a few cells changed: the same rule, in the ordinary suite."""

from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from fuzz_mutants import changed, tokens
from fuzz_readers import CORPUS, READERS, offer, seeds
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

NUMBER = st.integers(min_value=0, max_value=1 << 16)
EDITS = st.lists(st.tuples(NUMBER, NUMBER, NUMBER), min_size=1, max_size=3)


def good(name: str) -> list[str]:
    paths = [p for p in seeds(name) if "good" in p.name or CORPUS not in p.parents]
    return [path.read_text(encoding="utf-8") for path in paths]


@pytest.mark.parametrize("name", READERS)
@settings(
    max_examples=25,
    deadline=None,
    suppress_health_check=list(HealthCheck),
    database=None,
)
@given(which=NUMBER, edits=EDITS)
def test_changed_cells_are_read_or_refused(
    name: str, which: int, edits: list[tuple[int, int, int]]
) -> None:
    texts = good(name)
    data = changed(texts[which % len(texts)], edits).encode("utf-8", "surrogatepass")
    with TemporaryDirectory() as folder:
        offer(name, data, Path(folder))


@pytest.mark.parametrize("name", READERS)
def test_tokens_make_the_file_up_again(name: str) -> None:
    for text in good(name):
        assert "".join(tokens(text)) == text
