"""Adding and changing customers, the ways to reach them, their yes or no to being written to."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import TYPE_CHECKING, Any

import phonenumbers
from django.conf import settings
from django.utils.translation import gettext as _

from shopapp.customers.models import Contact, ContactConsent, Customer
from shopapp.customers.queries import consents_of
from shopapp.shop.services import acts, search_terms
from shopapp.shop.services.acts import Call, Doing, Refused

if TYPE_CHECKING:
    from shopapp.people.models import Person

CHANNELS = ("email", "sms", "phone", "post")


@dataclass(frozen=True, slots=True)
class NewContact:
    """One way to reach a customer as it was typed: `kind` is phone, email, post or person."""

    kind: str
    value: str
    label: str = ""


@dataclass(frozen=True, slots=True)
class NewConsent:
    """A yes or no to being written to over one channel, and how it was said."""

    channel: str
    yes: bool
    how: str


@dataclass(frozen=True, slots=True)
class Exemption:
    """Why a customer pays no tax, the certificate's number, and the last day it holds (None: no end)."""

    reason: str
    certificate: str = ""
    until: date | None = None


def _exempt(exemption: Exemption | None) -> dict[str, Any]:
    """Give the columns of an exemption; a certificate without its reason is refused."""
    if exemption is None:
        return {"exemption": "", "exemption_certificate": "", "exemption_until": None}
    reason = exemption.reason.strip()
    if not reason:
        raise Refused(
            _("Say why this customer pays no tax: the words stand on the invoice."), field="exemption"
        )
    return {
        "exemption": reason,
        "exemption_certificate": exemption.certificate.strip(),
        "exemption_until": exemption.until,
    }


def normalised(kind: str, value: str) -> str:
    """Give what two spellings of one contact share: E.164 or the digits of a phone, an e-mail folded."""
    if kind == Contact.Kind.PHONE:
        return _phone(value)
    if kind == Contact.Kind.EMAIL:
        return value.strip().casefold()
    return ""


def _phone(value: str) -> str:
    try:
        number = phonenumbers.parse(value, None)
        if phonenumbers.is_possible_number(number):
            return phonenumbers.format_number(number, phonenumbers.PhoneNumberFormat.E164)
    except phonenumbers.NumberParseException:
        pass
    return search_terms.fold_number(value)


def add_customer(
    *,
    kind: str = "person",
    name: str,
    contacts: Sequence[NewContact] = (),
    bill_to: str = "",
    language: str = "",
    tax_id: str = "",
    exemption: Exemption | None = None,
    note: str = "",
    consents: Sequence[NewConsent] = (),
    by: Person,
    at: datetime,
    call: Call,
    within: Doing | None = None,
) -> Customer:
    """Add a person or a firm with the ways to reach them."""
    with acts.doing("add_customer", call=call, by=by, at=at, within=within) as act:
        _refuse_nameless(name)
        customer = Customer.objects.create(
            kind=kind,
            name=name.strip(),
            bill_to=bill_to.strip(),
            language=language or settings.LANGUAGE_CODE,
            tax_id=tax_id.strip(),
            note=note.strip(),
            made_at=at,
            **_exempt(exemption),
        )
        _add_contacts(customer, contacts)
        _record_consents(customer, consents, act)
        keep_terms(customer)
        if within is None:
            act.about("customer", customer.pk)
            act.result = {"customer": customer.pk}
        return customer


def hold_customer(customer: Customer) -> None:
    """Hold a customer's row until what is added for them is there: nobody is erased or merged under it.

    SQLite has no row locks and needs none: its transactions that write run one after the other.
    """
    if not _held(customer.pk, merged_into__isnull=True):
        raise Refused(
            _("This customer was erased or merged meanwhile. Look for them again."), field="customer"
        )


def hold_unerased(customer_id: int, words: str) -> None:
    """Hold a customer's row until the act ends, so that nobody is erased under it; say `words` where that is done."""
    if not _held(customer_id):
        raise Refused(words)


def _held(customer_id: int, **also: bool) -> bool:
    rows = Customer.objects.select_for_update().filter(pk=customer_id, erased_at__isnull=True, **also)
    return bool(list(rows.values_list("pk")))


