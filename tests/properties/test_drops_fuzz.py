"""Zips and orders bent at random: every drop is opened or refused, and nothing else escapes."""

from __future__ import annotations

import io
import tempfile
import zipfile
from pathlib import Path

from hypothesis import given, settings
from hypothesis import strategies as st

from piecewright.cutting.errors import PiecewrightError
from piecewright.daemon.drops import open_drop
from tests.daemon.test_drops import rules


def packed(method: int) -> bytes:
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w", method) as archive:
        archive.writestr("a/boat.pes", b"stitch" * 300)
        archive.writestr("a/m\u00f6we.dst", bytes(range(256)))
        archive.writestr("order.yaml", "copies: 2")
        archive.writestr("read me.txt", "hello" * 40)
    return stream.getvalue()


ZIPS = [packed(zipfile.ZIP_STORED), packed(zipfile.ZIP_DEFLATED)]


@st.composite
def bent(draw: st.DrawFn) -> bytes:
    """A whole zip with some bytes changed, cut out or put in, most of them in its list of files."""
    data = bytearray(draw(st.sampled_from(ZIPS)))
    for _ in range(draw(st.integers(1, 5))):
        at = draw(st.integers(0, len(data)) | st.integers(max(0, len(data) - 400), len(data)))
        kind, size = (
            draw(st.sampled_from(["set", "fill", "cut", "insert"])),
            draw(st.sampled_from([1, 2, 4, 30])),
        )
        if kind == "set":
            data[at : at + size] = draw(st.binary(min_size=1, max_size=4))
        elif kind == "fill":
            data[at : at + size] = draw(st.sampled_from([b"\0", b"\xff"])) * size
        elif kind == "cut":
            del data[at : at + size]
        else:
            data[at:at] = draw(st.binary(max_size=8))
    return bytes(data)


def check(name: str, data: bytes) -> None:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "in"
        path.mkdir()
        (path / name).write_bytes(data)
        (path / "boat.dst").write_bytes(b"stitches")
        try:
            drop = open_drop(path, rules())
        except PiecewrightError as error:
            blame = error.blame
        else:
            blame = "drop"
            assert drop.sources
        assert blame == "drop"
        assert sorted(p.name for p in Path(folder).rglob("*")) == sorted(["in", name, "boat.dst"])


@settings(max_examples=400)
@given(bent())
def test_bent_zips_are_opened_or_refused_and_write_nothing(data: bytes) -> None:
    check("pack.zip", data)


YAML_TEXTS = st.text(st.sampled_from("copies: fabrics[]{}-*&!|>\n 3,'\"#moss"), max_size=60)


@settings(max_examples=300)
@given(YAML_TEXTS.map(str.encode) | st.binary(max_size=60))
def test_any_order_is_used_or_refused(data: bytes) -> None:
    check("order.yaml", data)
