"""What a claimed drop holds: files, folders, packs, hostile zips, orders."""

from __future__ import annotations

import json
import os
import stat
import zipfile
from typing import TYPE_CHECKING

import jsonschema
import pytest
import yaml

from piecewright.cutting.errors import LimitPassed, PiecewrightError, RefusedFormat
from piecewright.cutting.rules import DealingRules, Fabric, JobRules, Mat, Product, ReadingRules
from piecewright.daemon.drops import Drop, Order, OrderError, RefusedDrop, open_drop
from piecewright.daemon.rulebook import load
from piecewright.daemon.schemas import schema
from tests.samples.make_samples import FOLDER as SAMPLES

if TYPE_CHECKING:
    from pathlib import Path

CONFIG = SAMPLES.parent / "config"


def rules(**limits: int) -> JobRules:
    return JobRules(
        reading=ReadingRules().model_copy(update=limits),
        mats={"standard": Mat(width="12 in", height="12 in"), "long": Mat(width="12 in", height="24 in")},
        fabrics={"moss": Fabric(), "plum": Fabric(), "gold": Fabric(), "batting": Fabric()},
        product=Product(name="Anything", dealing=DealingRules(copies=4, fabrics=("moss",))),
    )


def write(folder: Path, files: dict[str, bytes]) -> Path:
    for name, data in files.items():
        target = folder / name
        target.parent.mkdir(parents=True, exist_ok=True)
        target.write_bytes(data)
    return folder


def write_zip(path: Path, files: dict[str, bytes], method: int = zipfile.ZIP_DEFLATED) -> Path:
    path.parent.mkdir(exist_ok=True)
    with zipfile.ZipFile(path, "w", method) as archive:
        for name, data in files.items():
            archive.writestr(name, data)
    return path.parent


def names(drop: Drop) -> list[str]:
    return [source.name for source in drop.sources]


def refusal(folder: Path, job: JobRules | None = None) -> PiecewrightError:
    before = sorted(p.relative_to(folder).as_posix() for p in folder.rglob("*"))
    with pytest.raises(PiecewrightError) as caught:
        open_drop(folder, job or rules())
    assert sorted(p.relative_to(folder).as_posix() for p in folder.rglob("*")) == before
    assert caught.value.blame == "drop"
    return caught.value


def test_a_single_file_is_a_drop(tmp_path: Path) -> None:
    drop = open_drop(write(tmp_path, {"boat.pes": b"stitches"}), rules())
    assert [(s.name, s.data, s.copies) for s in drop.sources] == [("boat.pes", b"stitches", 1)]
    assert drop.passed_over == ()
    assert drop.rules == rules()


def test_a_tree_gives_its_designs_in_the_order_of_their_names(tmp_path: Path) -> None:
    drop = open_drop(write(tmp_path, {"o/b/two.dst": b"2", "o/a.dst": b"1", "o/b/pic.png": b"p"}), rules())
    assert names(drop) == ["a.dst", "two.dst"]
    assert drop.passed_over == ("o/b/pic.png",)


def test_what_systems_leave_behind_is_not_even_passed_over(tmp_path: Path) -> None:
    junk = {
        ".DS_Store": b"",
        "Thumbs.db": b"",
        "__MACOSX/._boat.pes": b"",
        "._boat.pes": b"",
        "boat.pes": b"s",
    }
    drop = open_drop(write(tmp_path, junk), rules())
    assert names(drop) == ["boat.pes"]
    assert drop.passed_over == ()
    packed = write_zip(tmp_path / "z" / "pack.zip", junk)
    assert open_drop(packed, rules()).passed_over == ()


def test_the_sample_pack_gives_each_size_once(tmp_path: Path) -> None:
    (tmp_path / "boat-pack.zip").write_bytes((SAMPLES / "boat-pack.zip").read_bytes())
    drop = open_drop(tmp_path, rules())
    assert names(drop) == ["boat-pack/large/boat.pes", "boat-pack/small/boat.pes"]
    assert drop.passed_over == (
        "boat-pack/large/boat.dst",
        "boat-pack/picture.png",
        "boat-pack/read me.txt",
        "boat-pack/small/boat.dst",
    )


