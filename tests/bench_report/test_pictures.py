"""Pictures on the report: beside their findings, in the structure tree with their words, from our own store alone."""

from __future__ import annotations

import io
import uuid
from pathlib import Path

import pikepdf
import pytest
from django.conf import settings
from PIL import Image

from shopapp.bench import report
from shopapp.bench.services.entry_in import PictureIn
from shopapp.bench.services.pictures import develop, keep_picture
from shopapp.papers import engine, services, store
from shopapp.papers.models import Paper
from shopapp.shop.services.acts import Call
from tests.bench.conftest import bench  # noqa: F401
from tests.bench.make import Bench
from tests.bench_report.test_pdf import elements, pdf_of, tags_of, text_of
from tests.drawn_pictures import a_jpeg

pytestmark = pytest.mark.django_db


def shoot(bench: Bench, shade: int) -> uuid.UUID:  # noqa: F811
    developed = develop(io.BytesIO(a_jpeg(400, 300, shade=shade)))
    row = keep_picture(
        job=bench.job,
        pk=uuid.uuid4(),
        developed=developed,
        by=bench.technician,
        at=bench.at,
        call=Call.fresh(),
    )
    return row.pk


@pytest.fixture
def paper(bench: Bench) -> Paper:  # noqa: F811
    """Close a job with a picture of how it came and two of a finding, one of them taken back by a correction."""
    bench.do("receive-pictures", "picture", pictures=(PictureIn(shoot(bench, 1), "oil at the wiper"),))
    found = bench.do("", "finding", part="rod", words="pitted", advice="replace", answer="should")
    first = PictureIn(shoot(bench, 2), "pits on the rod")
    old = bench.do("", "picture", pictures=(first, PictureIn(shoot(bench, 3), "blurred")), about=found.pk)
    bench.do("", "picture", pictures=(first,), about=found.pk, replaces=old.pk)
    bench.do("", "close", outcome="unrepaired", words="declined <b>")
    return Paper.objects.get(kind=report.KIND)


def test_they_stand_in_the_structure_tree_with_their_words(paper: Paper) -> None:
    """Seen red without the alternative texts."""
    content = pdf_of(paper)
    with pikepdf.open(io.BytesIO(content)) as pdf:
        alts = [str(node.get("/Alt", "")) for node in elements(pdf) if str(node.S) == "/Figure"]
        images = {int(one.Length) for page in pdf.pages for one in page.get_images().values()}
    assert {"oil at the wiper", "Finding 1: pits on the rod"} <= set(alts)
    assert len(images) == 2
    assert tags_of(content)["/Figure"] >= 2
    text = text_of(content)
    assert "pits on the rod" in text and "oil at the wiper" in text and "blurred" not in text


def test_figures_name_the_bytes_so_that_the_paper_is_frozen_with_them(paper: Paper) -> None:
    rows = [*paper.figures["pictures"], *paper.figures["finding_pictures"]]
    assert [row["caption"] for row in rows] == ["oil at the wiper", "pits on the rod"]
    for row in rows:
        assert Image.open(io.BytesIO(store.get(row["place"], row["sha256"]))).size == (400, 300)


def test_a_paper_is_not_made_without_its_pictures(paper: Paper) -> None:
    """Seen red with the engine left to ask for itself: it makes the paper with a hole."""
    (Path(settings.MEDIA_ROOT) / paper.figures["pictures"][0]["place"]).unlink()
    with pytest.raises(store.Missing):
        services.render_paper(paper_id=paper.pk, at=paper.issued_at)


def test_no_other_picture_of_the_store_is_given_to_the_engine(paper: Paper) -> None:
    """Seen red with a fetcher that looks into the store for whatever is asked."""
    sha256, _place = store.put(b"another job's", suffix=".jpg")
    assets = engine.OwnAssets({"picture/known.jpg": b"x"})
    for name in (f"picture/{sha256}.jpg", "picture/../../secret_key", "picture/", sha256):
        with pytest.raises(engine.NotOurs):
            assets.fetch(f"{engine.BASE}{name}")


def test_hostile_captions_are_words(bench: Bench) -> None:  # noqa: F811
    hostile = '"><img src="https://example.com/x.jpg">'
    bench.do("receive-pictures", "picture", pictures=(PictureIn(shoot(bench, 1), hostile),))
    bench.do("", "close", outcome="unrepaired", words="declined")
    paper = Paper.objects.get(kind=report.KIND)
    assert services.render_html(paper).count("<img ") == 1
    assert hostile.replace(" ", "") in text_of(pdf_of(paper)).replace(" ", "")
