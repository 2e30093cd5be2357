"""The job reads as its stages: a design in, checked cut files and a report out."""

from __future__ import annotations

import hashlib
import io
from pathlib import Path
from typing import TYPE_CHECKING
from xml.etree import ElementTree as ET

import numpy as np
import pytest
from svgelements import SVG  # the reference reader that measures what we wrote
from svgelements import Path as SvgPath

from piecewright.cutting.errors import UnreadableDesign
from piecewright.cutting.job import Delivery, Source, cut
from piecewright.daemon.rulebook import load

if TYPE_CHECKING:
    from piecewright.cutting.rules import JobRules

TOP = Path(__file__).parents[2]
PX_PER_MM = 96 / 25.4  # CSS Values and Units Module Level 3 (W3C), 6.2: 1 in = 25.4 mm = 96 px


def rules(name: str = "Everything else") -> JobRules:
    rulebook = load(TOP / "config" / "demo.yaml")
    return rulebook.job_rules(next(product for product in rulebook.products if product.name == name))


def sample(name: str) -> Source:
    return Source(name=name, data=(TOP / "sample_inbox" / name).read_bytes())


def cut_sample(name: str, product: str = "Everything else") -> Delivery:
    return cut([sample(name)], rules(product), job="j")


@pytest.fixture(scope="module")
def leaves() -> Delivery:
    """Five leaves in one copy."""
    return cut_sample("runner-leaves.pes")


def test_a_design_leaves_as_cut_files_with_a_report(leaves: Delivery) -> None:
    assert leaves.report.status == "cut"
    assert [piece.id for piece in leaves.report.pieces] == ["A", "B", "C", "D", "E"]
    assert {entry.name: entry.sha256 for entry in leaves.report.files} == {
        name: hashlib.sha256(data).hexdigest() for name, data in leaves.files.items()
    }


def test_the_reference_reader_measures_the_area_that_the_report_says() -> None:
    """The reader (svgelements, from PyPI) takes 96 px to the inch, as CSS does."""
    delivery = cut_sample("patch-ring.jef")
    pieces = {piece.id: piece for piece in delivery.report.pieces}
    assert {laid.piece for mat in delivery.report.mats for laid in mat.laid} == pieces.keys() == {"A"}
    for mat in delivery.report.mats:
        drawn = SVG.parse(io.BytesIO(delivery.files[mat.file]), ppi=96)
        areas = {path.id: area_mm2(path) for path in drawn.elements() if isinstance(path, SvgPath)}
        assert areas == {
            f"piece-{laid.id}": pytest.approx(pieces[laid.piece].area_mm2, rel=2e-3) for laid in mat.laid
        }


def area_mm2(path: SvgPath) -> float:
    """Area of a path with its holes: the largest subpath less the others, by the shoelace formula."""
    along = np.linspace(0, 1, 2000)
    rings = [SvgPath(subpath).npoint(along) / PX_PER_MM for subpath in path.as_subpaths()]
    areas = sorted(
        abs(np.dot(x, np.roll(y, -1)) - np.dot(y, np.roll(x, -1))) / 2 for x, y in (r.T for r in rings)
    )
    return float(areas[-1] - sum(areas[:-1]))


def test_nothing_in_a_cut_file_could_be_cut_but_the_pieces(leaves: Delivery) -> None:
    svg = ET.fromstring(leaves.files[leaves.report.mats[0].file])  # noqa: S314 - our own file
    names = {element.tag.rpartition("}")[2] for element in svg.iter()}
    assert names <= {"svg", "g", "path", "title", "desc", "defs"}


def test_the_same_job_gives_the_same_bytes() -> None:
    one, other = cut_sample("patch-ring.jef"), cut_sample("patch-ring.jef")
    assert one.files == other.files
    assert one.report == other.report


def test_a_design_without_pieces_is_no_error() -> None:
    delivery = cut_sample("sprig.dst")
    assert delivery.report.status == "nothing-to-cut"
    assert delivery.report.mats == []


def test_every_copy_of_every_piece_is_laid_once() -> None:
    usual = rules("Leaf runner")  # laid by boxes, which takes no time
    laying = usual.product.laying.model_copy(update={"effort": 0})
    quick = usual.model_copy(update={"product": usual.product.model_copy(update={"laying": laying})})
    delivery = cut([sample("runner-leaves.pes")], quick, job="j")
    laid = sorted(laid.id for mat in delivery.report.mats for laid in mat.laid)
    assert laid == sorted(f"{piece}-{copy}" for piece in "ABCDE" for copy in range(1, 5))


def test_an_order_pools_its_designs_and_names_each() -> None:
    sources = [sample("hearts.exp"), sample("patch-ring.jef")]
    report = cut(sources, rules(), job="j").report
    assert report.source is None
    assert [source.name for source in report.sources or []] == ["hearts.exp", "patch-ring.jef"]
    assert {piece.id[0] for piece in report.pieces} == {"1", "2"}


def test_one_unreadable_design_of_an_order_does_not_hold_up_the_rest() -> None:
    report = cut([sample("patch-ring.jef"), Source(name="x.dst", data=b"")], rules(), job="j").report
    assert report.status == "cut"
    assert report.findings[0].code == "unreadable-design"
    assert report.findings[0].message.startswith("x.dst was left out.")


def test_a_drop_of_nothing_readable_is_refused() -> None:
    with pytest.raises(UnreadableDesign, match="empty"):
        cut([Source(name="x.dst", data=b"")], rules(), job="j")
