"""Takes the pictures of README from a running demo: `make pictures`.

The demo is filled into a folder of its own, so that what somebody typed into theirs is not shown.
"""

from __future__ import annotations

import io
import re
import shutil
import subprocess
import sys
from collections.abc import Callable

from PIL import Image
from playwright.sync_api import Page, sync_playwright

from tests.chromium import FLAGS
from tests.running import ROOT, Site

DOCS = ROOT / "docs"
LAPTOP, PHONE = (1440, 900), (390, 844)
LINK = """
from portal.accounts.links import sign_in_url
from portal.accounts.models import User
print(sign_in_url(User.objects.get(email={email!r})))
"""
COACH, STUDENT = "ines@sallow-creek.example", "tobias@renn.example"


def board(page: Page) -> None:
    page.goto("/board/")


def desk(page: Page) -> None:
    page.goto("/board/")
    page.get_by_role("link", name="Tobias Renn").first.click()
    page.get_by_role("link", name=re.compile("Sway and early release")).first.click()
    page.wait_for_load_state("networkidle")


def player(page: Page) -> None:
    desk(page)
    page.locator("a[href^='/clips/']").first.click()
    page.locator("clip-player[data-ready]").wait_for()
    page.wait_for_load_state("networkidle")
    page.keyboard.press("Shift+1")


def marks(page: Page) -> None:
    desk(page)
    page.locator("a[href^='/stills/']").first.click()
    page.locator("mark-board").wait_for()


def pairing(page: Page) -> None:
    desk(page)
    page.locator("a[href^='/pairings/']").first.click()
    page.wait_for_load_state("networkidle")


def path(page: Page) -> None:
    desk(page)
    page.locator("a[href^='/paths/']").first.click()
    page.wait_for_load_state("networkidle")


def student(page: Page) -> None:
    page.goto("/")


def drill(page: Page) -> None:
    page.goto("/")
    page.get_by_role("link", name="Sway gate").first.click()


def practice(page: Page) -> None:
    page.goto("/today/")
    page.locator("[data-start]").click()


def brief(page: Page) -> None:
    page.goto("/board/")
    page.get_by_role("link", name="Tobias Renn").first.click()
    page.goto(page.url + "brief/")


PICTURES: dict[str, tuple[str, tuple[int, int], Callable[[Page], None]]] = {
    "board": (COACH, LAPTOP, board),
    "desk": (COACH, LAPTOP, desk),
    "player": (COACH, PHONE, player),
    "marks": (COACH, LAPTOP, marks),
    "pairing": (COACH, LAPTOP, pairing),
    "path": (COACH, LAPTOP, path),
    "student": (STUDENT, PHONE, student),
    "drill": (STUDENT, PHONE, drill),
    "practice": (STUDENT, PHONE, practice),
    "brief": (COACH, LAPTOP, brief),
}


def take(site: Site) -> None:
    """Every picture, each in a browser in which its person has just signed in."""
    with sync_playwright() as playwright:
        chromium = playwright.chromium.launch(executable_path=shutil.which("chromium"), args=FLAGS)
        for name, (email, (width, height), go) in PICTURES.items():
            context = chromium.new_context(
                base_url=site.url,
                viewport={"width": width, "height": height},
                device_scale_factor=2 if width < 500 else 1,
                has_touch=width < 500,
                is_mobile=width < 500,
            )
            page = context.new_page()
            page.goto(site.python(LINK.format(email=email)))
            page.locator("main form button").first.click()
            page.wait_for_load_state()
            go(page)
            page.wait_for_timeout(1500)
            path = DOCS / f"{name}.webp"
            picture = Image.open(io.BytesIO(page.screenshot()))
            picture.convert("RGB").save(path, quality=88, method=6)
            context.close()
            print(path.relative_to(ROOT), f"{path.stat().st_size / 1000:.0f} kB")
        chromium.close()


def main() -> None:
    folder = ROOT / "var" / "pictures"
    site = Site(folder)
    folder.mkdir(parents=True, exist_ok=True)
    DOCS.mkdir(exist_ok=True)
    subprocess.run(
        [sys.executable, "manage.py", "demo", "--fill-only"],
        cwd=ROOT,
        env=site.variables,
        check=True,
    )
    with site.web():
        take(site)


if __name__ == "__main__":
    main()
