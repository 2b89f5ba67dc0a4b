"""Lines far longer than a spreadsheet writes are refused, not a fault of the CSV reader."""

from pathlib import Path

import pytest
from fuzz_readers import READERS, offer


@pytest.mark.parametrize("name", READERS)
@pytest.mark.parametrize("text", ['gauge,load\n"{}\n', "{},{}\n1,2\n", "# {} = {}\n"])
def test_a_line_of_140_thousand_signs(name: str, text: str, tmp_path: Path) -> None:
    # The standard library's CSV reader stops at 131 072 signs in a cell.
    long = "a" * 140_000
    assert offer(name, text.format(long, long).encode(), tmp_path) == 0
