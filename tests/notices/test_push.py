"""Web Push: what reaches the push service, and what its answers do.

Outside: RFC 8030 (the request), RFC 8291 (the encryption; the vector of its section 5), RFC 8292
(the signature). Decrypted with http-ece, the signature checked with cryptography alone.
"""

from __future__ import annotations

import datetime
import json

import http_ece
import pytest
import time_machine
from cryptography.hazmat.primitives import hashes
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.asymmetric.utils import encode_dss_signature
from django.utils import timezone

from portal.notices import keys, tasks
from portal.notices.keys import unb64
from portal.notices.models import Push, Subscription
from portal.notices.pushing import NotSent, check_address
from tests.conftest import signed_in
from tests.notices.conftest import Browser, take_pushes
from tests.work.rest import rested

pytestmark = pytest.mark.django_db


@pytest.fixture
def push(student, browser, service, no_worker):
    take_pushes(signed_in(student.user), browser, service.url)
    return Push.objects.create(
        subscription=Subscription.objects.get(),
        user=student.user,
        title="Carryover",
        body="Your coach answered: señal ünd 8 °",
        url="/questions/1/",
    )


def test_a_real_service_gets_it_and_only_the_browser_can_read_it(push, browser, service):
    tasks.push(push.pk)
    got = service.received[0]
    assert got.path == "/push/browser-1"
    assert got.headers["content-encoding"] == "aes128gcm"
    assert int(got.headers["ttl"]) == 24 * 3600
    said = http_ece.decrypt(got.body, private_key=browser.key, auth_secret=browser.secret)
    message = json.loads(said)
    assert (message["body"], message["url"]) == (push.body, "/questions/1/")
    assert push.body.encode() not in got.body
    push.refresh_from_db()
    assert push.state == "sent"


def test_another_browser_can_not_read_it(push, browser, service):
    tasks.push(push.pk)
    other = Browser()
    with pytest.raises(http_ece.ECEException):
        http_ece.decrypt(
            service.received[0].body, private_key=other.key, auth_secret=browser.secret
        )


def test_it_is_signed_by_the_site_for_this_service(push, service):
    """RFC 8292, sections 2 and 3: an ES256 JWT with aud, exp and sub, and the key k."""
    tasks.push(push.pk)
    scheme, _, parameters = service.received[0].headers["authorization"].partition(" ")
    assert scheme == "vapid"
    said = dict(part.strip().split("=", 1) for part in parameters.split(","))
    assert said["k"] == keys.public_key()
    head, claims, signature = said["t"].split(".")
    assert json.loads(unb64(head))["alg"] == "ES256"
    told = json.loads(unb64(claims))
    assert told["aud"] == service.origin
    assert told["sub"] == "mailto:carryover@localhost"
    assert 0 < told["exp"] - timezone.now().timestamp() <= 24 * 3600
    raw = unb64(signature)
    der = encode_dss_signature(int.from_bytes(raw[:32]), int.from_bytes(raw[32:]))
    point = ec.EllipticCurvePublicKey.from_encoded_point(ec.SECP256R1(), unb64(said["k"]))
    point.verify(der, f"{head}.{claims}".encode(), ec.ECDSA(hashes.SHA256()))


def test_the_encryption_is_that_of_rfc_8291():
    """The example of RFC 8291, section 5 and appendix A: the published keys give its very bytes."""
    plain = b"When I grow up, I want to be a watermelon"
    secret = unb64("BTBZMqHH6r4Tts7J_aSIgg")
    sender = ec.derive_private_key(
        int.from_bytes(unb64("yfWPiYE-n46HLnH0KqZOF1fJJU3MYrct3AELtAQ-oRw")), ec.SECP256R1()
    )
    receiver = ec.derive_private_key(
        int.from_bytes(unb64("q1dXpw3UpT5VOmu_cf_v6ih07Aems3njxI-JWgLcM94")), ec.SECP256R1()
    )
    point = (
        "BCVxsr7N_eNgVRqvHtD0zTZsEc6-VV-JvLexhqUzORcxaOzi6-AYWXvTBHm4bjyPjs7Vd8pZGH6SRpkNtoIAiw4"
    )
    published = (
        "DGv6ra1nlYgDCS1FRnbzlwAAEABBBP4z9KsN6nGRTbVYI_c7VJSPQTBtkgcy27mlmlMoZIIgDll6e3vCYLocInmYW"
        "AmS6TlzAC8wEqKK6PBru3jl7A_yl95bQpu6cVPTpK4Mqgkf1CXztLVBSt2Ks3oZwbuwXPXLWyouBWLVWGNWQexSgSxs"
        "j_Qulcy4a-fN"
    )
    salt = unb64("DGv6ra1nlYgDCS1FRnbzlw")
    made = http_ece.encrypt(
        plain, salt=salt, private_key=sender, dh=unb64(point), auth_secret=secret
    )
    assert made == unb64(published)
    assert http_ece.decrypt(made, private_key=receiver, auth_secret=secret) == plain


