"""The rulebook says what is wrong, where, and what was perhaps meant."""

from __future__ import annotations

import re
from pathlib import Path
from typing import TYPE_CHECKING, Literal, get_args, get_origin

import jsonschema
import pytest
import yaml

from piecewright.cutting.errors import RulesError
from piecewright.cutting.rules import JobRules, Section
from piecewright.daemon.rulebook import Rulebook, load, parse
from piecewright.daemon.schemas import What, schema

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from pydantic import BaseModel

CONFIG = Path(__file__).parents[2] / "config"
GOOD = """
mats: {small: {width: 12 in, height: 30 cm}}
fabrics: {moss: {label: Moss}}
products:
  - name: Runner
    tray: runners
    match: {files: ["runner*"]}
    outline: {offset: 1.5 mm}
  - name: Rest
    outline: {offset: fit}
"""


def complaint(text: str) -> str:
    with pytest.raises(RulesError) as caught:
        parse(text, "shop.yaml")
    return caught.value.message


def test_lengths_are_read_with_their_units() -> None:
    rules = parse(GOOD, "shop.yaml")
    assert rules.mats["small"].width == pytest.approx(304.8)  # 12 in of exactly 25.4 mm
    assert rules.mats["small"].height == pytest.approx(300.0)
    assert rules.products[1].outline.offset == "fit"


def test_the_first_product_that_matches_a_name_is_used() -> None:
    rules = parse(GOOD, "shop.yaml")
    names = [rules.product_for(name) for name in ("Runner 3.dst", "cat.pes")]
    assert [product.name for product in names if product] == ["Runner", "Rest"]


def test_a_tray_decides_whatever_the_name_says() -> None:
    product = parse(GOOD, "shop.yaml").product_for("cat.pes", tray="runners")
    assert product is not None
    assert product.name == "Runner"


def test_an_unknown_key_is_named_with_its_line_and_a_guess() -> None:
    text = GOOD.replace("offset: fit", "ofset: fit")
    assert complaint(text) == (
        "shop.yaml:10: products.2.outline.ofset: unknown key; perhaps you meant 'offset'."
    )


def test_a_length_without_unit_is_refused_with_an_example() -> None:
    said = complaint(GOOD.replace("1.5 mm", "1.5"))
    assert said.startswith("shop.yaml:8: products.1.outline.offset: 1.5 is not a length with a unit.")
    assert '"1.5 mm"' in said


def test_every_fault_is_said_at_once() -> None:
    said = complaint(GOOD.replace("1.5 mm", "1.5 parsecs").replace("name: Rest", "nmae: Rest"))
    assert len(said.splitlines()) == 3


def test_a_mat_that_no_product_can_find_is_named() -> None:
    said = complaint(GOOD + "    laying: {mat: smal}\n")
    assert said == (
        "shop.yaml:11: products.2.laying.mat: there is no mat 'smal' in the rules; perhaps you meant 'small'."
    )


@pytest.mark.parametrize(
    "dealing",
    [
        "fabrics: [mos]",
        "by_thread: {Green: mos}",
        "by_block: {1: mos}",
        "by_piece: {A: mos}",
        "base_fabric: mos",
    ],
)
def test_a_fabric_that_is_not_in_the_rules_is_named_with_its_line(dealing: str) -> None:
    said = complaint(f"{GOOD}    dealing:\n      {dealing}\n")
    assert said.startswith("shop.yaml:12: products.2.dealing.")
    assert "there is no fabric 'mos' in the rules; perhaps you meant 'moss'." in said


def test_two_products_of_one_name_are_refused() -> None:
    said = complaint(GOOD.replace("name: Rest", "name: Runner"))
    assert said.startswith("shop.yaml:9: products.2.name: two products are called 'Runner'")


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (
            "match: {files: rest*}",
            "products.2.match.files: must be a list in square brackets, such as [one, two]",
        ),
        ("dealing: {copies: two}", "products.2.dealing.copies: must be a whole number (found 'two')"),
        ("dealing: moss", "products.2.dealing: must be a section with keys of its own (found 'moss')"),
        ("dealing: {by_piece: moss}", "must be keys with values, such as {one: moss} (found 'moss')"),
        ("writing: {sheet: perhaps}", "products.2.writing.sheet: must be true or false (found 'perhaps')"),
        ("writing: {paper: b5}", "must be 'a4' or 'letter' (found 'b5')"),
        ("outline: {least_area: much}", "must be a number (found 'much')"),
    ],
)
def test_what_was_expected_is_said_in_words_of_the_shop(text: str, said: str) -> None:
    assert said in complaint(GOOD.replace("    outline: {offset: fit}", f"    {text}"))


def test_a_colour_that_is_none_is_refused() -> None:
    said = complaint(GOOD.replace("{label: Moss}", '{label: Moss, colour: "#6b7f4"}'))
    assert (
        said
        == "shop.yaml:3: fabrics.moss.colour: must be written like \"#6b7f45\", in quotes (found '#6b7f4')."
    )


def test_a_mat_with_no_room_inside_its_margins_is_refused() -> None:
    assert "no room inside its margins" in complaint(GOOD.replace("30 cm", "8 mm"))


