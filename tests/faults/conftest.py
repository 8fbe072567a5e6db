"""A site on either transport, shared by its faults, and the table of figures at the end."""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from dataclasses import asdict
from pathlib import Path

import pytest

from media_tools.mannequin import Film, TimedSwing, film
from tests.faults.house import LEASE_S, RESEND_S, Figure, House, table
from tests.running import Site
from tests.servers import postgres_server, redis_server


@pytest.fixture(scope="session")
def recording(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A small film, long enough that its preparation can be caught in the middle."""
    path = tmp_path_factory.mktemp("film") / "swing.mp4"
    film(Film(size_px=(480, 270), fps=30, swings=(TimedSwing(1.0),), duration_s=6), path)
    return path


def orders(control: Path) -> dict[str, str]:
    return {
        "DJANGO_SETTINGS_MODULE": "tests.faults.settings",
        "FAULTS_FOLDER": str(control),
        "FAULTS_RESEND_S": str(RESEND_S),
        "CARRYOVER_LEASE_SECONDS": str(LEASE_S),
        "CARRYOVER_KEEP_FREE_MB": "0",
    }


@pytest.fixture(scope="session")
def folders(tmp_path_factory: pytest.TempPathFactory, recording: Path) -> Iterator[House]:
    """Messages in folders, rows in SQLite."""
    control = tmp_path_factory.mktemp("control")
    site = Site(tmp_path_factory.mktemp("folders"), orders(control))
    site.manage("make_ready")
    house = House("folders", site, control, recording)
    yield house
    house.end()


@pytest.fixture(scope="session")
def redis(tmp_path_factory: pytest.TempPathFactory, recording: Path) -> Iterator[House]:
    """Messages in Redis, rows in PostgreSQL; both the test's own, to stop and start."""
    control = tmp_path_factory.mktemp("control")
    broker = redis_server(tmp_path_factory.mktemp("redis"))
    database = postgres_server(tmp_path_factory.mktemp("postgres"))
    site = Site(
        tmp_path_factory.mktemp("redis-site"),
        {
            **orders(control),
            "CELERY_BROKER_URL": f"redis://127.0.0.1:{broker.port}/0",
            "DATABASE_URL": f"postgres://carryover@127.0.0.1:{database.port}/postgres",
        },
    )
    house = House("redis", site, control, recording, broker, database)
    with broker.running(), database.running():
        site.manage("make_ready")
        yield house
        house.end()


@pytest.fixture(params=["folders", "redis"])
def house(request: pytest.FixtureRequest) -> Iterator[House]:
    """The site on one transport, with nothing in flight; its figures go into the table."""
    house = request.getfixturevalue(request.param)
    for mark in house.control.iterdir():
        mark.unlink()
    house.figures = []
    yield house
    report_figures(request, house)


def report_figures(request: pytest.FixtureRequest, house: House) -> None:
    request.node.user_properties.append(("faults", [asdict(f) for f in house.figures]))


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    """The figures of this run, from every process of it."""
    reports = itertools.chain.from_iterable(terminalreporter.stats.values())
    found = {}
    for report in reports:
        for name, figures in getattr(report, "user_properties", []):
            if name == "faults":
                found[report.nodeid] = figures
    figures = [Figure(**figure) for list_ in found.values() for figure in list_]
    if figures:
        terminalreporter.section("faults")
        for line in table(figures):
            terminalreporter.write_line(line)
