"""Read a body from a file, TOML or CSV, or fetch one that is shipped."""

from __future__ import annotations

import csv
import re
from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import Any, Final, cast

from ease.body.dictionary import KEYS, key_of
from ease.body.measures import Body, BodyOrigin, body_problems
from ease.body.shipped import shipped_body, shipped_names
from ease.endings import TABLES, file_kind, names_file
from ease.errors import BodyError, Problem, UnitError
from ease.nearest import nearest_text
from ease.read import is_file, read_text, read_toml
from ease.sentence import Sentence
from ease.units import CM_PER, NEWTON_PER, canonical_unit, parse_length, parse_load

__all__ = ["SCHEMA", "load_body", "read_body"]

SCHEMA: Final = "ease/body/1"
LONGEST_LINE: Final = 1_000
MOST_LINES: Final = 1_000
_HEADER: Final = (
    "schema",
    "name",
    "title",
    "units",
    "origin",
    "source",
    "note",
    "measured_again",
    "body",
)
_ORIGINS: Final = ("measured", "published", "invented")
_HEADING: Final = ("measure", "key", "name")

Cell = tuple[str, str | float, str]
"""A key, what was written for it, and the place."""


def load_body(name_or_path: str | Path) -> Body:
    """Return a body by the name of a shipped one, or from a file.

    Args:
        name_or_path: A name such as ``demo`` or ``en-88``; or a file such as
            ``anna.toml``. A ``Path`` always means a file.

    Raises:
        BodyError: If there is none, or the file is wrong.
    """
    name, path = str(name_or_path), Path(name_or_path)
    if names_file(name_or_path, ("toml", *TABLES)) or is_file(path):
        return read_body(path)
    if name in shipped_names():
        return shipped_body(name)
    meant = nearest_text(name, shipped_names(), most=3)
    problem = f"no shipped body and no file of that name{meant}"
    raise BodyError(name, problem, hint="`ease body --list` names them")


def read_body(path: Path) -> Body:
    """Read a body from a TOML or CSV file.

    TOML has ``schema = "ease/body/1"``, optionally ``name``, ``title``, ``units``,
    ``origin``, ``source``, ``note``, ``measured_again``, and a table ``[body]``. CSV has
    a line ``key,value`` for each measure and the rest as ``# key = value``; a heading
    ``measure,in`` names the unit as well. Measures go by their key or by their name on
    screen. ``measured_again`` names those, a comma between them, that were taken again
    and read the same.

    Raises:
        BodyError: With every fault and its line, if the file cannot be used.
    """
    problems: list[Problem] = []
    text, _ = read_text(path, BodyError)
    if text.count("\n") > MOST_LINES:
        what = (
            f"holds more than {MOST_LINES} lines; tables of bodies are for `ease batch`"
        )
        raise BodyError(str(path), what)
    if file_kind(path) == "toml":
        data = read_toml(path, BodyError)
        schema = data.get("schema")
        if isinstance(schema, str) and not schema.startswith("ease/body/"):
            # Of a block or a fabric no other fault is worth a line.
            what = f'is {schema!r} by its schema and no body; a body is "{SCHEMA}"'
            raise BodyError(str(path), what)
        header, cells = _toml(text, data, problems)
    else:
        header, cells = _csv(text, problems)
    return _body(path, header, cells, problems)


def _toml(
    text: str, data: dict[str, Any], problems: list[Problem]
) -> tuple[dict[str, str], list[Cell]]:
    lines = _toml_lines(text)
    if data.get("schema") != SCHEMA:
        problems.append(Problem("schema", f'must be "{SCHEMA}"'))
    for key in data:
        if key not in _HEADER:
            what = f"unknown key {key!r}{_nearest(key, (*_HEADER, *KEYS))}"
            if key in KEYS:
                what = f"{key} belongs into the table [body]"
            problems.append(Problem(f"line {lines.get(('', key), '?')}", what))
    header = {
        key: ", ".join(map(str, value)) if isinstance(value, list) else str(value)
        for key, value in data.items()
        if key in _HEADER and key != "body"
    }
    table = data.get("body")
    if not isinstance(table, dict):
        problems.append(Problem("[body]", "the table with the measures is missing"))
        return header, []
    cells: list[Cell] = []
    for key, value in table.items():
        where = f"line {lines.get(('body', key), '?')}"
        if isinstance(value, bool) or not isinstance(value, (int, float, str)):
            problems.append(Problem(where, f"{key} must be a number or a quoted text"))
        else:
            cells.append((key, value, where))
    return header, cells


def _toml_lines(text: str) -> dict[tuple[str, str], int]:
    """Return the line of each key, by its table and name."""
    table, found = "", {}
    for number, row in enumerate(text.splitlines(), start=1):
        if heading := re.match(r"\s*\[\s*([\w.-]+)\s*\]", row):
            table = heading[1]
        elif entry := re.match(r"\s*\"?([\w-]+)\"?\s*=", row):
            found[table, entry[1]] = number
    return found


