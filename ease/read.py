"""Read a file whole: text as spreadsheets and editors leave it, and TOML."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path
from typing import Any, Final

from ease.errors import InputError, Problem

__all__ = ["MAX_BYTES", "decode", "is_file", "read_text", "read_toml"]

MAX_DEPTH: Final = 12  # tables and lists within each other; no file here needs half
MAX_BYTES: Final = 20_000_000  # a bench file is far smaller; a wrong file may not be
MAX_TOML: Final = 1_000_000  # signs; the largest block has a tenth of it
_BOMS: Final = (
    (b"\xef\xbb\xbf", "utf-8-sig"),
    (b"\xff\xfe", "utf-16"),
    (b"\xfe\xff", "utf-16"),
)
_COMMA_NUMBER = re.compile(r"[=\[{,]\s*[-+]?[0-9]+,[0-9]+\s*(?:#.*)?$")
_TOML_WORDS: Final = (
    ("a key in a key/value pair", "a name"),
    ("a key part", "a name"),
    ("end of document", "the end of the file"),
)
_BARE_FRACTION = re.compile(r"=\s*[0-9]+(?:\s+[0-9]+)?/[0-9]+")


def read_text(path: Path, error: type[InputError] = InputError) -> tuple[str, str]:
    """Return a file's text and the encoding it was read with.

    Args:
        path: The file.
        error: Class of the error that is raised.

    Returns:
        The text without a byte order mark, and ``utf-8``, ``utf-16`` or ``cp1252``.

    Raises:
        InputError: If it is missing, a folder, too large, or no text.
    """
    source = str(path)
    try:
        if path.is_dir():
            raise error(source, "is a folder; name a file")
        if path.stat().st_size > MAX_BYTES:
            limit = MAX_BYTES // 1_000_000
            raise error(source, f"is larger than {limit} MB; that is no such file")
        data = path.read_bytes()
    except InputError:
        raise
    except FileNotFoundError:
        raise error(source, "no such file") from None
    except (OSError, ValueError) as fault:  # a name may hold a NUL
        message = f"cannot be read ({getattr(fault, 'strerror', '') or fault})"
        raise error(source, message) from fault
    return decode(data, source, error)


def is_file(path: Path) -> bool:
    """Return whether a file has this name; one that no file can have is none."""
    try:
        return path.is_file()
    except (OSError, ValueError):
        return False


def decode(
    data: bytes, source: str, error: type[InputError] = InputError
) -> tuple[str, str]:
    r"""Return the text of a file's bytes and the encoding found.

    UTF-8 comes first, UTF-16 only where a byte order mark names it (without one almost
    any bytes decode as it), then the Western European code page of older spreadsheets.

    Raises:
        InputError: If the bytes are no text.

    Examples:
        >>> decode(b"\xef\xbb\xbfgauge", "a.csv")
        ('gauge', 'utf-8')
        >>> decode(b"3\xbd", "a.csv")
        ('3½', 'cp1252')
    """
    for mark, encoding in _BOMS:
        if data.startswith(mark):
            try:
                return data.decode(encoding), encoding.removesuffix("-sig")
            except UnicodeDecodeError:
                raise error(source, f"is damaged: no valid {encoding} text") from None
    if b"\x00" in data:
        raise error(source, "is not a text file")
    try:
        return data.decode("utf-8"), "utf-8"
    except UnicodeDecodeError:
        return data.decode("cp1252", errors="replace"), "cp1252"


def read_toml(path: Path, error: type[InputError] = InputError) -> dict[str, Any]:
    """Return the tables of a TOML file.

    Raises:
        InputError: If it cannot be read; where a decimal comma or a fraction without
            quotes is the likely cause, the hint says so.
    """
    text, encoding = read_text(path, error)
    if len(text) > MAX_TOML:
        limit = MAX_TOML // 1_000_000
        raise error(str(path), f"is larger than {limit} MB; that is no such file")
    if encoding == "cp1252":
        raise error(str(path), "is not UTF-8 text, as TOML must be; save it as UTF-8")
    source = str(path)
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError as fault:
        problem = _toml_problem(str(fault))
        raise error(source, [problem], hint=_toml_hint(text, str(fault))) from None
    except RecursionError:
        raise error(source, "is nested too deeply") from None
    except ValueError:
        # Python turns no more than 4300 digits into a whole number.
        raise error(source, "holds a number of thousands of digits") from None
    _check_depth_and_size(data, source, error)
    return data


def _check_depth_and_size(
    data: dict[str, Any], source: str, error: type[InputError]
) -> None:
    """Refuse nesting that no file needs, and whole numbers that TOML does not have."""
    level: list[tuple[str, Any]] = list(data.items())
    for _ in range(MAX_DEPTH):
        inner: list[tuple[str, Any]] = []
        for path, value in level:
            if isinstance(value, dict):
                inner += [(f"{path}.{key}", item) for key, item in value.items()]
            elif isinstance(value, list):
                inner += [(path, item) for item in value]
            elif isinstance(value, int) and abs(value) >= 1 << 63:
                raise error(source, [Problem(path, "is too large a whole number")])
        level = inner
    if level:
        raise error(source, "is nested too deeply")


def _toml_problem(fault: str) -> Problem:
    """Return a fault of the parser with its place first and in plainer words.

    Examples:
        >>> print(_toml_problem("Invalid value (at line 3, column 8)"))
        line 3, column 8: cannot be read as TOML: invalid value
    """
    match = re.fullmatch(r"(.*) \(at (.*)\)", fault, flags=re.DOTALL)
    what, where = match.groups() if match else (fault, "")
    what = what[:1].lower() + what[1:]
    for theirs, ours in _TOML_WORDS:
        what, where = what.replace(theirs, ours), where.replace(theirs, ours)
    return Problem(where, f"cannot be read as TOML: {what}")


def _toml_hint(text: str, fault: str) -> str:
    """Return what would mend the line that the parser stopped at, where it is known."""
    match = re.search(r"line ([0-9]+)", fault)
    lines = text.splitlines()
    known = match is not None and 0 < int(match[1]) <= len(lines)
    line = lines[int(match[1]) - 1] if match is not None and known else ""
    if _COMMA_NUMBER.search(line):
        return "TOML wants a decimal point: write 12.5, not 12,5"
    if _BARE_FRACTION.search(line):
        return 'put a fraction in quotes: "3 7/8"'
    return "a line is NAME = VALUE, such as bust = 92.5; put words in quotes"