def change_customer(
    *,
    customer: Customer,
    revision: int,
    kind: str,
    name: str,
    contacts: Sequence[NewContact],
    bill_to: str = "",
    language: str = "",
    tax_id: str = "",
    exemption: Exemption | None = None,
    note: str = "",
    consents: Sequence[NewConsent] = (),
    by: Person,
    at: datetime,
    call: Call,
    within: Doing | None = None,
) -> Customer:
    """Change a customer; a contact that is no longer named is stopped, not deleted: papers went out by it."""
    with acts.doing("change_customer", call=call, by=by, at=at, within=within) as act:
        _refuse_nameless(name)
        if customer.erased_at is not None:
            raise Refused(_("Who this was is erased. Add a new customer."))
        acts.raise_revision(customer, revision, what=customer.name, about="customer")
        wanted = {
            "kind": kind,
            "name": name.strip(),
            "bill_to": bill_to.strip(),
            "language": language or settings.LANGUAGE_CODE,
            "tax_id": tax_id.strip(),
            "note": note.strip(),
            **_exempt(exemption),
        }
        for field, value in wanted.items():
            act.change(field, getattr(customer, field), value, personal=field not in ("kind", "language"))
            setattr(customer, field, value)
        customer.save(update_fields=list(wanted))
        if _keep_contacts(customer, contacts, at=at):
            act.changed.append({"field": "contacts"})
        _record_consents(customer, consents, act)
        keep_terms(customer)
        if within is None:
            act.about("customer", customer.pk)
            act.result = {"customer": customer.pk}
        return customer


def _record_consents(customer: Customer, consents: Sequence[NewConsent], act: Doing) -> None:
    """Record what was said anew: a yes after a yes adds no row."""
    last = {consent.channel: consent.yes for consent in consents_of(customer)}
    for new in consents:
        if last.get(new.channel) != new.yes:
            record_contact_consent(
                customer=customer, channel=new.channel, yes=new.yes, how=new.how, by=act.by, at=act.at,
                call=act.call, within=act,
            )  # fmt: skip
            act.changed.append({"field": f"consent {new.channel}", "new": "yes" if new.yes else "no"})


def _refuse_nameless(name: str) -> None:
    if not name.strip():
        raise Refused(_("A customer needs a name: a person's or a firm's."), field="name")


def _add_contacts(customer: Customer, contacts: Sequence[NewContact]) -> None:
    Contact.objects.bulk_create(
        Contact(
            customer=customer,
            kind=contact.kind,
            value=contact.value.strip(),
            normalised=normalised(contact.kind, contact.value),
            label=contact.label.strip(),
        )
        for contact in contacts
        if contact.value.strip()
    )


def _keep_contacts(customer: Customer, contacts: Sequence[NewContact], *, at: datetime) -> bool:
    """Stop the contacts that are gone, add the new ones; say whether anything changed."""
    wanted = {(c.kind, c.value.strip(), c.label.strip()): c for c in contacts if c.value.strip()}
    gone = []
    for contact in customer.contacts.filter(stopped_at__isnull=True):
        if wanted.pop((contact.kind, contact.value, contact.label), None) is None:
            gone.append(contact.pk)
    Contact.objects.filter(pk__in=gone).update(stopped_at=at)
    _add_contacts(customer, list(wanted.values()))
    return bool(gone or wanted)


def terms_of(customer: Customer) -> list[tuple[str, str, int]]:
    """Give the words and numbers by which a customer is found; one who was erased is found by nothing."""
    if customer.erased_at is not None:
        return []
    terms = [("name", customer.name, 80)]
    for contact in customer.contacts.filter(stopped_at__isnull=True):
        if contact.kind == Contact.Kind.PHONE:
            terms.append(("phone", contact.value, 60))
        elif contact.kind == Contact.Kind.EMAIL:
            terms.append(("email", contact.value, 50))
        elif contact.kind == Contact.Kind.PERSON:
            terms.append(("name", contact.value, 60))
        if contact.label and contact.kind != Contact.Kind.PERSON:
            terms.append(("name", contact.label, 40))
    return terms


def keep_terms(customer: Customer) -> None:
    """Keep a customer's search terms as its row and contacts say."""
    search_terms.keep_terms(target_kind="customer", target_id=customer.pk, terms=terms_of(customer))


def record_contact_consent(
    *,
    customer: Customer,
    channel: str,
    yes: bool,
    how: str,
    by: Person | None,
    at: datetime,
    call: Call,
    within: Doing | None = None,
) -> ContactConsent:
    """Record a customer's yes or no to being written to over one channel; the newest one counts."""
    with acts.doing("record_contact_consent", call=call, by=by, at=at, within=within) as act:
        if channel not in CHANNELS:
            raise Refused(_("Choose e-mail, text message, phone or post."), field="channel")
        if not how.strip():
            raise Refused(_("Say how the customer told you, for example: at the counter."), field="how")
        consent = ContactConsent.objects.create(
            customer=customer, channel=channel, yes=yes, at=at, how=how.strip(), by=by
        )
        if within is None:
            act.about("customer", customer.pk)
            act.result = {"customer": customer.pk}
        return consent
