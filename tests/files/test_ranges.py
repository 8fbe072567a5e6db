"""Which bytes are sent for which Range header.

Source: RFC 9110, section 14.1.2 (byte ranges; its examples are of a representation of 10000 bytes)
and section 14.2 (Range).
"""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from portal.files.ranges import ByteRange, UnsatisfiableError, wanted_range


@pytest.mark.parametrize(
    ("header", "first", "last"),
    [
        # The examples of section 14.1.2, of a representation of 10000 bytes
        ("bytes=0-499", 0, 499),
        ("bytes=500-999", 500, 999),
        ("bytes=-500", 9500, 9999),
        ("bytes=9500-", 9500, 9999),
        # Several canonical ways to ask for 500 to 999, joined as section 15.3.7.2 allows
        ("bytes=500-600,601-999", 500, 999),
        ("bytes=500-700,601-999", 500, 999),
        # 'If the last-pos value is absent, or greater than or equal to the current length'
        ("bytes=9000-20000", 9000, 9999),
        # 'If the selected representation is shorter than the specified suffix-length'
        ("bytes=-20000", 0, 9999),
        # Only one of them lies in the file
        ("bytes=0-9,20000-20009", 0, 9),
        # Units are not case-sensitive; lists may hold empty members and white space (5.6.1)
        ("Bytes=0-1", 0, 1),
        ("bytes= 0-1 , , 2-3 ", 0, 3),
        # What Safari asks before it plays anything
        ("bytes=0-1", 0, 1),
    ],
)
def test_it_sends_one_part(header, first, last):
    found = wanted_range(header, 10_000)
    assert found == ByteRange(first, last + 1)
    assert found.content_range(10_000) == f"bytes {first}-{last}/10000"


@pytest.mark.parametrize(
    "header",
    [
        None,
        # Two parts apart: the example of section 14.1.2 for the first and the last byte
        "bytes=0-0,-1",
        "bytes=0-999,4500-5499,-1000",
        # Malformed, or in another unit: 'a server MUST ignore', 'MAY ignore'
        "bytes=499-0",
        "bytes=-",
        "bytes=",
        "bytes",
        "bytes=a-b",
        "bytes=0-1-2",
        "bytes=0x1-2",
        "bytes=\u0660-\u0661",  # digits, but not those of the standard
        "seconds=0-10",
        "exampleunit=1.2-4.3",
        # Many small ranges are an attack (section 14.2)
        "bytes=" + ",".join(f"{n}-{n}" for n in range(0, 400, 2)),
    ],
)
def test_it_sends_the_whole_file(header):
    assert wanted_range(header, 10_000) is None


@pytest.mark.parametrize("header", ["bytes=10000-", "bytes=10000-10001", "bytes=-0"])
def test_it_says_that_nothing_of_it_is_there(header):
    with pytest.raises(UnsatisfiableError):
        wanted_range(header, 10_000)


def test_an_empty_file_is_sent_whole():
    assert wanted_range("bytes=0-1", 0) is None


@given(st.integers(1, 1000), st.lists(st.tuples(st.integers(0, 1200), st.integers(0, 1200))))
def test_what_is_sent_covers_all_that_was_asked_for(total, asked):
    asked = [(min(pair), max(pair)) for pair in asked]
    header = "bytes=" + ",".join(f"{first}-{last}" for first, last in asked)
    wanted = {byte for first, last in asked for byte in range(first, last + 1) if byte < total}
    try:
        found = wanted_range(header, total)
    except UnsatisfiableError:
        assert not wanted
        return
    if found is not None:
        assert wanted == set(range(found.start, found.stop))
