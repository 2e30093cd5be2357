"""Makes sample_inbox: run ``python -m tests.samples.make_samples`` after a change to the designs.

The same script gives the same bytes, and a test holds the folder against it.
"""

from __future__ import annotations

import io
import struct
import zipfile
import zlib
from pathlib import Path

from tests.samples import designs

FOLDER = Path(__file__).resolve().parents[2] / "sample_inbox"

ORDER = """\
# Saturday's order. What stands here goes before the rules of the product.
copies:
  boat.pes: 3
  fish.exp: 2
fabrics: [plum, gold]       # one fabric a copy, in turn: here the fish
by_piece:                   # the boats: hull and sails, by the letters on the job sheet
  1A: rust
  1B: sail
  1C: sail
"""

README = """\
Two sizes of one design, each as PES and DST. The picture shows the colours.
"""


def samples() -> dict[str, bytes]:
    """Every file of sample_inbox by its path."""
    boat = designs.boat()
    return {
        "runner-leaves.pes": designs.runner_leaves().written("pes", version=6),
        "hearts.exp": designs.hearts().written("exp"),
        "quilt-tulip.vp3": designs.quilt_tulip().written("vp3"),
        "patch-moon.dst": designs.patch_moon().written("dst"),
        "patch-ring.jef": designs.patch_ring().written("jef"),
        "wren.xxx": designs.bird_blanket().written("xxx"),
        "sprig.dst": designs.sprig().written("dst"),
        "saturday-order/boat.pes": boat.written("pes"),
        "saturday-order/fish.exp": designs.two_fish().written("exp"),
        "saturday-order/order.yaml": ORDER.encode(),
        "boat-pack.zip": _zip(
            {
                "large/boat.pes": boat.written("pes"),
                "large/boat.dst": boat.written("dst"),
                "small/boat.pes": designs.boat(0.7).written("pes"),
                "small/boat.dst": designs.boat(0.7).written("dst"),
                "picture.png": _picture(),
                "read me.txt": README.encode(),
            }
        ),
    }


def main() -> None:
    """Write them."""
    for path, data in samples().items():
        target = FOLDER / path
        target.parent.mkdir(parents=True, exist_ok=True)
        target.write_bytes(data)


def _zip(files: dict[str, bytes]) -> bytes:
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w") as archive:
        for name, data in files.items():
            entry = zipfile.ZipInfo(name, date_time=(2024, 6, 1, 12, 0, 0))
            entry.create_system = 3  # the same on every system
            entry.external_attr = 0o644 << 16
            archive.writestr(entry, data)  # stored: packed bytes differ from one zlib to the next
    return stream.getvalue()


def _picture() -> bytes:
    """A PNG of one sky-blue pixel, written out so that no library's version shows in its bytes."""

    def chunk(kind: bytes, body: bytes) -> bytes:
        return struct.pack(">I", len(body)) + kind + body + struct.pack(">I", zlib.crc32(kind + body))

    header = struct.pack(">IIBBBBB", 1, 1, 8, 2, 0, 0, 0)
    row = b"\0\x7f\xa3\xb5"
    stored = b"\x78\x01\x01" + struct.pack("<HH", len(row), 0xFFFF ^ len(row)) + row
    stored += struct.pack(">I", zlib.adler32(row))
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", header) + chunk(b"IDAT", stored) + chunk(b"IEND", b"")


if __name__ == "__main__":
    main()
