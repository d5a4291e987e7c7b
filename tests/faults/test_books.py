"""Every kind of difference between a ledger and what is kept beside it is found by `check_books`."""

from __future__ import annotations

import datetime as dt
import io
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
from django.conf import settings
from django.core.management import call_command
from django.db import connection, transaction

from shopapp.due import packing
from shopapp.due import services as due
from shopapp.orders import services as orders
from shopapp.papers.models import PaperFile
from shopapp.shop import books, ledgers
from shopapp.shop.services import outbox
from shopapp.shop.services.acts import Call
from tests.bench.make import Bench
from tests.faults.whole_shop import all_the_way

pytestmark = pytest.mark.django_db(transaction=True)

BOOKS = {
    "due", "findings", "invoices", "jobs", "lot levels", "order lines", "order numbers", "papers",
    "parts billed", "payments",
    "parcels", "pictures", "places of parts",
    "search terms of customers", "search terms of dampers", "search terms of invoices", "search terms of orders",
    "search terms of vehicles",
    "stock levels", "tags of dampers", "tools", "tools out", "waits",
}  # fmt: skip


@dataclass(frozen=True)
class Fault:
    """A statement that nobody should be able to run, and what must be said of it: the book and a word of the row."""

    sql: str
    book: str
    row: str


FAULTS = (
    Fault("UPDATE shopapp_stocklevel SET on_hand = on_hand + 1 WHERE item_id = (SELECT MIN(id) FROM shopapp_item)",
          "stock levels", "wiper-25 on_hand"),
    Fault("DELETE FROM shopapp_stocklevel WHERE item_id = (SELECT MIN(id) FROM shopapp_item)",
          "stock levels", "on_hand"),
    Fault("UPDATE shopapp_lotlevel SET on_hand = on_hand + 1 WHERE lot_id = (SELECT MIN(id) FROM shopapp_lot)",
          "lot levels", "B-wiper"),
    Fault("UPDATE shopapp_lot SET blocked_why = 'cut' WHERE id = (SELECT MIN(id) FROM shopapp_lot)",
          "lot levels", "B-wiper blocked"),
    Fault("UPDATE shopapp_stockmove SET quantity = quantity - 1 WHERE quantity < 0", "stock levels", "on_hand"),
    Fault("UPDATE shopapp_job SET state = 'in work', outcome = '', closed_at = NULL WHERE number = 1", "jobs", "state"),
    Fault("UPDATE shopapp_job SET stage = 'strip' WHERE number = 1", "jobs", "stage"),
    Fault("UPDATE shopapp_job SET outcome = 'unsafe' WHERE number = 1", "jobs", "outcome"),
    Fault("UPDATE shopapp_job SET is_open = NOT is_open WHERE number = 1", "jobs", "is_open"),
    Fault("UPDATE shopapp_paper SET figures_hash = REPLACE(figures_hash, SUBSTR(figures_hash, 1, 1), 'x')",
          "papers", "figures of paper"),
    Fault("UPDATE shopapp_paperfile SET size = size + 1", "papers", "file of paper"),
    Fault("DELETE FROM shopapp_paperfile", "papers", "file of paper"),
    Fault("UPDATE shopapp_invoice SET gross = gross + 1", "invoices", "gross of invoice"),
    Fault("UPDATE shopapp_invoiceline SET price = price + 1 WHERE number = 1", "invoices", "line 1"),
    Fault("UPDATE shopapp_counter SET last = last + 5 WHERE series = 'invoice'", "invoices", "counter"),
    Fault("UPDATE shopapp_orderline SET invoiced = NOT invoiced", "order lines", "invoiced"),
    Fault("UPDATE shopapp_orderline SET invoiced = NOT invoiced, quantity = quantity * 2 WHERE comes_from = 'move'",
          "parts billed", "line"),
    Fault("UPDATE shopapp_picture SET place = '00/none.jpg'", "pictures", "file of picture"),
    Fault("UPDATE shopapp_picture SET sha256 = 'x'", "pictures", "file of picture"),
    Fault("UPDATE shopapp_picture SET size = size + 1", "pictures", "file of picture"),
    Fault("DELETE FROM shopapp_entrypicture", "pictures", "pictures of entry"),
    Fault("UPDATE shopapp_payment SET amount = -amount", "payments", "payment"),
    Fault("DELETE FROM shopapp_due", "due", "damper"),
    Fault("UPDATE shopapp_due SET \"on\" = '2031-01-01'", "due", "damper"),
    Fault("UPDATE shopapp_tool SET checked_until = '2031-01-01' WHERE tag = 'G-04'", "tools", "G-04"),
    Fault("UPDATE shopapp_checkout SET in_at = NULL, took_back_id = NULL", "tools out", "for order"),
    Fault("UPDATE shopapp_wait SET ended_by_id = NULL", "waits", "wait of entry"),
    Fault("UPDATE shopapp_finding SET grade = 'note'", "findings", "grade of finding"),
    Fault("UPDATE shopapp_finding SET answer = 'no'", "findings", "answer to finding"),
    Fault("UPDATE shopapp_finding SET put_right_id = entry_id", "findings", "put right"),
    Fault("UPDATE shopapp_workconsent SET yes = NOT yes WHERE about = 'finding'", "findings", "answer to finding"),
    Fault("DELETE FROM shopapp_orderline WHERE comes_from = 'finding'", "findings", "line of finding"),
    Fault("DELETE FROM shopapp_finding", "findings", "finding of entry"),
    Fault("UPDATE shopapp_customer SET name = 'Somebody else'", "search terms of customers", "customer"),
    Fault("UPDATE shopapp_vehicle SET plate = 'ZZ 99'", "search terms of vehicles", "vehicle"),
    Fault("DELETE FROM shopapp_searchterm WHERE target_kind = 'damper'", "search terms of dampers", "damper"),
    Fault("DELETE FROM shopapp_searchterm WHERE target_kind = 'order'", "search terms of orders", "order"),
    Fault("DELETE FROM shopapp_searchterm WHERE target_kind = 'invoice'", "search terms of invoices", "invoice"),
    Fault("UPDATE shopapp_job SET shelf_body = 'nowhere'", "places of parts", "body of job"),
    Fault("UPDATE shopapp_placing SET was = 'nowhere' WHERE place <> 'R2-4'", "places of parts", "from"),
    Fault("DELETE FROM shopapp_paper WHERE kind = 'packing slip'", "parcels", "slip of parcel"),
    Fault("UPDATE shopapp_job SET parcel_id = NULL", "parcels", "parcel"),
    Fault("UPDATE shopapp_counter SET last = last + 5 WHERE series = 'tag'", "tags of dampers", "tags given"),
    Fault("UPDATE shopapp_counter SET last = last + 1 WHERE series = 'order'", "order numbers", "10"),
)  # fmt: skip