PACKS = [
    (["boat.pes", "boat.dst", "boat.vp3"], ["boat.pes"]),
    (["PES/boat.pes", "DST/boat.dst", "VP3 files/boat.vp3"], ["PES/boat.pes"]),
    (["boat_dst.dst", "boat-vp3.vp3"], ["boat_dst.dst"]),
    (["boat.vp3", "boat.max"], ["boat.vp3"]),
    (["boat.max"], ["boat.max"]),
    (["boat 100mm.pes", "boat 100mm.jef", "boat 150mm.jef"], ["boat 100mm.pes", "boat 150mm.jef"]),
    (["4x4/PES/boat.pes", "5x7/DST/boat.dst"], ["4x4/PES/boat.pes", "5x7/DST/boat.dst"]),
    (["Boat.PES", "boat.dst"], ["Boat.PES"]),
    (["a/boat.pes", "b/boat.pes"], ["a/boat.pes", "b/boat.pes"]),
    (["new boat.pes", "boat.pes"], ["boat.pes", "new boat.pes"]),
]


@pytest.mark.parametrize(("files", "worked_on"), PACKS)
def test_one_format_of_each_design_is_worked_on_and_sizes_are_kept_apart(
    tmp_path: Path, files: list[str], worked_on: list[str]
) -> None:
    folder = write_zip(tmp_path / "pack.zip", {name: name.encode() for name in files})
    drop = open_drop(folder, rules())
    assert [source.data.decode() for source in drop.sources] == worked_on
    assert list(drop.passed_over) == sorted(f"pack/{name}" for name in set(files) - set(worked_on))


def test_two_designs_of_one_name_and_format_are_both_worked_on(tmp_path: Path) -> None:
    drop = open_drop(write(tmp_path, {"PES/boat.pes": b"one", "PES files/boat.pes": b"other"}), rules())
    assert [source.data for source in drop.sources] == [b"other", b"one"]


def test_a_plain_copy_is_worked_on_once(tmp_path: Path) -> None:
    drop = open_drop(write(tmp_path, {"PES/boat.pes": b"one", "PES files/boat.pes": b"one"}), rules())
    assert len(drop.sources) == len(drop.passed_over) == 1


def test_zips_beside_each_other_do_not_mix(tmp_path: Path) -> None:
    write_zip(tmp_path / "sea.zip", {"boat.pes": b"1"})
    write_zip(tmp_path / "lake.zip", {"boat.pes": b"2"})
    assert names(open_drop(tmp_path, rules())) == ["lake/boat.pes", "sea/boat.pes"]


# --- hostile and broken zips --------------------------------------------------------------------


@pytest.mark.parametrize(
    "name", ["../boat.pes", "a/../../boat.pes", "/boat.pes", "C:\\boat.pes", "..\\boat.pes"]
)
def test_a_zip_that_reaches_outside_is_refused(tmp_path: Path, name: str) -> None:
    error = refusal(write_zip(tmp_path / "pack.zip", {name: b"s"}))
    assert "outside" in str(error)


@pytest.mark.parametrize("inner", ["more.zip", "more.rar", "deep/more.7z"])
def test_a_zip_with_an_archive_inside_is_refused(tmp_path: Path, inner: str) -> None:
    error = refusal(write_zip(tmp_path / "pack.zip", {"boat.pes": b"s", inner: b"PK"}))
    assert isinstance(error, RefusedDrop)
    assert "Unpack it" in error.advice


def test_a_locked_zip_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "pack.zip"
    write_zip(path, {"boat.pes": b"s"})
    data = bytearray(path.read_bytes())
    data[data.rfind(b"PK\x01\x02") + 8] |= 1  # general purpose flag, bit 0 (APPNOTE 4.4.4)
    path.write_bytes(data)
    assert "password" in refusal(tmp_path).message


