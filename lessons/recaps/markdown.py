"""The coach's free text: Markdown in, a small and harmless part of HTML out."""

from __future__ import annotations

import nh3
from markdown_it import MarkdownIt
from markdown_it.rules_core import StateCore

TAGS = {
    *("p", "br", "hr", "strong", "em", "ul", "ol", "li", "blockquote", "code", "pre", "a"),
    *("h3", "h4", "h5", "h6"),
}
ATTRIBUTES = {"a": {"href", "title"}, "ol": {"start"}}


def lower_headings(state: StateCore) -> None:
    """The page has its own first and second headings: the text's start at the third."""
    for token in state.tokens:
        if token.type in ("heading_open", "heading_close"):
            token.tag = f"h{min(6, int(token.tag[1]) + 2)}"


reader = MarkdownIt("commonmark", {"html": False, "breaks": True})
reader.disable(["image", "html_block", "html_inline", "autolink"])
reader.core.ruler.push("lower_headings", lower_headings)


def to_html(text: str) -> str:
    """HTML of a Markdown text (CommonMark, without pictures and raw HTML), sanitised.

    Raw HTML is shown as typed. The sanitiser is a second wall: it passes only the tags above and
    links to web pages and mail addresses.
    """
    return nh3.clean(
        reader.render(text),
        tags=TAGS,
        attributes=ATTRIBUTES,
        url_schemes={"http", "https", "mailto"},
        link_rel="noopener noreferrer nofollow",
    )
