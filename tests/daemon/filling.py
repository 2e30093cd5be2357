"""A shop on a disk that is filled to the brim, then has room again; prints what became of the drops."""

from __future__ import annotations

import contextlib
import json
import sys
from pathlib import Path
from typing import TYPE_CHECKING

from piecewright.daemon import logs
from piecewright.daemon.disk import RealDisk
from tests.daemon.shop import FakeWorkshop, Shop

if TYPE_CHECKING:
    from piecewright.daemon.session import Session

_BIG = b"x" * 100_000
"""More than the limit on the size of files, where that is what makes the disk full."""


class Filling(RealDisk):
    """Writes the protocol's own files large while it is to be full, so that even they do not fit."""

    def __init__(self) -> None:
        """Full at first."""
        self.full = True
        self.faults = 0

    def write(self, path: Path, data: bytes) -> None:
        try:
            super().write(path, data + b" " * len(_BIG) if self.full else data)
        except OSError:
            self.faults += 1
            raise


def main(place: Path) -> None:
    """Serve for a while on the full disk, then make room and go on."""
    shop = Shop(place / "root")
    for number in range(3):
        shop.drop(f"{number}.dst", f"drop {number}".encode())
    filler = place / "filler"
    disk = Filling()
    with shop.session(disk, FakeWorkshop(disk)) as session:
        with contextlib.suppress(OSError), filler.open("wb", buffering=0) as file:
            while True:
                file.write(_BIG)
        _serve(shop, session)
        told = {"while full": _account(shop), "faults": disk.faults}
        filler.unlink()
        disk.full = False
        _serve(shop, session)
        told["with room"] = _account(shop)
    sys.stdout.write(json.dumps(told))


def _serve(shop: Shop, session: Session) -> None:
    for _ in range(120):
        session.tick()
        shop.clock.advance(1.0)


def _account(shop: Shop) -> dict[str, int]:
    return {"published": len(shop.published()), "originals": shop.originals().total()}


if __name__ == "__main__":
    logs.set_up(level="critical")
    main(Path(sys.argv[1]))