def check_books() -> tuple[int, list[str]]:
    """Run the command; give its exit code and its lines."""
    out = io.StringIO()
    try:
        call_command("check_books", stdout=out)
    except SystemExit as end:
        return int(end.code or 0), out.getvalue().splitlines()
    return 0, out.getvalue().splitlines()


@contextmanager
def unguarded() -> Iterator[None]:
    """Take triggers, checks and everything done inside back at the end."""
    with transaction.atomic():
        ledgers.lift(connection)
        with connection.cursor() as cursor:
            if connection.vendor == "sqlite":
                cursor.execute("PRAGMA ignore_check_constraints = ON")
            else:
                cursor.execute(
                    "SELECT conrelid::regclass, conname FROM pg_constraint "
                    "WHERE contype = 'c' AND conrelid::regclass::text LIKE 'shopapp_%'"
                )
                for table, name in cursor.fetchall():
                    cursor.execute(f'ALTER TABLE {table} DROP CONSTRAINT "{name}"')
        try:
            yield
        finally:
            if connection.vendor == "sqlite":
                with connection.cursor() as cursor:
                    cursor.execute("PRAGMA ignore_check_constraints = OFF")
            transaction.set_rollback(True)


def said_of(fault: Fault) -> str:
    """Plant one fault, run the command, and say what is missing in its answer ("" where it is found)."""
    with unguarded():
        with connection.cursor() as cursor:
            cursor.execute(fault.sql)
            if cursor.rowcount < 1:
                return f"{fault.sql}: changed no row"
        code, lines = check_books()
    if code != 1:
        return f"{fault.sql}: exit code {code}"
    if not any(line.startswith(f"{fault.book}: ") and fault.row in line for line in lines):
        return f"{fault.sql}: not among {lines}"
    return ""


def lay_and_send(bench: Bench) -> None:
    """Lay one damper on a shelf and then elsewhere, and send another by a carrier."""
    std: dict[str, Any] = {"by": bench.desk, "at": bench.at}
    job, sent = bench.order.jobs.get(number=2), bench.fresh_order()
    shelf = orders.add_shelf(code="R2-4", rack="2", shelf="4", by=bench.owner, at=bench.at, call=Call.fresh())
    orders.lay_part(job=job, part="body", shelf=shelf, call=Call.fresh(), **std)
    orders.lay_part(job=job, part="body", words="on the bench", call=Call.fresh(), **std)
    bench.do("", "close", job=sent.pk, outcome="unrepaired", words="declined")
    due.send_parcel(
        order=sent.order, jobs=[sent], carrier="Dray", consignment="D 1", packed=list(packing.POINTS), gas="charged",
        rule="as the carrier allows", confirmed="Pia", call=Call.fresh(), **std,
    )  # fmt: skip
    outbox.sweep(at=bench.at + dt.timedelta(minutes=2))


def test_every_planted_fault_is_found() -> None:
    """Each in a shop whose books agree before and after it. Seen to fail with one book taken out of the registry."""
    lay_and_send(all_the_way())
    code, lines = check_books()
    assert code == 0, lines
    assert lines == [f"The books agree: {len(books.REGISTRY)} checked ({', '.join(sorted(books.REGISTRY))})."]
    assert [missed for fault in FAULTS if (missed := said_of(fault))] == []
    assert check_books()[0] == 0


def test_every_book_has_its_fault() -> None:
    """A book that nobody ever saw red proves nothing."""
    assert set(books.REGISTRY) == BOOKS
    assert {fault.book for fault in FAULTS} == BOOKS


def test_bytes_that_rotted_are_found() -> None:
    all_the_way()
    file = PaperFile.objects.earliest("pk")
    path = Path(settings.MEDIA_ROOT) / file.place
    path.chmod(0o600)
    content = path.read_bytes()
    path.write_bytes(content[:-1] + bytes([content[-1] ^ 1]))
    code, lines = check_books()
    assert code == 1
    assert any(line.startswith(f"papers: file of paper {file.paper_id}") for line in lines), lines