@pytest.mark.parametrize("status", [404, 410])
def test_a_browser_that_is_gone_is_removed(push, service, status):
    """RFC 8030, section 7.3: 404 or 410 for a subscription that expired."""
    service.status = status
    tasks.push(push.pk)
    assert not Subscription.objects.exists()
    push.refresh_from_db()
    assert push.state == "failed"


@pytest.mark.parametrize("status", [408, 429, 500, 503])
def test_a_service_that_says_later_is_asked_again(push, service, status):
    service.status = status
    tasks.push(push.pk)
    push.refresh_from_db()
    assert (push.state, push.reason) == ("waiting", f"status {status}")
    service.status = 201
    tasks.push(rested(push))
    push.refresh_from_db()
    assert push.state == "sent"


def test_it_is_given_up_after_a_day(push, service):
    service.status = 503
    with time_machine.travel(timezone.now() + datetime.timedelta(days=1, minutes=1)):
        tasks.push(push.pk)
    push.refresh_from_db()
    assert push.state == "failed"


@pytest.mark.parametrize("status", [400, 403, 413])
def test_a_refusal_for_good_is_final_and_the_browser_stays(push, service, status):
    service.status = status
    tasks.push(push.pk)
    push.refresh_from_db()
    assert push.state == "failed"
    assert Subscription.objects.exists()


def test_a_service_that_is_away_is_asked_again(push, service):
    Subscription.objects.update(endpoint="http://127.0.0.1:9/push")
    tasks.push(push.pk)
    push.refresh_from_db()
    assert push.state == "waiting"


def test_a_service_that_sends_elsewhere_is_not_followed(push, service):
    service.status = 307
    tasks.push(push.pk)
    assert [got.path for got in service.received] == ["/push/browser-1"]
    push.refresh_from_db()
    assert push.state == "failed"


def test_sending_it_twice_sends_one(push, service):
    tasks.push(push.pk)
    tasks.push(push.pk)
    assert len(service.received) == 1


@pytest.mark.parametrize(
    "endpoint",
    [
        "http://push.example.org/1",
        "https://127.0.0.1/1",
        "https://localhost/1",
        "https://10.0.0.7/1",
        "https://169.254.169.254/latest",
        "https://[::1]/1",
    ],
)
def test_an_address_in_the_hosts_own_network_is_not_asked(endpoint):
    with pytest.raises(NotSent) as trouble:
        check_address(endpoint)
    assert trouble.value.gone


def test_the_key_is_made_once_and_kept_for_its_owner_only(settings, tmp_path):
    settings.DATA_DIR, settings.PUSH_KEY = tmp_path, ""
    first = keys.public_key()
    assert keys.public_key() == first
    assert (tmp_path / "push_key").stat().st_mode & 0o077 == 0
    assert [path.name for path in tmp_path.iterdir()] == ["push_key"]
    # a point of P-256, uncompressed: RFC 8292, section 3.2
    assert (len(unb64(first)), unb64(first)[0]) == (65, 4)


def test_the_key_of_the_settings_comes_first(settings, tmp_path):
    """The published private key of RFC 8291 gives its published public key."""
    settings.DATA_DIR = tmp_path
    settings.PUSH_KEY = "yfWPiYE-n46HLnH0KqZOF1fJJU3MYrct3AELtAQ-oRw"
    assert keys.public_key() == (
        "BP4z9KsN6nGRTbVYI_c7VJSPQTBtkgcy27mlmlMoZIIgDll6e3vCYLocInmYWAmS6TlzAC8wEqKK6PBru3jl7A8"
    )
    assert not list(tmp_path.iterdir())
