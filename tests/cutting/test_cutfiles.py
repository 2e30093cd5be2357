"""Which files a job writes, and what they are called."""

from __future__ import annotations

import os
import subprocess
import sys
from typing import get_args

from piecewright.cutting.cutfiles import paper_templates, write_cut_files
from piecewright.cutting.formats import dxf, pdf, plt, svg
from piecewright.cutting.matformats import MAT_FORMATS
from piecewright.cutting.rules import Writable
from tests.cutting.formats.mats_by_hand import demand, laid, layout, leaf, mat, rectangle, rules


def names(**writing: object) -> list[str]:
    chosen = rules(**writing)  # type: ignore[arg-type]  # the test's own keywords
    mats = layout(mat(laid(rectangle(20, 20))), mat(laid(leaf(60, 30, 30)), fabric="rust", number=2))
    templates = paper_templates([demand(leaf(60))], {}, chosen)
    return [file.name for file in write_cut_files(mats, templates, chosen)]


def test_every_mat_is_written_in_every_format_with_its_fabric_in_the_name() -> None:
    assert names(formats=("svg", "plt")) == [
        "Herb-bed_Moss-linen_mat-1.svg",
        "Herb-bed_Moss-linen_mat-1.plt",
        "Herb-bed_rust_mat-2.svg",
        "Herb-bed_rust_mat-2.plt",
    ]


def test_files_are_named_after_what_was_dropped_so_that_two_jobs_of_a_product_differ() -> None:
    mats = layout(mat(laid(rectangle(20, 20))))
    (file,) = write_cut_files(mats, (), rules(), name="saturday order.zip")
    assert file.name == "saturday-order_Moss-linen_mat-1.svg"
    assert b"saturday order \xc2\xb7 Herb bed \xc2\xb7 Moss linen" in file.data


def test_every_format_that_a_product_may_ask_for_is_written() -> None:
    assert {*MAT_FORMATS, "pdf"} == set(get_args(Writable))


def test_pen_letters_are_a_file_of_their_own() -> None:
    assert names(pen_labels=True)[:2] == [
        "Herb-bed_Moss-linen_mat-1.svg",
        "Herb-bed_Moss-linen_mat-1-pen.svg",
    ]


def test_every_file_says_what_it_is_and_of_which_mat() -> None:
    chosen = rules(formats=("svg", "pdf", "dxf"), pen_labels=True)
    mats = layout(mat(laid(rectangle(20, 20))), mat(laid(leaf(60, 30, 30)), number=2))
    files = write_cut_files(mats, paper_templates([demand(leaf(60))], {}, chosen), chosen)
    assert [(file.kind, file.mat) for file in files] == [
        ("svg", 1),
        ("dxf", 1),
        ("pen", 1),
        ("svg", 2),
        ("dxf", 2),
        ("pen", 2),
        ("pdf", None),
    ]
    title = "Herb bed · Moss linen · mat 1".encode()
    assert all(title in file.data for file in files if file.mat == 1 and file.kind != "dxf")


def test_the_paper_template_says_how_many_of_which_fabric_by_the_shops_own_names() -> None:
    demands = [demand(leaf(60), copies=3), demand(leaf(60), fabric="rust")]
    (template,) = paper_templates(demands, {}, rules(formats=("pdf",)))
    assert template.counts == (("Moss linen", 3), ("rust", 1))


def test_the_paper_template_is_for_the_paper_and_the_unit_of_the_shop_and_named_after_drop_and_product() -> (
    None
):
    chosen = rules(formats=("pdf",)).model_copy(update={"show": "in"})
    templates = paper_templates([demand(leaf(60))], {}, chosen)
    (file,) = write_cut_files(layout(), templates, chosen, name="saturday.zip")
    assert file.data == pdf.write(templates, "saturday · Herb bed", "a4", "in")
    assert file.data != pdf.write(templates, "saturday · Herb bed", "a4", "mm")


def test_the_paper_template_shows_all_pieces_once_and_belongs_to_no_mat() -> None:
    assert names(formats=("pdf",)) == ["Herb-bed_paper-template.pdf"]


def test_without_pieces_nothing_is_printed() -> None:
    chosen = rules(formats=("pdf",))
    assert write_cut_files(layout(), paper_templates([], {}, chosen), chosen) == ()


def test_nothing_is_printed_unless_asked_for() -> None:
    assert paper_templates([demand(leaf(60))], {}, rules(formats=("svg",))) == ()


def test_an_empty_mat_has_no_lines_in_any_format() -> None:
    empty = mat()
    assert svg.read_back(svg.write(empty, "x")) == ()
    assert dxf.read_back(dxf.write(empty, "x"), empty.height_mm) == ()
    assert plt.read_back(plt.write(empty), empty.height_mm) == ()


def test_libraries_that_take_long_are_imported_when_asked_for_and_not_before() -> None:
    code = (
        "import sys; from piecewright.cutting import cutfiles; slow = {'ezdxf', 'reportlab'}\n"
        "assert not slow & set(sys.modules); cutfiles.load_libraries(); assert slow <= set(sys.modules)"
    )
    found_here = {**os.environ, "PYTHONPATH": os.pathsep.join(sys.path)}
    subprocess.run([sys.executable, "-c", code], check=True, env=found_here)
