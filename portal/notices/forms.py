"""What a person says about their notices, and what a browser says of itself."""

from __future__ import annotations

from typing import Any

from cryptography.hazmat.primitives.asymmetric import ec
from django import forms
from django.conf import settings
from django.core.validators import URLValidator

from portal.accounts.models import User
from portal.notices.keys import unb64
from portal.notices.kinds import Kind, kinds_for
from portal.notices.models import QuietHours, Subscription, Switch
from portal.notices.telling import switch


class WishesForm(forms.Form):
    """Every kind by letter and by push, and the quiet hours."""

    begin = forms.TimeField(
        label="Quiet from",
        required=False,
        widget=forms.TimeInput(attrs={"type": "time"}, format="%H:%M"),
        error_messages={"invalid": "Write a time like 21:00."},
    )
    end = forms.TimeField(
        label="Quiet until",
        required=False,
        widget=forms.TimeInput(attrs={"type": "time"}, format="%H:%M"),
        error_messages={"invalid": "Write a time like 07:00."},
    )

    def __init__(self, data: Any = None, *, user: User) -> None:
        self.user = user
        self.kinds = kinds_for(user)
        hours = QuietHours.objects.filter(user=user).first()
        initial = {"begin": hours.begin, "end": hours.end} if hours else {}
        kept = {row.kind: row for row in Switch.objects.filter(user=user)}
        super().__init__(data, initial=initial)
        for kind in self.kinds:
            row = kept.get(kind.name)
            for way in ("letter", "push"):
                on = getattr(row, f"by_{way}") if row else True
                always = way == "letter" and kind.always_by_letter
                self.fields[f"{kind.name}-{way}"] = forms.BooleanField(
                    label=f"{kind.label}: by {way}",
                    required=False,
                    initial=on or always,
                    disabled=always,
                )

    def rows(self) -> list[tuple[Kind, forms.BoundField, forms.BoundField]]:
        return [(k, self[f"{k.name}-letter"], self[f"{k.name}-push"]) for k in self.kinds]

    def clean(self) -> dict[str, Any]:
        values = super().clean() or self.cleaned_data
        begin, end = values.get("begin"), values.get("end")
        if not self.errors and (begin is None) != (end is None):
            missing = "begin" if begin is None else "end"
            self.add_error(missing, "Quiet hours have a beginning and an end. Fill in both.")
        if begin is not None and begin == end:
            self.add_error("end", "These are the same. Leave both empty for no quiet hours.")
        return values

    def save(self) -> None:
        """Keep all of it."""
        values = self.cleaned_data
        for kind in self.kinds:
            by_letter, by_push = values[f"{kind.name}-letter"], values[f"{kind.name}-push"]
            switch(self.user, kind.name, by_letter=by_letter, by_push=by_push)
        if values["begin"] is None:
            QuietHours.objects.filter(user=self.user).delete()
        else:
            hours = {"begin": values["begin"], "end": values["end"]}
            QuietHours.objects.update_or_create(user=self.user, defaults=hours)


class SubscriptionForm(forms.Form):
    """A browser's push subscription (W3C Push API: PushSubscription.toJSON)."""

    endpoint = forms.CharField(max_length=Subscription._meta.get_field("endpoint").max_length)
    p256dh = forms.CharField(max_length=100)
    auth = forms.CharField(max_length=40)

    def clean_endpoint(self) -> str:
        endpoint = self.cleaned_data["endpoint"]
        schemes = ["http", "https"] if settings.PUSH_TO_LOCAL else ["https"]
        URLValidator(schemes=schemes)(endpoint)
        return endpoint

    def clean_p256dh(self) -> str:
        """A point of P-256, uncompressed (RFC 8291, section 3.1)."""
        text = self.cleaned_data["p256dh"]
        try:
            ec.EllipticCurvePublicKey.from_encoded_point(ec.SECP256R1(), unb64(text))
        except ValueError:
            raise forms.ValidationError("The browser's key is no point of P-256.") from None
        return text

    def clean_auth(self) -> str:
        """16 octets (RFC 8291, section 3.2)."""
        text = self.cleaned_data["auth"]
        try:
            right = len(unb64(text)) == 16
        except ValueError:
            right = False
        if not right:
            raise forms.ValidationError("The browser's secret has not 16 octets.")
        return text
