"""Money against the reference cases, and its sums against each other."""

from decimal import ROUND_HALF_UP, Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from shopapp.calc import money
from tests.calc.cases import check_case, check_complete, load, run_ids

seeded = settings(print_blob=True, derandomize=False, deadline=None, max_examples=300)


def _line(line):
    if "net_given" in line:
        return Decimal(line["net_given"])
    return money.line_net(
        Decimal(line["qty"]), Decimal(line["price"]), per=Decimal(line.get("base_qty", "1"))
    )


def _document(case):
    inputs = case["inputs"]
    nets = [_line(line) for line in inputs["lines"]]
    sides = {
        kind: [(Decimal(e["amount"]), Decimal(e["rate"])) for e in inputs["document"] if e["kind"] == kind]
        for kind in ("allowance", "charge")
    }
    sums = money.totals(
        [(net, Decimal(line["rate"])) for net, line in zip(nets, inputs["lines"], strict=True)],
        allowances=sides["allowance"],
        charges=sides["charge"],
        prepaid=Decimal(inputs["prepaid"]),
        rounding=Decimal(inputs.get("rounding", "0")),
    )
    expected = case["expected"]
    assert len(expected["vat_breakdown"]) == len(sums.tax_by_rate)
    for entry in expected["vat_breakdown"]:
        assert sums.tax_by_rate[Decimal(entry["rate"])] == (Decimal(entry["taxable"]), Decimal(entry["vat"]))
    return {
        "line_nets": [str(net) for net in nets],
        "sum_line_net": str(sums.lines_net),
        "total_without_vat": str(sums.net),
        "vat_breakdown": expected["vat_breakdown"],
        "vat_total": str(sums.tax),
        "total_with_vat": str(sums.gross),
        "amount_due": str(sums.due),
    }


def _rounding(case):
    return {"half_up": str(money.rounded(Decimal(case["inputs"]["value"]), case["inputs"]["places"]))}


def _sales_tax(case):
    rate = Decimal(case["inputs"]["rate_pct"])
    lines = [
        (money.line_net(Decimal(quantity), Decimal(price)), rate if taxed else Decimal(0))
        for quantity, price, taxed in case["inputs"]["lines_qty_price_taxable"]
    ]
    by_rate, by_line = money.totals(lines), money.totals(lines, tax_basis="line")
    return {
        "subtotal": str(by_rate.lines_net),
        "taxable": str(by_rate.tax_by_rate[rate][0]),
        "tax_line_basis": str(by_line.tax),
        "tax_invoice_basis": str(by_rate.tax),
        "difference": str(by_line.tax - by_rate.tax),
        "total_invoice_basis": str(by_rate.gross),
        "total_line_basis": str(by_line.gross),
    }


def _published_sum(case):
    sums = money.totals([(Decimal(case["inputs"]["taxable"]), Decimal(case["inputs"]["rate_pct"]))])
    return {"tax_invoice_basis": str(sums.tax)}


def _published_lines(case):
    lines = [(Decimal(amount), Decimal(rate)) for amount, rate in case["inputs"]["lines"]]
    sums = money.totals(lines, tax_basis="line")
    return {"line_tax": [str(sums.tax_by_rate[rate][1]) for _, rate in lines], "total": str(sums.tax)}


def _minor_unit(case):
    units = load("money")[f"M-C{case['inputs']['currency']}"]["expected"]["minor_units"]
    return {"amount": str(money.rounded(Decimal(case["inputs"]["value"]), units))}


def _split(case):
    parts = money.split(Decimal(case["inputs"]["total"]), case["inputs"]["parts"])
    return {"amounts": [str(part) for part in parts]}


RUNNERS = {
    r"M-EN\d|M-S\d\d": _document,
    r"M-R\d\d": _rounding,
    r"M-U\d\d": _sales_tax,
    r"M-UP1": _published_sum,
    r"M-UP2": _published_lines,
    r"M-F\d\d": _minor_unit,
    r"M-A01": _split,
}
_CURRENCIES = [
    "USD",
    "EUR",
    "GBP",
    "JPY",
    "KWD",
    "BHD",
    "KRW",
    "CHF",
    "CLF",
    "ISK",
    "TND",
    "HUF",
    "CAD",
    "AUD",
]
BACKGROUND = {f"M-C{currency}": "ISO 4217 minor units: no call" for currency in _CURRENCIES} | {
    "M-K01": "cash rounding to a step: no call",
    "M-K02": "cash rounding to a step: no call",
}
UNANSWERED = frozenset({"half_even_would_be", "allowances", "charges"})


@pytest.mark.parametrize("case_id", run_ids("money", RUNNERS))
def test_case(case_id):
    check_case(load("money")[case_id], RUNNERS, UNANSWERED)


def test_every_case_is_run_or_listed():
    check_complete("money", RUNNERS, BACKGROUND)


