"""The coach's free text: harmless whatever is typed."""

from __future__ import annotations

from html.parser import HTMLParser

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lessons.recaps.markdown import TAGS, to_html


@pytest.mark.parametrize(
    ("text", "html"),
    [
        ("*slowly*", "<p><em>slowly</em></p>\n"),
        ("**slowly**", "<p><strong>slowly</strong></p>\n"),
        ("- towel\n- stick", "<ul>\n<li>towel</li>\n<li>stick</li>\n</ul>\n"),
        ("1. one\n2. two", "<ol>\n<li>one</li>\n<li>two</li>\n</ol>\n"),
        ("# Warm-up", "<h3>Warm-up</h3>\n"),
        ("###### Deep", "<h6>Deep</h6>\n"),
        ("one\ntwo", "<p>one<br>\ntwo</p>\n"),
        ("> said", "<blockquote>\n<p>said</p>\n</blockquote>\n"),
        (
            "[words](https://example.org/a?b=1&c=2)",
            '<p><a href="https://example.org/a?b=1&amp;c=2" '
            'rel="noopener noreferrer nofollow">words</a></p>\n',
        ),
        ("", ""),
        ("2 < 3 & 4", "<p>2 &lt; 3 &amp; 4</p>\n"),
    ],
)
def test_it_writes_what_commonmark_means(text, html):
    """Expected by hand from the CommonMark specification 0.31; headings start two lower here."""
    assert to_html(text) == html


HOSTILE = [
    "<script>alert(1)</script>",
    "<img src=x onerror=alert(1)>",
    "![x](https://example.org/track.png)",
    "![x](javascript:alert(1))",
    "[x](javascript:alert(1))",
    "[x](JaVaScRiPt:alert(1))",
    "[x](java\tscript:alert(1))",
    "[x](&#106;avascript:alert(1))",
    "[x](data:text/html;base64,PHNjcmlwdD4=)",
    "[x](vbscript:msgbox)",
    "[x](//example.org)",
    '[x](https://example.org "onmouseover=alert(1)")',
    '[x](https://example.org" onmouseover="alert(1))',
    "<javascript:alert(1)>",
    "<a href='javascript:alert(1)' onclick=alert(1)>x</a>",
    "<style>*{display:none}</style>",
    "<iframe src=https://example.org></iframe>",
    "<svg/onload=alert(1)>",
    "<form action=/><input></form>",
    "`<script>alert(1)</script>`",
    "```html\n<script>alert(1)</script>\n```",
    "[a]: javascript:alert(1)\n\n[a]",
    "<!-- --><script>alert(1)</script>",
    "<math><mi//xlink:href='data:x,<script>alert(1)</script>'>",
    "\x00<script>",
]


class Walls(HTMLParser):
    """Fails on any tag, attribute or address beyond what is allowed."""

    def handle_starttag(self, tag, attrs):
        assert tag in TAGS
        for name, value in attrs:
            assert (tag, name) in {("a", "href"), ("a", "title"), ("a", "rel"), ("ol", "start")}
            if name == "href":
                assert value.split(":")[0] in {"http", "https", "mailto"} or ":" not in value


@pytest.mark.parametrize("text", HOSTILE)
def test_hostile_text_does_no_harm(text):
    Walls().feed(to_html(text))


@given(st.text(st.sampled_from("<>[]()!*_#`:/\"'& \n\tajvscriptonerdhm=;"), max_size=200))
@settings(max_examples=300, deadline=None)
def test_no_text_gets_past_the_walls(text):
    Walls().feed(to_html(text))


def test_deep_nesting_is_read_and_depth_has_an_end():
    assert "deep" in to_html("> " * 15 + "deep")
    Walls().feed(to_html("> " * 500 + "deep"))
    Walls().feed(to_html("[" * 5000))
