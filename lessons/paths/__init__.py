"""Paths: where a followed patch (a head, a grip, a hip) went through a swing."""