amounts = st.decimals(min_value=-100000, max_value=100000, places=2, allow_nan=False)
rates = st.sampled_from([Decimal(rate) for rate in ("0", "6", "6.875", "7.5", "20", "25")])
pairs = st.lists(st.tuples(amounts, rates), max_size=12)
sides = st.lists(st.tuples(amounts.map(abs), rates), max_size=3)


@seeded
@given(amounts, st.integers(1, 60))
def test_a_split_adds_up_with_larger_parts_first(total, parts):
    amounts = money.split(total, parts)
    assert len(amounts) == parts
    assert sum(amounts) == total
    assert amounts == sorted(amounts, reverse=True)
    assert max(amounts) - min(amounts) <= Decimal("0.01")


@seeded
@given(pairs, sides, sides, amounts.map(abs), st.sampled_from(["rate", "line"]))
def test_totals_agree_with_each_other(lines, allowances, charges, prepaid, basis):
    sums = money.totals(lines, allowances=allowances, charges=charges, prepaid=prepaid, tax_basis=basis)
    assert sums.lines_net == sum(amount for amount, _ in lines)
    assert sums.net == sums.lines_net - sum(a for a, _ in allowances) + sum(c for c, _ in charges)
    assert sums.net == sum(taxable for taxable, _ in sums.tax_by_rate.values())
    assert sums.tax == sum(tax for _, tax in sums.tax_by_rate.values())
    assert sums.gross == sums.net + sums.tax
    assert sums.due == sums.gross - prepaid
    assert list(sums.tax_by_rate) == sorted(sums.tax_by_rate)
    for rate, (taxable, tax) in sums.tax_by_rate.items():
        count = sum(own == rate for _, own in [*lines, *allowances, *charges])
        slack = Decimal("0.005") * (1 if basis == "rate" else count)
        assert abs(tax - taxable * rate / 100) <= slack
    for figure in (sums.lines_net, sums.net, sums.tax, sums.gross, sums.due):
        assert figure.as_tuple().exponent == -2


@seeded
@given(st.decimals(-(10**9), 10**9, allow_nan=False, places=7), st.integers(0, 6))
def test_rounds_half_away_from_zero(value, places):
    step = Decimal(1).scaleb(-places)
    assert money.rounded(value, places) == value.quantize(step, rounding=ROUND_HALF_UP)
    assert abs(money.rounded(value, places) - value) <= step / 2
    assert money.rounded(-value, places) == -money.rounded(value, places)


@seeded
@given(amounts, amounts)
def test_a_credit_mirrors_its_line(quantity, price):
    assert money.line_net(-quantity, price) == -money.line_net(quantity, price)


def test_a_line_takes_allowance_and_charge_off_and_on():
    assert money.line_net(3, "9.995", allowance="5.005", charge="1") == Decimal("25.98")
    assert money.line_net(1, "10", per=3) == Decimal("3.33")


@pytest.mark.parametrize("value", ["-0.001", "-0", Decimal("-0.00")])
def test_nothing_has_no_sign(value):
    assert str(money.rounded(value)) == "0.00"
    assert str(money.line_net(0, "-5")) == "0.00"


@pytest.mark.parametrize(
    "value",
    [1.005, Decimal("NaN"), Decimal("sNaN"), Decimal("Infinity"), True, None, "twelve", "", "1_000", "１２", "1e5",
     Decimal("1e15"), 10**400, Decimal("1e-400"), Decimal("1e999999")],
)  # fmt: skip
def test_what_is_no_amount_is_refused(value):
    for call in (
        lambda: money.rounded(value),
        lambda: money.line_net(value, 1),
        lambda: money.line_net(1, value),
        lambda: money.totals([(value, 20)]),
        lambda: money.totals([(1, value)]),
        lambda: money.split(value, 3),
    ):
        with pytest.raises(ValueError, match=r"amount|rate"):
            call()


@pytest.mark.parametrize(
    ("call", "reason"),
    [
        (lambda: money.rounded(1, 7), "decimals"),
        (lambda: money.rounded(1, -1), "decimals"),
        (lambda: money.line_net(1, 1, per=0), "more than zero"),
        (lambda: money.line_net(1, 1, allowance=-1), "allowance"),
        (lambda: money.line_net(10**9, 10**9), "larger"),
        (lambda: money.totals([(1, 101)]), "percentage"),
        (lambda: money.totals([(1, -1)]), "percentage"),
        (lambda: money.totals([], charges=[(-1, 20)]), "charge"),
        (lambda: money.totals([], tax_basis="order"), "by rate or by line"),
        (lambda: money.split("10.005", 2), "at most 2 decimals"),
        (lambda: money.split("10.00", 0), "parts"),
        (lambda: money.split("10.00", 10**9), "parts"),
    ],
)
def test_what_cannot_be_is_refused(call, reason):
    with pytest.raises(ValueError, match=reason):
        call()
