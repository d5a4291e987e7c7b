"""Forms on an order's page: a change of what was agreed, a yes or no, who does a job, a line."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django import forms
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy as _lazy

from shopapp.money.forms import AmountField
from shopapp.orders.models import HOW, Job, WorkOrder
from shopapp.orders.queries import bays
from shopapp.orders.services import Way
from shopapp.people.queries import technicians
from shopapp.shop.forms import ActForm, RevisionForm
from shopapp.shop.models import Shop
from shopapp.web.forms.moments import ComingDayField, HourField, promised
from shopapp.web.forms.reasons import Reason

MOST = Decimal("99999999")


class LimitField(AmountField):
    """An amount with tax that an order may come to, up to what the books hold."""

    def clean(self, value: Any) -> Any:
        amount = super().clean(value)
        if amount is not None and (amount > MOST or amount != amount.quantize(Decimal("0.01"))):
            raise forms.ValidationError(_("Write an amount up to 99,999,999 with at most two decimals."))
        return amount


def with_comma(form: forms.Form, shop: Shop | None) -> None:
    """Let the amounts of a form be written as the shop writes them."""
    for field in form.fields.values():
        if isinstance(field, AmountField):
            field.decimal_comma = bool(shop and shop.decimal_comma)


def amount_text(amount: Decimal | None, shop: Shop | None) -> str:
    """Write an amount as its field takes it."""
    if amount is None:
        return ""
    text = f"{amount:.2f}"
    return text.replace(".", ",") if shop and shop.decimal_comma else text


class OrderChangeForm(RevisionForm, Reason):
    """What was promised and agreed, and how it comes and leaves; once work has started with who asked, and why."""

    promised_day = ComingDayField(label=_lazy("Promised day"), required=False)
    promised_hour = HourField(label=_lazy("Hour"), required=False)
    limit_gross = LimitField(label=_lazy("Not past, with tax"), required=False)
    complaint = forms.CharField(
        label=_lazy("Complaint and wish"),
        max_length=2000,
        required=False,
        widget=forms.Textarea(attrs={"rows": 3}),
    )
    comes_by = forms.ChoiceField(label=_lazy("Comes by"), choices=HOW)
    comes_carrier = forms.CharField(label=_lazy("Carrier and number"), max_length=120, required=False)
    leaves_by = forms.ChoiceField(label=_lazy("Leaves by"), choices=HOW)
    leaves_carrier = forms.CharField(label=_lazy("Carrier"), max_length=120, required=False)
    field_order = (
        "promised_day", "promised_hour", "limit_gross", "complaint", "comes_by", "comes_carrier", "leaves_by",
        "leaves_carrier", "who", "why",
    )  # fmt: skip
    WAY = ("comes_by", "comes_carrier", "leaves_by", "leaves_carrier")

    def __init__(
        self, *args: Any, order: WorkOrder, begun: bool, shop: Shop | None, now: Any, **kwargs: Any
    ) -> None:
        local = timezone.localtime(order.promised) if order.promised else None
        kwargs["initial"] = {
            "promised_day": local.date() if local else None,
            "promised_hour": local.time() if local else None,
            "limit_gross": amount_text(order.limit_gross, shop),
            "complaint": order.complaint,
            "revision": order.revision,
            **{name: getattr(order, name) for name in self.WAY},
        }
        super().__init__(*args, **kwargs)
        self.order, self.now = order, now
        with_comma(self, shop)
        self.ask(begun=begun)

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        if "promised_day" in data and "promised_hour" in data:
            before = self.order.promised.replace(second=0, microsecond=0) if self.order.promised else None
            try:
                data["promised"] = promised(
                    data["promised_day"], data["promised_hour"], now=self.now, before=before
                )
            except forms.ValidationError as problem:
                self.add_error("promised_day", problem)
        return data

    def asked(self) -> dict[str, Any]:
        """Give what the service takes, once the form is valid."""
        data = self.cleaned_data
        names = ("revision", "promised", "limit_gross", "complaint")
        way = Way(**{name: data[name] for name in self.WAY})
        return {**{name: data[name] for name in names}, **self.reason, "way": way}


class ConsentForm(ActForm):
    """A customer's yes or no to a new limit."""

    yes = forms.ChoiceField(
        label=_lazy("The answer"), choices=[("yes", _lazy("yes")), ("no", _lazy("no"))], widget=forms.RadioSelect,
        error_messages={"required": _lazy("Say whether it was yes or no.")},
    )  # fmt: skip
    amount = LimitField(label=_lazy("Up to, with tax"), required=False)
    who = forms.CharField(label=_lazy("Who answered"), max_length=120)
    how = forms.CharField(
        label=_lazy("How"), max_length=80, help_text=_lazy("By phone, at the counter, by letter.")
    )

    def __init__(self, *args: Any, shop: Shop | None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        with_comma(self, shop)


class AssignForm(ActForm):
    """Who does a job, in which bay."""

    technician = forms.ChoiceField(label=_lazy("Technician"), required=False)
    bay = forms.ChoiceField(label=_lazy("Bay"), required=False)

    def __init__(self, *args: Any, job: Job, choices: AssignChoices, **kwargs: Any) -> None:
        kwargs.setdefault("initial", {"technician": job.technician_id or "", "bay": job.bay_id or ""})
        kwargs.setdefault("auto_id", f"id_job{job.pk}_%s")
        super().__init__(*args, **kwargs)
        self.fields["technician"].choices = choices.technicians  # type: ignore[attr-defined]
        self.fields["bay"].choices = choices.bays  # type: ignore[attr-defined]


class AssignChoices:
    """The technicians and bays of all assigning forms on a page, read once."""

    def __init__(self) -> None:
        self.people = {str(person.pk): person for person in technicians()}
        self.rooms = {str(bay.pk): bay for bay in bays()}
        self.technicians = [("", _("nobody yet")), *((pk, person.name) for pk, person in self.people.items())]
        self.bays = [("", _("no bay")), *((pk, bay.name) for pk, bay in self.rooms.items())]


class LineForm(ActForm):
    """One more line that the order will bill."""

    what = forms.CharField(label=_lazy("What"), max_length=200)
    job = forms.ChoiceField(label=_lazy("For"), required=False)
    quantity = AmountField(label=_lazy("Quantity"), initial="1")
    unit = forms.CharField(label=_lazy("Unit"), max_length=12, initial="piece")
    price = AmountField(label=_lazy("Price of one, without tax"))
    tax_category = forms.ChoiceField(label=_lazy("Tax"))

    def __init__(
        self, *args: Any, jobs: list[Job], categories: list[tuple[str, str]], shop: Shop | None, **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.jobs = {str(job.pk): job for job in jobs}
        named = [(pk, f"{job.number} · {job.damper}") for pk, job in self.jobs.items()]
        self.fields["job"].choices = [("", _("the whole order")), *named]  # type: ignore[attr-defined]
        self.fields["tax_category"].choices = categories  # type: ignore[attr-defined]
        with_comma(self, shop)

    def clean_quantity(self) -> Decimal:
        quantity: Decimal = self.cleaned_data["quantity"]
        if not quantity or quantity > MOST:
            raise forms.ValidationError(_("A line has a quantity, at most 99,999,999."))
        return quantity

    def clean_price(self) -> Decimal:
        price: Decimal = self.cleaned_data["price"]
        if price > MOST:
            raise forms.ValidationError(_("Write a price up to 99,999,999."))
        return price
