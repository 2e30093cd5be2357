"""Which files a job writes, and what they are called."""

from __future__ import annotations

from piecewright.cutting.cutfiles import paper_templates, write_cut_files
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


def test_pen_letters_are_a_file_of_their_own() -> None:
    assert names(pen_labels=True)[:2] == [
        "Herb-bed_Moss-linen_mat-1.svg",
        "Herb-bed_Moss-linen_mat-1-pen.svg",
    ]


def test_the_paper_template_shows_all_pieces_once_and_belongs_to_no_mat() -> None:
    assert names(formats=("pdf",)) == ["Herb-bed_paper-template.pdf"]


def test_without_pieces_nothing_is_printed() -> None:
    chosen = rules(formats=("pdf",))
    assert write_cut_files(layout(), paper_templates([], {}, chosen), chosen) == ()


def test_nothing_is_printed_unless_asked_for() -> None:
    assert paper_templates([demand(leaf(60))], {}, rules(formats=("svg",))) == ()