def _csv(text: str, problems: list[Problem]) -> tuple[dict[str, str], list[Cell]]:
    header: dict[str, str] = {}
    cells: list[Cell] = []
    for number, row in enumerate(text.splitlines(), start=1):
        bare, where = row.strip(), f"line {number}"
        if not bare or bare.lower().startswith("sep="):
            continue
        if bare.startswith("#"):
            key, sign, value = bare.lstrip("# ").partition("=")
            if sign and key.strip() in _HEADER:
                header[key.strip()] = value.strip().strip('"')
            continue
        fields = _fields(bare)
        if fields[0].lower() in (*_HEADING, "units"):
            _take_heading(fields, header, below=bool(cells))
            continue
        if len(fields) == 3 and canonical_unit(fields[2]) in {**CM_PER, **NEWTON_PER}:
            fields[1:] = [" ".join(fields[1:])]
        if len(fields) != 2 or not fields[0]:
            what = "must be a measure and its value, such as `bust,92`"
            what += "; with a decimal comma put a semicolon between them"
            problems.append(Problem(where, what))
        elif fields[1]:
            cells.append((fields[0], fields[1], where))
    return header, cells


def _take_heading(fields: list[str], header: dict[str, str], *, below: bool) -> None:
    """Take the unit from a heading; a name below measures is the wearer's."""
    word, said = fields[0].lower(), fields[1] if len(fields) > 1 else ""
    if below and word == "name":
        header.setdefault("name", said)
        return
    unit = re.sub(r".*\((.*)\)", r"\1", said)
    if word == "units" or canonical_unit(unit) in CM_PER:
        header["units"] = unit


def _fields(row: str) -> list[str]:
    """Return the cells of a row; an empty one where it is too long to be a measure."""
    if len(row) > LONGEST_LINE:
        return [""]
    mark = next((sign for sign in ";\t" if sign in row), ",")
    fields = [cell.strip() for cell in next(csv.reader([row], delimiter=mark))]
    while len(fields) > 2 and not fields[-1]:
        fields.pop()
    return fields


def _body(
    path: Path,
    header: Mapping[str, str],
    cells: Iterable[Cell],
    problems: list[Problem],
) -> Body:
    units = canonical_unit(header.get("units", "cm"))
    if units not in CM_PER:
        accepted = ", ".join(CM_PER)
        problems.append(Problem("units", f"{units!r} is none of {accepted}"))
        units = "cm"
    origin = header.get("origin", "measured")
    if origin not in _ORIGINS:
        accepted = ", ".join(_ORIGINS)
        problems.append(Problem("origin", f"{origin!r} is none of {accepted}"))
    values, places, unread = _values(cells, units, problems)
    again = [
        key_of(name) for name in re.split(r"[,;]", header.get("measured_again", ""))
    ]
    for key in filter(None, again):
        if key not in values and key not in unread:
            what = f"{key!r} is no measure that this file holds"
            problems.append(Problem("measured_again", what))
    for fault in body_problems(values):
        if fault.where not in unread:
            place = places.get(fault.where, "[body]" * (file_kind(path) == "toml"))
            what = Sentence("{} {}", fault.where, fault.what)
            problems.append(Problem(place, what))
    if problems:
        raise BodyError(str(path), problems)
    note = header.get("note", "")
    return Body(
        name=header.get("name") or path.stem,
        title=header.get("title", ""),
        origin=cast("BodyOrigin", origin),
        source=header.get("source", ""),
        values=values,
        notes=(note,) if note else (),
        again=frozenset(filter(None, again)),
    )


def _values(
    cells: Iterable[Cell], units: str, problems: list[Problem]
) -> tuple[dict[str, float], dict[str, str], set[str]]:
    values: dict[str, float] = {}
    places: dict[str, str] = {}
    unread: set[str] = set()
    for written, raw, where in cells:
        key = key_of(written)
        if key not in KEYS:
            what = f"unknown measure {written!r}{_nearest(key, KEYS)}"
            problems.append(Problem(where, what))
            continue
        if key in values:
            problems.append(Problem(where, f"{key} is given twice"))
            continue
        try:
            values[key] = _number(key, raw, units)
        except UnitError as error:
            problems.append(Problem(where, f"{key}: {error}"))
            unread.add(key)
        places[key] = where
    return values, places, unread


def _number(key: str, raw: str | float, units: str) -> float:
    text = raw if isinstance(raw, str) else repr(float(raw))
    if key == "weight_kg":
        return parse_load(text, "kg") / NEWTON_PER["kg"]
    return parse_length(text, units)


def _nearest(key: str, known: Iterable[str]) -> str:
    return nearest_text(key, known) or "; see `ease body --how`"
