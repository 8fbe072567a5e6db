"""The coach's board with 1,000 students against the board with 10.

`python -m tests.benchmarks.board` fills a database of its own, asks for the page as a coach and
prints one line a figure: `figure NAME VALUE UNIT bar RELATION LIMIT`, and ends with 1 if a bar is
missed. Each student has two lessons, two drills and twelve logs in the newer one. The number of
queries and the size of the page have a bar; times are printed for the reader, the median of
several requests.
"""

from __future__ import annotations

import importlib
import os
import sys

import django

FEW, MANY = 10, 1000
MOST_QUERIES = 12
MOST_PAGE_KB = 300


def main() -> int:
    """Print the figures; 1 if a bar is missed."""
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "tests.settings")
    django.setup()
    # Models can be imported only now
    site = importlib.import_module("tests.benchmarks.board_site")
    with site.database():
        few_seconds, few_queries, _ = site.ask(site.fill(FEW))
        many_seconds, many_queries, page_kb = site.ask(site.fill(MANY))
    print(f"figure board_queries {many_queries} queries bar <= {MOST_QUERIES}")
    print(f"figure board_queries_added {many_queries - few_queries} queries bar <= 0")
    print(f"figure board_page {page_kb:.0f} kB bar <= {MOST_PAGE_KB}")
    print(f"figure board_ms_{FEW} {few_seconds * 1000:.0f} ms")
    print(f"figure board_ms_{MANY} {many_seconds * 1000:.0f} ms")
    print(f"figure board_time_ratio {many_seconds / few_seconds:.1f} ratio")
    missed = many_queries > MOST_QUERIES or many_queries > few_queries or page_kb > MOST_PAGE_KB
    return int(missed)


if __name__ == "__main__":
    sys.exit(main())
