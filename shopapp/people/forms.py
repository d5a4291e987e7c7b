"""Forms of people: signing in, the first owner, one's own page."""

from __future__ import annotations

from typing import Any

from django import forms
from django.contrib.auth import password_validation
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy as _lazy

from shopapp.people.services.signing_in import fold_login
from shopapp.shop.forms import ActForm

PASSWORD = forms.PasswordInput(attrs={"autocomplete": "current-password"})
NEW_PASSWORD = forms.PasswordInput(attrs={"autocomplete": "new-password"})


class SignInForm(forms.Form):
    """Log-in name and password. What is wrong is said without saying which of the two."""

    login_name = forms.CharField(
        label=_lazy("Log-in name"),
        max_length=40,
        widget=forms.TextInput(
            attrs={"autocomplete": "username", "autocapitalize": "none", "autofocus": True}
        ),
    )
    password = forms.CharField(label=_lazy("Password"), max_length=200, strip=False, widget=PASSWORD)
    next = forms.CharField(required=False, max_length=300, widget=forms.HiddenInput)


class NewPasswordMixin(forms.Form):
    """A new password, typed twice."""

    password = forms.CharField(
        label=_lazy("New password"),
        max_length=200,
        strip=False,
        widget=NEW_PASSWORD,
        help_text=_lazy("At least ten characters, not a common one."),
    )
    again = forms.CharField(label=_lazy("The same again"), max_length=200, strip=False, widget=NEW_PASSWORD)

    def clean_password(self) -> str:
        password: str = self.cleaned_data["password"]
        password_validation.validate_password(password)
        return password

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        if data.get("password") and data.get("again") and data["password"] != data["again"]:
            self.add_error("again", _("The two passwords are not the same. Type both again."))
        return data


class SetUpForm(NewPasswordMixin, ActForm):
    """The shop and its first owner: what it is called, where it is, who signs in."""

    field_order = ["shop_name", "zone", "currency", "login_name", "name", "initials", "password", "again"]
    shop_name = forms.CharField(label=_lazy("The shop's name"), max_length=120)
    zone = forms.CharField(
        label=_lazy("Time zone"),
        max_length=64,
        initial="UTC",
        help_text=_lazy("Region/City, like Europe/Lisbon."),
    )
    currency = forms.CharField(
        label=_lazy("Currency"), max_length=3, initial="USD", help_text=_lazy("Three letters of ISO 4217.")
    )
    login_name = forms.CharField(label=_lazy("Log-in name"), max_length=40)
    name = forms.CharField(label=_lazy("Your name"), max_length=80)
    initials = forms.CharField(label=_lazy("Initials"), max_length=4)

    def clean_currency(self) -> str:
        return str(self.cleaned_data["currency"]).upper()

    def clean_login_name(self) -> str:
        return fold_login(self.cleaned_data["login_name"])


class OwnPasswordForm(NewPasswordMixin, ActForm):
    """Change one's own password."""

    field_order = ["old", "password", "again"]
    old = forms.CharField(label=_lazy("Password now"), max_length=200, strip=False, widget=PASSWORD)
