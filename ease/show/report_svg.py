"""Make a picture part of a page: no file of its own, no names that clash."""

from __future__ import annotations

import re
from html import escape
from typing import Final

from ease.errors import RefusedError

__all__ = ["inline_svg"]

# What the drawing library writes around and into a picture, and a page must not have.
_AROUND: Final = re.compile(r"\A.*?(?=<svg\b)", re.DOTALL)
_COMMENT: Final = re.compile(r"<!--.*?-->", re.DOTALL)
_METADATA: Final = re.compile(r"<metadata>.*?</metadata>", re.DOTALL)
_OPENING: Final = re.compile(r"<svg\b[^>]*>")
_VIEW: Final = re.compile(r'\bviewBox="([^"]*)"')
_NAMED: Final = re.compile(r'\sid="([^"]*)"')
_USED: Final = re.compile(r'(?:url\(#|href="#)([^)"]+)')


def inline_svg(svg: bytes, prefix: str, alt: str) -> str:
    """Return an SVG picture to stand in a page of HTML.

    Names that nothing refers to are dropped; the others get a prefix, so that several
    pictures may stand in one page.

    Args:
        svg: The file's content.
        prefix: Put before each name in the picture.
        alt: What is to be seen, for those who do not see it.

    Raises:
        RefusedError: If it is no SVG picture with a view box.

    Examples:
        >>> dot = b'<?xml version="1.0"?><svg viewBox="0 0 1 1"><path id="a"/></svg>'
        >>> inline_svg(dot, "f1", "a dot").partition("1 1")[2]
        '" role="img" aria-label="a dot"><path/></svg>'
    """
    text = _COMMENT.sub("", svg.decode("utf-8"))
    text = _METADATA.sub("", _AROUND.sub("", text))
    opening = _OPENING.match(text)
    view = _VIEW.search(opening[0]) if opening else None
    if opening is None or view is None:
        message = "a figure must be an SVG picture with a view box"
        raise RefusedError(message)
    body = text[opening.end() :].replace("xlink:href=", "href=")
    used = set(_USED.findall(body))

    def renamed(match: re.Match[str]) -> str:
        return f' id="{prefix}-{match[1]}"' if match[1] in used else ""

    body = _NAMED.sub(renamed, body)
    body = body.replace("url(#", f"url(#{prefix}-").replace(
        'href="#', f'href="#{prefix}-'
    )
    head = (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="{view[1]}" role="img" '
        f'aria-label="{escape(alt)}">'
    )
    lines = (line.strip() for line in body.split("\n"))
    return head + "\n".join(line for line in lines if line)