def test_a_doubled_key_is_refused() -> None:
    assert complaint("show: mm\nshow: in\n").startswith(
        "shop.yaml:2: the key 'show' stands here a second time"
    )


@pytest.mark.parametrize(
    "text",
    ["a: [", "\t- x", "a: &a [*a]", "? [x]\n: 1", "a: !!python/object:os.system x", "\x00", "a: 2020-99-99"],
)
def test_what_is_no_plain_yaml_is_refused(text: str) -> None:
    assert "shop.yaml" in complaint(text)


def test_an_unreadable_file_is_refused(tmp_path: Path) -> None:
    with pytest.raises(RulesError, match="cannot be read"):
        load(tmp_path / "none.yaml")
    (tmp_path / "latin.yaml").write_bytes(b"show: \xe9")
    with pytest.raises(RulesError, match="cannot be read"):
        load(tmp_path / "latin.yaml")


def test_rules_travel_to_the_worker_unchanged() -> None:
    rulebook = load(CONFIG / "shop.yaml")
    rules = rulebook.job_rules(rulebook.products[0])
    assert JobRules.model_validate_json(rules.model_dump_json()) == rules.model_copy(
        update={"reading": JobRules.model_validate_json(rules.model_dump_json()).reading}
    )


@pytest.mark.parametrize("name", ["shop.yaml", "demo.yaml"])
def test_the_kept_rules_are_good_and_fit_their_schema(name: str) -> None:
    load(CONFIG / name)
    data = yaml.safe_load((CONFIG / name).read_text(encoding="utf-8"))
    jsonschema.validate(data, yaml.safe_load(schema("rules")))


@pytest.mark.parametrize("what", ["rules", "order", "report"])
def test_the_kept_schemas_are_what_the_models_say(what: What) -> None:
    assert (CONFIG / f"{what}.schema.json").read_text(encoding="utf-8") == schema(what)


def options(model: type[BaseModel], prefix: str = "") -> Iterator[str]:
    for name, field in model.model_fields.items():
        yield name
        for inner in (field.annotation, *getattr(field.annotation, "__args__", ())):
            if isinstance(inner, type) and issubclass(inner, Section):
                yield from options(inner, prefix + name)


def choices(model: type[BaseModel]) -> Iterator[tuple[str, list[str]]]:
    """Options that take one of some words, alone or in a list, with the words."""
    for name, field in model.model_fields.items():
        for inner in (field.annotation, *get_args(field.annotation)):
            words = [word for word in get_args(inner) if isinstance(word, str)]
            if get_origin(inner) is Literal:
                yield name, words
            elif isinstance(inner, type) and issubclass(inner, Section):
                yield from choices(inner)


def test_the_shop_rules_show_every_option() -> None:
    text = (CONFIG / "shop.yaml").read_text(encoding="utf-8")
    assert [name for name in options(Rulebook) if f"{name}:" not in text] == []


def test_the_shop_rules_show_every_choice_of_an_option() -> None:
    """Where an option takes one of some words, all of them stand in its line."""
    text = (CONFIG / "shop.yaml").read_text(encoding="utf-8")
    lines = re.sub(r"\n +# ", " ", text).splitlines()  # a comment may go on below

    def shown(name: str, words: Sequence[str]) -> bool:
        return any(f"{name}:" in line and all(word in line for word in words) for line in lines)

    assert [name for name, words in choices(Rulebook) if not shown(name, words)] == []


def test_the_shop_rules_show_the_defaults() -> None:
    shown = load(CONFIG / "shop.yaml").products[0]
    plain = parse("mats: {standard: {width: 12 in, height: 12 in}}\nproducts: [{name: Everything else}]", "x")
    said = plain.products[0].model_dump()
    said["laying"]["mat"] = "standard"
    assert shown.model_dump() == said


def test_aliases_inside_aliases_are_refused_before_they_fill_the_memory() -> None:
    levels = "".join(
        f"{chr(98 + n)}: &{chr(98 + n)} [{', '.join([f'*{chr(97 + n)}'] * 9)}]\n" for n in range(9)
    )
    with pytest.raises(RulesError, match="the file says more than 100,000 things"):
        parse(f"a: &a [x]\n{levels}", "shop.yaml")


@pytest.mark.parametrize(
    "tray", ["../done", "a/b", "/etc", ".", "..", ".hidden", "a\\\\b", "a\\nb", " a", "C:", "x" * 300]
)
def test_a_tray_that_leads_out_of_the_inbox_is_refused(tray: str) -> None:
    rules = f'mats: {{s: {{width: 12 in, height: 12 in}}}}\nproducts: [{{name: A, tray: "{tray}"}}]\n'
    with pytest.raises(RulesError, match="is no plain folder name"):
        parse(rules, "shop.yaml")


@pytest.mark.parametrize("folders", ["inbox: ../x", "done: ''", "outbox: DONE", "work: a/b"])
def test_folders_that_cannot_be_used_are_refused_when_the_rules_are_read(folders: str) -> None:
    rules = f"inbox: {{{folders}}}\nmats: {{s: {{width: 12 in, height: 12 in}}}}\nproducts: [{{name: A}}]\n"
    with pytest.raises(RulesError, match=r"folder name|the same name"):
        parse(rules, "shop.yaml")
