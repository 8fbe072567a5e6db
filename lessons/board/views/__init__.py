"""The board's pages, a module a page."""
