"""Browsers that take pushes: taken on, and let go."""

from __future__ import annotations

import pytest
from django.urls import reverse

from portal.notices.browsers import device
from portal.notices.models import Subscription
from tests.conftest import signed_in
from tests.notices.conftest import take_pushes

URL = "/notices/browsers/"
ENDPOINT = "https://push.example.org/abc"


def post(client, data):
    return client.post(URL, data, content_type="application/json")


def test_it_takes_a_browser_on_once(as_student, student, browser):
    for _ in range(2):
        take_pushes(as_student, browser, ENDPOINT)
    kept = Subscription.objects.get()
    assert (kept.user, kept.endpoint) == (student.user, ENDPOINT)


def test_a_shared_phone_belongs_to_who_is_signed_in(as_student, as_other_student, browser):
    take_pushes(as_student, browser, ENDPOINT)
    take_pushes(as_other_student, browser, ENDPOINT)
    assert Subscription.objects.get().user.student.user_id == Subscription.objects.get().user_id


def test_signing_out_ends_it(as_student, browser):
    take_pushes(as_student, browser, ENDPOINT)
    as_student.post(reverse("account_logout"))
    assert not Subscription.objects.exists()


def test_signing_out_elsewhere_silences_a_lost_phone(student, browser):
    lost, here = signed_in(student.user), signed_in(student.user)
    take_pushes(lost, browser, ENDPOINT)
    assert Subscription.objects.live(student.user).exists()
    here.post(reverse("accounts:elsewhere"))
    student.user.refresh_from_db()
    assert not Subscription.objects.live(student.user).exists()


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        ({"endpoint": "http://push.example.org/abc"}, "Enter a valid URL."),
        ({"endpoint": "https://push.example.org/" + "x" * 1000}, "at most 1000"),
        ({"keys": {"p256dh": "AAAA", "auth": "BTBZMqHH6r4Tts7J_aSIgg"}}, "no point of P-256"),
        ({"keys": {"p256dh": "***", "auth": "BTBZMqHH6r4Tts7J_aSIgg"}}, "no point of P-256"),
        ({"auth": "AAAA"}, "not 16 octets"),
        ({"auth": "%%"}, "not 16 octets"),
    ],
)
def test_it_refuses_what_is_no_subscription(as_student, browser, change, sentence):
    said = browser.says(ENDPOINT)
    if "auth" in change:
        said["keys"]["auth"] = change["auth"]
    else:
        said |= change
    answer = post(as_student, said)
    assert answer.status_code == 422
    assert sentence in answer.json()["detail"]
    assert not Subscription.objects.exists()


@pytest.mark.parametrize("body", ["", "[]", '"x"', '{"endpoint": "https://a.example/"}', "{"])
def test_it_refuses_what_it_can_not_read(as_student, body):
    assert as_student.post(URL, body, content_type="application/json").status_code == 400


def test_one_forgets_ones_own_browser_only(as_student, as_other_student, as_nobody, browser):
    take_pushes(as_student, browser, ENDPOINT)
    url = reverse("notices:forget", args=[Subscription.objects.get().pk])
    assert as_other_student.post(url).status_code == 404
    assert as_nobody.post(url).status_code == 302
    assert as_student.get(url).status_code == 405
    as_student.post(url)
    assert not Subscription.objects.exists()


def test_a_stranger_and_a_wrong_method_are_refused(as_nobody, as_student, browser):
    assert post(as_nobody, browser.says(ENDPOINT)).status_code == 302
    assert as_student.get(URL).status_code == 405


def test_a_browser_is_called_by_its_device():
    assert device("Mozilla/5.0 (iPhone; CPU iPhone OS 18_0 like Mac OS X)") == "iPhone"
    assert device("Mozilla/5.0 (Linux; Android 15; Pixel)") == "Android phone"
    assert device("") == "A browser"


def test_the_worker_is_a_script_for_everybody(as_nobody):
    answer = as_nobody.get("/notices/worker.js")
    assert answer.status_code == 200
    assert answer["Content-Type"].startswith("text/javascript")
    assert as_nobody.post("/notices/worker.js").status_code == 405