def test_a_zip_that_unpacks_to_far_more_than_its_size_is_refused(tmp_path: Path) -> None:
    assert "disks" in refusal(write_zip(tmp_path / "pack.zip", {"boat.pes": bytes(50_000_000)})).message


def test_a_zip_whose_entries_share_their_bytes_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "pack.zip"
    with zipfile.ZipFile(path, "w") as archive:
        archive.writestr("boat.pes", os.urandom(10_000))
        for number in range(50):
            twin = zipfile.ZipInfo(f"boat{number}.pes")
            first = archive.filelist[0]
            twin.header_offset, twin.CRC = first.header_offset, first.CRC
            twin.compress_size = twin.file_size = first.file_size
            archive.filelist.append(twin)
        archive._didModify = True  # type: ignore[attr-defined]  # noqa: SLF001 - no public way to lie
    assert "disks" in refusal(tmp_path).message


def test_a_link_in_a_zip_is_refused(tmp_path: Path) -> None:
    link = zipfile.ZipInfo("boat.pes")
    link.create_system = 3
    link.external_attr = (stat.S_IFLNK | 0o777) << 16
    with zipfile.ZipFile(tmp_path / "pack.zip", "w") as archive:
        archive.writestr(link, "/etc/passwd")
    assert "no file" in refusal(tmp_path).message


