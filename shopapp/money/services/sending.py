"""Sending an issued paper by mail: asked for by a person, written with the act, done by the outbox after it."""

from __future__ import annotations

import socket
import ssl
from datetime import datetime
from email.utils import make_msgid
from smtplib import SMTPAuthenticationError, SMTPConnectError, SMTPHeloError, SMTPRecipientsRefused
from typing import TYPE_CHECKING, Any

from django.conf import settings
from django.core.mail import EmailMessage
from django.utils import translation
from django.utils.translation import gettext as _

from shopapp.customers.models import Contact
from shopapp.customers.queries import whole
from shopapp.orders.models import WorkOrder
from shopapp.papers import kinds, store
from shopapp.papers.models import Paper
from shopapp.papers.queries import file_of
from shopapp.papers.services import title_of
from shopapp.shop import outbox_kinds
from shopapp.shop.queries import this_shop
from shopapp.shop.services import acts, outbox
from shopapp.shop.services.acts import Call, Doing, Refused

if TYPE_CHECKING:
    from shopapp.people.models import Person

KIND = "paper mail"
CERTAINLY_NOT = (
    ConnectionRefusedError, socket.gaierror, ssl.SSLCertVerificationError, SMTPAuthenticationError,
    SMTPConnectError, SMTPHeloError, SMTPRecipientsRefused,
)  # fmt: skip
"""Faults that come before the mail server took the letter: it may be tried again."""


def send_paper(
    *,
    order: WorkOrder,
    paper: Paper,
    contact: Contact,
    by: Person,
    at: datetime,
    call: Call,
    within: Doing | None = None,
) -> None:
    """Plan that a paper of an order goes to one of its customer's e-mail addresses; neither act nor row keeps it."""
    with acts.doing("send_paper", call=call, by=by, at=at, within=within) as act:
        theirs = contact.kind == Contact.Kind.EMAIL and contact.stopped_at is None
        if not theirs or not whole(order.customer).filter(pk=contact.customer_id).exists():
            raise Refused(_("Choose one of the customer's e-mail addresses."), field="contact")
        outbox.plan(
            kind=KIND, key=f"{KIND}:{act.id}", ids={"paper": str(paper.pk), "contact": contact.pk}, at=at
        )
        act.about("order", order.pk)
        act.result = {"order": order.pk, "number": order.number, "paper": str(paper.pk)}


def deliver(ids: dict[str, Any], _at: datetime) -> str:
    """Send one paper with its file; give the message's id. What certainly was not sent raises `NotSent`."""
    paper = Paper.objects.get(pk=ids["paper"])
    contact = Contact.objects.filter(pk=ids["contact"], stopped_at__isnull=True).first()
    if contact is None:
        raise outbox_kinds.NotSent("the address was taken back")
    file = file_of(paper)
    if file is None:
        raise outbox_kinds.NotSent("the paper is still being made")
    message = _letter(paper, contact.value, store.get(file.place, file.sha256))
    try:
        message.send()
    except CERTAINLY_NOT as problem:
        raise outbox_kinds.NotSent(f"{type(problem).__name__}: {problem}") from problem
    return str(message.extra_headers["Message-ID"])


def _letter(paper: Paper, address: str, content: bytes) -> EmailMessage:
    shop = this_shop()
    kind = kinds.REGISTRY.get(paper.kind)
    with translation.override(paper.language):
        title = title_of(paper, kind)
        name = shop.name if shop else ""
        words = [
            _("Attached is: %s.") % title,
            _("Keep it: it says what was found, what was done, and what was agreed."),
            "\n".join(filter(None, [name, shop.phone if shop else "", shop.email if shop else ""])),
        ]
        message = EmailMessage(
            subject=f"{title}, {name}".replace("\r", " ").replace("\n", " "),
            body="\n\n".join(filter(None, words)) + "\n",
            from_email=settings.DEFAULT_FROM_EMAIL,
            to=[address],
            reply_to=[shop.email] if shop and shop.email else None,
            headers={
                "Message-ID": make_msgid(domain=settings.DEFAULT_FROM_EMAIL.rpartition("@")[2].strip(" >"))
            },
        )
    file_name = (kind.file_name(paper.figures) if kind else kinds.plain_name(paper.kind)) + ".pdf"
    message.attach(file_name, content, "application/pdf")
    return message
