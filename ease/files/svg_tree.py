"""The XML of an SVG file: read within limits, names and visibility of its elements."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final
from xml.etree import ElementTree
from xml.parsers import expat

from ease.errors import InputError

__all__ = [
    "MAX_BYTES",
    "MAX_DEPTH",
    "MAX_ELEMENTS",
    "MAX_USES",
    "StyleRules",
    "children",
    "element_names",
    "local_name",
    "parse_svg",
]

MAX_BYTES: Final = 10_000_000
MAX_DEPTH: Final = 60
MAX_ELEMENTS: Final = 50_000
MAX_USES: Final = 1_000  # elements drawn by reference, each time they are


def local_name(tag: object) -> str:
    """Return the name of a tag or attribute without its namespace."""
    return tag.rpartition("}")[2] if isinstance(tag, str) else ""


def parse_svg(data: bytes, source: str) -> ElementTree.Element:
    """Return the root of an SVG file.

    The file is first run through the bare parser with the limits on depth, number of
    elements and entities, so that nothing is built of a file that breaks one.

    Raises:
        InputError: If it is no SVG, damaged, or beyond a limit.
    """
    _guard(data, source)
    try:
        root = ElementTree.fromstring(data)
    except (ElementTree.ParseError, ValueError, LookupError) as error:
        # What only this parser minds: undeclared prefixes, odd encodings.
        message = f"is no readable SVG: {error}"
        raise InputError(source, message) from error
    if local_name(root.tag) != "svg":
        message = f"is no SVG file: its outermost element is {local_name(root.tag)!r}"
        raise InputError(source, message)
    return root


def _guard(data: bytes, source: str) -> None:
    depth = count = 0

    def refuse(message: str) -> None:
        raise InputError(source, message)

    def entity(*_: object) -> None:
        refuse("it declares entities, which are not read; save it as plain SVG")

    def start(_name: str, _attributes: dict[str, str]) -> None:
        nonlocal depth, count
        depth += 1
        count += 1
        if depth > MAX_DEPTH:
            refuse(f"its groups are nested more than {MAX_DEPTH} deep")
        if count > MAX_ELEMENTS:
            refuse(f"it holds more than {MAX_ELEMENTS} elements")

    def end(_name: str) -> None:
        nonlocal depth
        depth -= 1

    parser = expat.ParserCreate()
    parser.EntityDeclHandler = entity
    parser.StartElementHandler = start
    parser.EndElementHandler = end
    try:
        parser.Parse(data, True)
    except InputError:
        raise
    except (expat.ExpatError, ValueError, LookupError) as error:
        message = f"is no readable SVG: {error}"
        raise InputError(source, message) from error


def children(element: ElementTree.Element) -> Iterator[ElementTree.Element]:
    """Return the child elements, comments left out."""
    # Comments and processing instructions have a function where others have a name.
    return (child for child in element if local_name(child.tag))


def element_names(element: ElementTree.Element) -> tuple[str, str]:
    """Return the name that a person gave an element, and its id; either may be empty.

    The layer label of a drawing program counts first, then a data name, then the title.
    """
    label = identity = title = data_name = ""
    for key, value in element.attrib.items():
        name = local_name(key)
        if name == "label" and key != name:
            label = value
        elif key == "data-name":
            data_name = value
        elif key == "id":
            identity = value
    for child in children(element):
        if local_name(child.tag) == "title":
            title = (child.text or "").strip()
            break
    return (label or data_name or title).strip(), identity


class StyleRules:
    """Which elements a drawing hides, by attribute, by style or by style sheet."""

    def __init__(self, root: ElementTree.Element) -> None:
        """Read the style sheets of a drawing; only what hides or moves is kept."""
        self._rules: dict[str, dict[str, str]] = {}
        for element in root.iter():
            if local_name(element.tag) != "style":
                continue
            for selectors, body in _rules(element.text or ""):
                said = declarations(body)
                for selector in selectors.split(","):
                    self._rules.setdefault(selector.strip(), {}).update(said)

    def value(self, element: ElementTree.Element, key: str) -> str:
        """Return what applies to one element: style before sheet before attribute."""
        own = declarations(element.get("style", ""))
        if key in own:
            return own[key]
        # From the most particular to the most general, as style sheets rank them.
        classes = [f".{name}" for name in reversed(element.get("class", "").split())]
        for selector in (
            f"#{element.get('id', '')}",
            *classes,
            local_name(element.tag),
            "*",
        ):
            if key in self._rules.get(selector, ()):
                return self._rules[selector][key]
        return element.get(key, "").strip()


def _rules(sheet: str) -> Iterator[tuple[str, str]]:
    """Yield selectors and body of each rule of a style sheet, comments left out.

    By splitting: an expression would search to the end from every place.
    """
    first, *rest = sheet.split("/*")
    plain = first + "".join(part.partition("*/")[2] for part in rest)
    for rule in plain.split("}")[:-1]:
        head, brace, body = rule.rpartition("{")
        if brace:
            yield head.rpartition("{")[2], body


def declarations(text: str) -> dict[str, str]:
    """Return the declarations of a style attribute.

    Examples:
        >>> declarations("display: none; stroke:#000")
        {'display': 'none', 'stroke': '#000'}
    """
    pairs = (item.partition(":") for item in text.split(";"))
    return {
        key.strip().lower(): value.replace("!important", "").strip()
        for key, _, value in pairs
        if key.strip() and value.strip()
    }
