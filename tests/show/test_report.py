"""The page of HTML: well formed, alone, escaped, legible to a reader aloud, repeatable."""

from __future__ import annotations

import re
from html.parser import HTMLParser

import pytest
from hypothesis import example, given
from hypothesis import strategies as st
from matplotlib.figure import Figure

from ease.errors import RefusedError
from ease.show.figure import figure_bytes
from ease.show.report import Report, ReportFigure, ReportHeading, ReportTable, page_html
from ease.show.report_svg import inline_svg

# Elements of HTML that have no end tag. Source: HTML standard, "void elements" (from
# memory).
VOID = {"meta", "br", "link", "img", "hr", "input", "base", "col", "wbr"}
NASTY = "<script>alert(\"x\")</script> & 'quoted' <b>bold</b>"


class Page(HTMLParser):
    """Reads a page and keeps what the tests ask about; fails on unbalanced tags."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.open: list[str] = []
        self.elements: list[tuple[str, dict[str, str | None], tuple[str, ...]]] = []
        self.words: list[str] = []
        self.feed(text)
        self.close()
        assert self.open == []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.elements.append((tag, dict(attrs), tuple(self.open)))
        if tag not in VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        assert "svg" in self.open or tag == "svg", tag
        self.elements.append((tag, dict(attrs), tuple(self.open)))

    def handle_endtag(self, tag: str) -> None:
        assert self.open, tag
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        self.words.append(data)

    def all(self, tag: str) -> list[dict[str, str | None]]:
        return [attributes for name, attributes, _ in self.elements if name == tag]


def drawn(words: str = "a line") -> bytes:
    def draw(figure: Figure) -> None:
        axes = figure.add_subplot()
        axes.plot([0, 1], [0, 1], gid="own id with blanks")
        axes.set_title(words)
        axes.axhspan(0.2, 0.4, hatch="//")

    return figure_bytes(draw, "svg", size_in=(3, 2), title=words)


def report(words: str = "plain words", svg: bytes | None = None) -> Report:
    return Report(
        title=f"Title {words}",
        version="0.1.0",
        parts=(
            words,
            ReportTable(
                title=f"Table {words}",
                columns=("", "number", words),
                rows=((words, "1.0", words), ("second", "2.0", "")),
                text_columns=frozenset({0, 2}),
                caption=words,
            ),
            ReportFigure(title=words, svg=svg or drawn(), alt=f"alt {words}"),
            ReportFigure(title="again", svg=svg or drawn(), alt="the same twice"),
        ),
        notes=(words, "second note"),
        cautions=(words,),
        inputs=(("block", words, "ab" * 32),),
        settings=((words, words), ("--hold", "regular")),
    )


def test_tags_are_balanced_and_the_page_is_whole() -> None:
    page = Page(page_html(report()))
    names = [name for name, _, _ in page.elements]
    assert names[:3] == ["html", "head", "meta"]
    for once in ("html", "head", "title", "body", "main", "h1", "style"):
        assert (
            sum(
                name == once and "svg" not in inside
                for name, _, inside in page.elements
            )
            == 1
        )
    assert page.all("html")[0] == {"lang": "en"}
    assert page_html(report()).startswith("<!DOCTYPE html>\n")


def test_nothing_runs_and_nothing_is_fetched() -> None:
    text = page_html(report())
    page = Page(text)
    assert {"script", "iframe", "object", "embed", "link", "img", "base"}.isdisjoint(
        name for name, _, _ in page.elements
    )
    rest = text.replace('xmlns="http://www.w3.org/2000/svg"', "")
    assert "http:" not in rest
    assert "https:" not in rest
    assert "@import" not in rest
    for _, attributes, _ in page.elements:
        assert not any(name.startswith("on") for name in attributes)
        for name in ("src", "href", "xlink:href", "action", "data"):
            assert (attributes.get(name) or "#").startswith("#")
    policies = [m for m in page.all("meta") if "http-equiv" in m]
    assert policies[0]["content"] == "default-src 'none'; style-src 'unsafe-inline'"


def test_headings_of_tables_have_a_scope() -> None:
    page = Page(page_html(report()))
    heads = page.all("th")
    assert heads
    assert {head.get("scope") for head in heads} == {"col", "row"}
    captions = page.all("caption")
    assert len(captions) == len(page.all("table")) == 3
    assert "\n".join(page.words).count("second") >= 1


def test_figures_say_what_is_to_be_seen() -> None:
    page = Page(page_html(report()))
    pictures = page.all("svg")
    assert [picture["aria-label"] for picture in pictures] == [
        "alt plain words",
        "the same twice",
    ]
    assert {picture["role"] for picture in pictures} == {"img"}
    assert len(page.all("figcaption")) == len(page.all("figure")) == 2


def test_names_in_pictures_do_not_clash_and_all_references_hit() -> None:
    text = page_html(report())
    page = Page(text)
    ids = [a["id"] for _, a, _ in page.elements if "id" in a]
    assert ids
    assert len(ids) == len(set(ids))
    used = {part.split(")")[0] for part in text.split("url(#")[1:]}
    used |= {str(a["href"])[1:] for _, a, _ in page.elements if "href" in a}
    assert used == set(ids)


def test_what_the_user_wrote_is_shown_and_never_run() -> None:
    text = page_html(report(NASTY, drawn(NASTY)))
    page = Page(text)
    assert page.all("script") == []
    assert page.all("b") == []
    assert "<script" not in text
    assert "".join(page.words).count(NASTY) >= 8
    assert page.all("svg")[0]["aria-label"] == f"alt {NASTY}"


@example("`0`")
@given(st.text(st.characters(exclude_categories=["Cc", "Cs"])))
def test_any_text_leaves_the_page_well_formed(words: str) -> None:
    svg = b'<svg viewBox="0 0 1 1"><path d="M0 0"/></svg>'
    page = Page(page_html(report(words, svg)))
    assert len(page.all("table")) == 3
    # Read aloud, what is to be typed goes without its marks.
    spoken = re.sub("`([^`]+)`", r"\1", words)
    assert page.all("svg")[0]["aria-label"] == f"alt {spoken}"


def test_control_characters_are_left_out() -> None:
    text = page_html(report("a\x00b\x1ec\x85d\re"))
    assert "abcde" in text
    assert not {"\x00", "\x1e", "\x85", "\r"} & set(text)


def test_line_breaks_stay_in_titles_and_go_in_paragraphs() -> None:
    lines = Report(
        title="t",
        version="1",
        parts=("one\ntwo", ReportTable(title="a\nb", columns=("c",), rows=())),
    )
    text = page_html(lines)
    assert "<p>one two</p>" in text
    assert "<caption>a<br>b</caption>" in text


def test_long_tables_may_break_between_sheets_and_short_ones_not() -> None:
    def page(count: int) -> str:
        rows = tuple((str(row),) for row in range(count))
        table = ReportTable(title="t", columns=("c",), rows=rows)
        return page_html(Report(title="t", version="1", parts=(table,)))

    assert '<div class="wide keep">' in page(5)
    assert '<div class="wide">' in page(200)


def test_the_same_report_gives_the_same_bytes() -> None:
    assert page_html(report(svg=drawn())) == page_html(report(svg=drawn()))


def test_version_inputs_and_settings_are_named() -> None:
    words = "".join(Page(page_html(report())).words)
    for part in ("Made with ease 0.1.0.", "ab" * 32, "--hold", "regular"):
        assert part in words


def test_empty_parts_leave_no_heading() -> None:
    text = page_html(Report(title="t", version="1", parts=()))
    for word in ("Notes", "Cautions", "Inputs", "Settings", "<table", "<figure"):
        assert word not in text


def test_rows_that_do_not_fit_and_pictures_without_words_are_refused() -> None:
    with pytest.raises(RefusedError, match="does not fit"):
        ReportTable(title="t", columns=("a", "b"), rows=(("1",),))
    with pytest.raises(RefusedError, match="no alt text"):
        ReportFigure(title="t", svg=drawn(), alt=" ")
    with pytest.raises(RefusedError, match="must be an SVG"):
        inline_svg(b"<html></html>", "f", "a")


def test_what_is_to_be_typed_is_code_but_not_where_it_is_read_aloud() -> None:
    table = ReportTable(
        title="of `ease check`", columns=("`a<b`",), rows=(("it's 3` by 4",),)
    )
    figure = ReportFigure(title="`firm`", svg=drawn(), alt="hold `firm` in grey")
    text = page_html(
        Report(
            title="Cut by `ease factors`",
            version="1",
            parts=("run `ease lesson` again", table, figure),
            notes=("see `ease body --list`",),
        )
    )
    page = Page(text)
    assert len(page.all("code")) == 6
    assert "<caption>of <code>ease check</code></caption>" in text
    assert "<code>a&lt;b</code>" in text
    assert "it&#x27;s 3` by 4" in text  # one alone marks nothing
    assert "<title>Cut by ease factors</title>" in text
    assert 'aria-label="hold firm in grey"' in text


def test_a_heading_stands_between_parts() -> None:
    heading = ReportHeading("5  Wider & shorter")
    text = page_html(Report(title="t", version="1", parts=(heading, "then words")))
    assert "<h2>5  Wider &amp; shorter</h2>\n<p>then words</p>" in text
