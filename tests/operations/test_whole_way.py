"""The whole way on real servers: PostgreSQL, Redis, an S3-compatible store, nginx in front.

The settings are those of docker-compose.yml. A coach posts a lesson with a clip and a still, the
student reads it and logs practice, the coach sees it; all over HTTP, with a real tus client.
"""

from __future__ import annotations

import datetime
import email
import email.policy
import json
import re
import uuid
from collections.abc import Iterator
from pathlib import Path

import pytest
import requests
from tusclient.client import TusClient

from media_tools.mannequin import Film, TimedSwing, film
from tests.proxy import Proxy, nginx
from tests.running import Site
from tests.servers import Store, free_port, wait_until

pytestmark = pytest.mark.servers
TOKEN = re.compile(r'name="csrfmiddlewaretoken" value="([^"]+)"')


class Person:
    """Somebody with a browser: follows links, sends forms with their hidden fields."""

    def __init__(self, site: Site) -> None:
        self.address = site.variables["CARRYOVER_URL"]
        self.browser = requests.Session()

    def get(self, path: str, **options: object) -> requests.Response:
        url = path if path.startswith("http") else self.address + path
        answer = self.browser.get(url, timeout=30, **options)
        assert answer.status_code < 400, f"{path}: {answer.status_code}"
        return answer

    def send(self, form_on: str, to: str | None = None, **fields: str) -> requests.Response:
        """Fill in the form on a page and send it to `to`, or to the page itself."""
        page = self.get(form_on)
        data = {"csrfmiddlewaretoken": TOKEN.search(page.text)[1], **fields}
        target = self.address + to if to else page.url
        answer = self.browser.post(
            target, data=data, timeout=30, headers={"Referer": page.url, "Origin": self.address}
        )
        assert answer.status_code < 400, f"{target}: {answer.status_code} {answer.text[:400]}"
        return answer

    def sign_in(self, link: str) -> None:
        answer = self.send(link)
        assert "/login/" not in answer.url

    @property
    def headers(self) -> dict[str, str]:
        """What a script on a page sends along."""
        cookies = self.browser.cookies
        sent = "; ".join(f"{cookie.name}={cookie.value}" for cookie in cookies)
        token = cookies.get("carryover_csrf", "")
        return {"Cookie": sent, "X-CSRFToken": token, "Referer": self.address + "/"}


def link_sent(site: Site, to: str, path: str) -> str:
    """The link to a path in a letter that a worker has sent to somebody."""
    found: list[str] = []

    def look() -> bool:
        for file in (site.folder / "letters").glob("*"):
            letter = email.message_from_bytes(file.read_bytes(), policy=email.policy.default)
            if letter["To"] == to:
                links = re.findall(r"https?://\S+", letter.get_content())
                found.extend(link for link in links if path in link)
        return bool(found)

    wait_until(look, f"a letter to {to} with a link to {path}")
    return found[-1]


def link_in(text: str) -> str:
    return re.search(r"https?://\S+", text)[0]


@pytest.fixture
def site(tmp_path: Path, postgres_url: str, redis_url: str, s3_store: Store) -> Iterator[Site]:
    """A site on all three, with web and workers running."""
    ports = Proxy(free_port(), free_port())
    environment = {
        "CARRYOVER_URL": f"http://127.0.0.1:{ports.site_port}",
        "CARRYOVER_PROXY": "1",
        "DATABASE_URL": postgres_url,
        "CELERY_BROKER_URL": redis_url.replace("/0", "/3"),
        "CARRYOVER_FILES_BY": "store",
        "S3_PUBLIC_URL": f"http://127.0.0.1:{ports.store_port}",
        **s3_store.environment,
    }
    site = Site(tmp_path, environment)
    site.manage("make_ready")
    front = tmp_path / "nginx"
    front.mkdir()
    store = s3_store.endpoint.removeprefix("http://")
    with (
        site.web() as web,
        site.worker("prepare", "clips"),
        site.worker("quick", "quick"),
        nginx(front, site=web.removeprefix("http://"), store=store, files=front, ports=ports),
    ):
        yield site