@pytest.mark.parametrize("damage", ["empty", "no zip", "first half", "a byte"])
def test_a_broken_zip_is_refused(tmp_path: Path, damage: str) -> None:
    path = tmp_path / "pack.zip"
    write_zip(path, {"boat.pes": os.urandom(2_000)}, zipfile.ZIP_STORED)
    data = path.read_bytes()
    broken = {
        "empty": b"",
        "no zip": b"hello" * 20,
        "first half": data[: len(data) // 2],
        "a byte": data[:500] + bytes([data[500] ^ 1]) + data[501:],
    }
    path.write_bytes(broken[damage])
    error = refusal(tmp_path)
    assert isinstance(error, RefusedDrop)
    assert ("boat.pes is damaged" if damage == "a byte" else "no whole zip") in error.message
    assert "unpack it and drop the folder" in error.advice


def test_a_doubled_name_in_a_zip_is_refused(tmp_path: Path) -> None:
    with zipfile.ZipFile(tmp_path / "pack.zip", "w") as archive:
        archive.writestr("boat.pes", b"1")
        with pytest.warns(UserWarning, match="Duplicate name"):
            archive.writestr("boat.pes", b"2")
    assert "two files of one name" in refusal(tmp_path).message


def test_unusual_packing_is_refused(tmp_path: Path) -> None:
    error = refusal(write_zip(tmp_path / "pack.zip", {"boat.pes": b"s" * 99}, zipfile.ZIP_LZMA))
    assert "unusual" in error.message


@pytest.mark.parametrize("kind", ["tree", "zip"])
def test_more_files_than_the_rules_allow_are_refused(tmp_path: Path, kind: str) -> None:
    files = {f"boat{number}.pes": b"s" for number in range(11)}
    write(tmp_path, files) if kind == "tree" else write_zip(tmp_path / "pack.zip", files)
    error = refusal(tmp_path, rules(drop_files=10))
    assert isinstance(error, LimitPassed)
    assert "drop_files" in error.advice


def test_a_zip_with_a_huge_list_of_files_is_refused_before_the_list_is_read(tmp_path: Path) -> None:
    write_zip(tmp_path / "pack.zip", {f"boat{'x' * 200}{number}.txt": b"" for number in range(600)})
    error = refusal(tmp_path, rules(drop_files=100))
    assert "lists far more" in error.message


@pytest.mark.parametrize("kind", ["tree", "zip"])
def test_more_bytes_than_the_rules_allow_are_refused(tmp_path: Path, kind: str) -> None:
    files = {f"boat{number}.pes": os.urandom(1_000) for number in range(3)}
    write(tmp_path, files) if kind == "tree" else write_zip(tmp_path / "pack.zip", files)
    assert "drop_bytes" in refusal(tmp_path, rules(drop_bytes=2_500)).advice


@pytest.mark.parametrize("kind", ["tree", "zip"])
def test_of_a_design_over_the_limit_one_byte_too_many_is_read_and_no_more(tmp_path: Path, kind: str) -> None:
    files = {"boat.pes": os.urandom(5_000)}
    write(tmp_path, files) if kind == "tree" else write_zip(tmp_path / "pack.zip", files)
    drop = open_drop(tmp_path, rules(file_bytes=100))
    assert drop.sources[0].data == files["boat.pes"][:101]


# --- names and other files ------------------------------------------------------------------------


@pytest.mark.parametrize(
    "name", ["雪の舟.pes", "лодка.pes", "CON.pes", "n" * 251 + ".pes", "boat .pes", "a'b\"c.pes"]
)
def test_names_of_any_kind_come_through(tmp_path: Path, name: str) -> None:
    assert names(open_drop(write_zip(tmp_path / "p.zip", {name: b"s"}), rules())) == [name]


@pytest.mark.parametrize(("flagged", "name"), [(True, "Möwe.pes"), (False, "Möwe.pes")])
def test_names_in_a_zip_are_right_whether_marked_as_utf8_or_not(
    tmp_path: Path, name: str, *, flagged: bool
) -> None:
    path = tmp_path / "pack.zip"
    write_zip(path, {name: b"s"})
    data = bytearray(path.read_bytes())
    if not flagged:
        data[7] &= ~0x08  # local header, general purpose flag, bit 11 (APPNOTE 4.4.4)
        data[data.rfind(b"PK\x01\x02") + 9] &= ~0x08
        path.write_bytes(data)
    assert names(open_drop(tmp_path, rules())) == [name]


@pytest.mark.parametrize("names", [("ü.dst".encode(), "u\u0308.dst".encode()), (b"a\xff.dst", b"a\xfe.dst")])
def test_designs_whose_names_look_the_same_are_told_apart_by_a_number(
    tmp_path: Path, names: tuple[bytes, bytes]
) -> None:
    for name, sample in zip(names, ("patch-moon.dst", "sprig.dst"), strict=True):
        (tmp_path / os.fsdecode(name)).write_bytes((SAMPLES / sample).read_bytes())
    first, second = (source.name for source in open_drop(tmp_path, rules()).sources)
    assert second == f"{first} (2)"


def test_a_name_that_is_no_text_is_shown_with_a_mark_and_can_be_reported(tmp_path: Path) -> None:
    with open(os.fsencode(tmp_path) + b"/b\xf6at\x01.pes", "wb") as stream:  # noqa: PTH123 - bytes
        stream.write(b"s")
    (name,) = names(open_drop(tmp_path, rules()))
    assert name == "b�at�.pes"
    assert name.encode()


@pytest.mark.parametrize("kind", ["link", "folder link", "pipe"])
def test_links_and_pipes_are_refused_without_being_opened(tmp_path: Path, kind: str) -> None:
    folder = write(tmp_path / "in", {"boat.pes": b"s"})
    if kind == "pipe":
        os.mkfifo(folder / "pipe.pes")
    else:
        target = tmp_path / "elsewhere"
        target.mkdir() if kind == "folder link" else target.write_bytes(b"secret")
        (folder / "link.pes").symlink_to(target)
    assert "link, pipe or device" in refusal(folder).message


def test_folders_inside_each_other_without_end_are_refused(tmp_path: Path) -> None:
    assert "inside each other" in refusal(write(tmp_path, {"a/" * 30 + "boat.pes": b"s"})).message


def test_one_file_of_another_kind_is_refused_with_what_to_export(tmp_path: Path) -> None:
    error = refusal(write(tmp_path, {"holiday.jpg": b"s"}))
    assert isinstance(error, RefusedFormat)
    assert "Export" in error.advice


def test_one_stitch_file_without_its_ending_is_told_what_to_be_called(tmp_path: Path) -> None:
    data = (SAMPLES / "runner-leaves.pes").read_bytes()
    for name in ("leaves", "leaves.pes.download"):
        folder = write(tmp_path / name[-3:], {name: data})
        assert "is a PES file inside" in refusal(folder).message


def test_a_drop_without_a_design_says_what_it_holds(tmp_path: Path) -> None:
    assert "a.txt, b.txt" in refusal(write(tmp_path, {"a.txt": b"", "b.txt": b""})).message
    empty = tmp_path / "empty"
    empty.mkdir()
    assert refusal(empty).message == "The drop is empty."


# --- orders -----------------------------------------------------------------------------------------


def ordered(folder: Path, text: str, *designs: str) -> Path:
    return write(folder, {f"o/{name}": name.encode() for name in designs} | {"o/order.yaml": text.encode()})


def test_an_order_sets_copies_for_every_design_in_place_of_the_products(tmp_path: Path) -> None:
    drop = open_drop(ordered(tmp_path, "copies: 3", "a.pes", "b.pes"), rules())
    assert [source.copies for source in drop.sources] == [3, 3]
    assert drop.rules.product.dealing.copies == 1
    assert drop.passed_over == ()


def test_an_order_sets_copies_by_name_and_leaves_the_others_with_the_products(tmp_path: Path) -> None:
    text = 'copies: {A.PES: 2, "b*": 7, "[d].pes": 1}'
    drop = open_drop(ordered(tmp_path, text, "a.pes", "b1.pes", "b2.pes", "c.pes", "[d].pes"), rules())
    copies = {source.name: source.copies for source in drop.sources}
    assert copies == {"a.pes": 2, "b1.pes": 7, "b2.pes": 7, "c.pes": 4, "[d].pes": 1}
    assert drop.rules.product.dealing.copies == 1


def test_an_order_overrides_fabrics_and_mat_and_nothing_else(tmp_path: Path) -> None:
    text = "fabrics: [plum, gold]\nbase_fabric: batting\nmat: long\n"
    job = open_drop(ordered(tmp_path, text, "a.pes"), rules()).rules
    assert job.product.dealing == DealingRules(copies=4, fabrics=("plum", "gold"), base_fabric="batting")
    assert job.mat_name() == "long"
    assert job.product.outline == rules().product.outline


def test_fabrics_of_an_order_go_before_every_way_in_which_the_product_chooses_them(tmp_path: Path) -> None:
    chosen = {"by_piece": {"A": "plum"}, "by_block": {1: "plum"}, "by_thread": {"Moss": "plum"}}
    usual = rules().product.dealing.model_copy(update=chosen)
    product = rules().product.model_copy(update={"dealing": usual})
    shop = rules().model_copy(update={"product": product})
    dealing = open_drop(
        ordered(tmp_path, "fabrics: [gold]\nby_piece: {B: plum}", "a.pes"), shop
    ).rules.product.dealing
    assert (dealing.fabrics, dealing.by_piece) == (("gold",), {"B": "plum"})
    assert (dealing.by_block, dealing.by_thread) == ({}, {})


def test_the_sample_order_is_good(tmp_path: Path) -> None:
    for path in (SAMPLES / "saturday-order").iterdir():
        write(tmp_path, {f"saturday-order/{path.name}": path.read_bytes()})
    demo = load(CONFIG / "demo.yaml")
    drop = open_drop(tmp_path, demo.job_rules(demo.products[-1]))
    assert [(s.name, s.copies) for s in drop.sources] == [("boat.pes", 3), ("fish.exp", 2)]
    assert drop.rules.product.dealing.fabrics == ("plum", "gold")
    assert drop.rules.product.dealing.by_piece == {"1A": "rust", "1B": "sail", "1C": "sail"}


def test_the_kept_order_is_good_and_fits_its_schema_and_shows_every_key(tmp_path: Path) -> None:
    text = (CONFIG / "order.yaml").read_text(encoding="utf-8")
    shop = load(CONFIG / "shop.yaml")
    folder = ordered(tmp_path, text, "boat.pes", "fish one.dst", "wren.dst", "small/wren.dst")
    drop = open_drop(folder, shop.job_rules(shop.products[0]))
    assert {source.name: source.copies for source in drop.sources} == {
        "boat.pes": 3,
        "fish one.dst": 2,
        "o/wren.dst": 1,
    }
    assert drop.passed_over == ("o/small/wren.dst",)
    jsonschema.validate(yaml.safe_load(text), json.loads(schema("order")))
    assert set(yaml.safe_load(text)) == set(Order.model_fields)


FAULTS = [
    ("copys: 3", "o/order.yaml:1: copys: unknown key; perhaps you meant 'copies'"),
    ("\nfabrics: [plumm]", "o/order.yaml:2: fabrics: no fabric 'plumm'; perhaps you meant 'plum'"),
    ("mat: lang", "o/order.yaml:1: mat: no mat 'lang'; perhaps you meant 'long'"),
    ("base_fabric: bating", "perhaps you meant 'batting'"),
    ("\nby_piece:\n  1A: plumm", "o/order.yaml:3: by_piece.1A: no fabric 'plumm'; perhaps you meant 'plum'."),
    ("fabrics: plum", "o/order.yaml:1: fabrics: must be a list in square brackets"),
    ("copies: 0", "o/order.yaml:1: copies"),
    ("copies: {boat.pes: 0}", "leaves every design"),
    ("copies: many", "o/order.yaml:1: copies"),
    ("copies: {boat.pes: -1}", "o/order.yaml:1: copies.boat.pes"),
    ("copies: {oat.pes: 1}", "perhaps you meant 'boat.pes'"),
    ("copies: [", "no YAML"),
    ("copies: 1\ncopies: 2", "a second time"),
    ("- 3", "o/order.yaml"),
    ("copies: &n 3\nfabrics: *n", "by an alias"),
    ("fabrics: " + "[" * 5_000, "nests far too deep"),
    ("fabrics: " + "[" * 8, "o/order.yaml"),
    ("copies: !!python/object/apply:os.getcwd []", "o/order.yaml"),
]


@pytest.mark.parametrize(("text", "said"), FAULTS)
def test_a_fault_in_an_order_is_told_with_file_line_and_key(tmp_path: Path, text: str, said: str) -> None:
    error = refusal(ordered(tmp_path, text, "boat.pes"))
    assert isinstance(error, OrderError)
    assert said in error.message


def test_an_empty_order_changes_nothing(tmp_path: Path) -> None:
    assert open_drop(ordered(tmp_path, "# later\n", "boat.pes"), rules()).rules == rules()


def test_an_order_of_aliases_inside_aliases_is_refused_at_once(tmp_path: Path) -> None:
    """Ten aliases in each of thirty lines stand for ten to the thirtieth entries."""
    lines = ["a0: &a0 [moss]"] + [f"a{k}: &a{k} [{', '.join([f'*a{k - 1}'] * 10)}]" for k in range(1, 30)]
    error = refusal(ordered(tmp_path, "\n".join(lines), "boat.pes"))
    assert "alias" in error.message


@pytest.mark.parametrize(
    ("data", "said"),
    [(b"copies: \xff", "no UTF-8 text"), (b"# " + b"x" * 200_000, "200,002 bytes, more than any order")],
)
def test_an_order_that_nobody_can_have_written_is_refused(tmp_path: Path, data: bytes, said: str) -> None:
    error = refusal(write(tmp_path, {"boat.pes": b"s", "order.yaml": data}))
    assert isinstance(error, OrderError)
    assert said in error.message


def test_two_orders_in_one_drop_are_refused(tmp_path: Path) -> None:
    folder = write(tmp_path, {"a.pes": b"s", "order.yaml": b"", "b/order.yml": b""})
    assert "2 orders" in refusal(folder).message
