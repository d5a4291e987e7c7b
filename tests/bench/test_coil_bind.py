"""Coil bind: worked out where every spring and the stroke are known, absolute for everybody, never invented."""

from __future__ import annotations

import json
import random
from pathlib import Path

import pytest

from shopapp.bench import coil_bind
from shopapp.bench.coil_bind import Coils
from shopapp.bench.figures import Units
from shopapp.bench.models import Entry
from shopapp.customers import services as customers
from shopapp.demo.fill import Filler
from shopapp.demo.master import Master
from shopapp.shop.services.acts import Refused
from tests.bench.test_every_procedure import AT, Walk, master, received

__all__ = ["master"]

CASES = json.loads((Path(__file__).parent / "coil_bind.json").read_text(encoding="utf-8"))


@pytest.mark.parametrize("case", CASES, ids=[case["name"] for case in CASES])
def test_what_a_reading_may_be(case: dict) -> None:
    """Seen red with the preload left out of the fitted length's bound, and with a spring that counts as nought."""
    least, most = coil_bind.bounds(case["bind"], case["read"])
    assert least == (None if case["least"] is None else pytest.approx(case["least"]))
    assert most == (None if case["most"] is None else pytest.approx(case["most"]))


def words(coils: Coils, fitted: float | None) -> str:
    return coil_bind.computed(coils, fitted, Units(None)).words


def test_what_is_said_at_restore() -> None:
    known = Coils(0.457, 0.15, 0.254)
    assert "need more than" in words(known, None)
    assert "Travel left before the coils close" in words(known, 0.42)
    assert "The coils close before full bump" in words(known, 0.40)
    assert coil_bind.computed(known, 0.40, Units(None)).trouble
    assert "cannot be worked out" in words(Coils(0.457, None, 0.254), 0.42)
    assert "stay apart" in words(Coils(None, 0.15, 0.254), 0.42)


def test_the_travel_left_is_what_calc_says() -> None:
    assert Coils(0.457, 0.15, 0.254).left_m(0.42) == pytest.approx(0.42 - 0.15 - 0.254)
    assert Coils(0.457, 0.15, 0.254).left_m(0.5) == pytest.approx(0.457 - 0.15 - 0.254)


@pytest.mark.django_db
def test_nobody_lifts_it_at_restore(master: Master) -> None:
    """A fitted length in which the coils would close is an attempt, whatever is said; one with room stands.

    Seen red with the bound only advised.
    """
    customer = customers.add_customer(name="Wyn Dallimore", **master.std("pia"))
    walk = Walk(master, received(master, "springs", "K25", "springs", customer))
    walk.sheet = walk.look()
    filler = Filler(send=walk.send_in_turn, look=walk.look, rng=random.Random(1), at=AT)
    filler.fill(until="restore")
    step = next(one for one in walk.look()["steps"] if one["figure"] == coil_bind.FITTED)
    assert step["least"] and not step["limits"]

    def typed(si: float, **more: str) -> Entry:
        text = f"{si * 1000:.2f} mm"
        return walk.send(filler._entry(walk.look(), step, "reading", text=text, **more))

    tight = typed(step["least"] - 0.002, reason="The customer wants it so.")
    assert (tight.outside, tight.out_of_order) == ("absolute", False)
    assert walk.look()["computed"]["coil bind"]["trouble"] is False
    assert not next(one for one in walk.look()["entries"] if one["id"] == str(tight.pk))["satisfies"]
    with pytest.raises(Refused, match="Springs, fitted length"):
        filler.close()
    roomy = typed(step["least"] + 0.002)
    assert roomy.outside == ""
    assert "Travel left" in walk.look()["computed"]["coil bind"]["words"]