def test_a_lesson_from_the_clip_to_the_practice_it_leads_to(site: Site, tmp_path: Path):
    coach, student = Person(site), Person(site)
    coach.sign_in(link_in(site.manage("make_coach", "coach@example.org", "The Coach")))

    # A student, invited by letter
    coach.send(
        "/students/new/",
        name="A Student",
        email="student@example.org",
        handed="right",
        adult="on",
    )
    student_page = "/students/1/"
    coach.send(student_page, student_page + "invite/", way="letter")
    student.sign_in(link_sent(site, "student@example.org", "/invitations/"))

    # A lesson, and a clip of it sent with a real tus client
    today = datetime.datetime.now(datetime.UTC).date()
    desk = coach.send(
        student_page + "lessons/new/",
        date=today.isoformat(),
        theme="Turn",
        next_visit=(today + datetime.timedelta(days=28)).isoformat(),
    )
    assert desk.url.endswith("/lessons/1/")
    recording = tmp_path / "swing.mp4"
    truth = film(Film(size_px=(640, 360), fps=30, swings=(TimedSwing(0.5),)), recording)
    with recording.open("rb") as stream:
        TusClient(coach.address + "/uploads/", headers=coach.headers).uploader(
            file_stream=stream,
            chunk_size=100_000,
            metadata={"kind": "clip", "lesson": "1", "filename": "swing.mp4", "part": "start"},
        ).upload()
    wait_until(
        lambda: "clips/1/poster" in coach.get("/lessons/1/clips/").text, "the clip is ready", 90
    )

    # Files go out by the store's own signed link, in ranges, and only so
    answer = coach.get("/clips/1/watch/", allow_redirects=False)
    assert answer.status_code == 302
    assert answer.headers["Location"].startswith(site.environment["S3_PUBLIC_URL"])
    part = requests.get(answer.headers["Location"], headers={"Range": "bytes=0-1"}, timeout=30)
    assert (part.status_code, len(part.content)) == (206, 2)
    bare = answer.headers["Location"].partition("?")[0]
    assert requests.get(bare, timeout=30).status_code in {400, 403}

    # A still at the top, a recap, and the letter
    top = truth.swings[0].positions_us["P4"]
    coach.send("/clips/1/", "/clips/1/stills/", time_us=str(top), position="P4")
    wait_until(
        lambda: coach.browser.get(coach.address + "/stills/1/picture/").ok, "the still is there"
    )
    coach.send("/drills/new/", name="Sway gate", sets="3", reps="10", days_a_week="5")
    page = {
        "version": 0,
        "page": str(uuid.uuid4()),
        "main_point": "Turn around the trail hip",
        "body": "",
        "findings": [],
        "stills": [{"still": 1, "caption": "The top"}],
        "drills": [
            {
                "key": str(uuid.uuid4()),
                "drill": 1,
                "sets": 3,
                "reps": 10,
                "minutes": None,
                "days_a_week": 5,
                "note": "",
            }
        ],
    }
    saved = coach.browser.put(
        coach.address + "/lessons/1/recap/",
        data=json.dumps(page),
        headers={**coach.headers, "Content-Type": "application/json"},
        timeout=30,
    )
    assert saved.status_code == 200, saved.text
    coach.send("/lessons/1/", "/lessons/1/post/")
    link = link_sent(site, "student@example.org", "/enter/")

    # Read and practised on the phone of the student
    student.get(link)
    read = student.get("/lessons/1/read/")
    assert "Turn around the trail hip" in read.text
    assert "Sway gate" in read.text
    student.send("/lessons/1/read/", "/given/1/log/", client_id=str(uuid.uuid4()), when="today")

    # And on the coach's board
    board = coach.get("/board/").text
    assert "A Student" in board
    assert "today" in board.lower()
    site.manage("health")
