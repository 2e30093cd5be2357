"""The rulebook: the shop's YAML file, checked and turned into rules.

Terms: the *rulebook* is the whole file; the *rules* of a job are the part that its product needs.
"""

from __future__ import annotations

import fnmatch
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Final, Literal, get_args

from pydantic import BaseModel, Field, ValidationError

from piecewright.cutting.errors import RulesError
from piecewright.cutting.rules import Duration, Fabric, JobRules, Mat, Product, ReadingRules, Section, Size
from piecewright.daemon.folders import FolderError, Folders, is_plain_name
from piecewright.daemon.yamlfaults import fault, fault_of, key_of, perhaps
from piecewright.daemon.yamlfile import Key, read_yaml

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence

    from pydantic_core import ErrorDetails

_WHOLE: Final = "the rules"
_MEND: Final = "Mend these lines; `piecewright check` reads them again."


class FolderRules(Section):
    """The five folders under one root on one filesystem, and how they are watched."""

    root: Path = Field(default=Path("piecewright"), description="Relative to the rulebook's folder.")
    inbox: str = "inbox"
    work: str = "work"
    outbox: str = "outbox"
    done: str = "done"
    failed: str = "failed"
    sweep: Duration = Field(default=5.0, gt=0, le=600, description="The folder is looked through this often.")
    settle: Duration = Field(default=3.0, ge=0, description="A file must be unchanged for this long.")
    settle_slow: Duration = Field(default=10.0, ge=0, description="The same for folders and for shares.")
    share: bool = Field(default=False, description="The inbox is a network share: no events, slow settling.")

    def path(self, which: Literal["inbox", "work", "outbox", "done", "failed"]) -> Path:
        """One of the five folders."""
        name: str = getattr(self, which)
        return self.root / name


class LimitRules(ReadingRules):
    """What a job may take from the machine."""

    memory: Size = Field(default=1_000_000_000, gt=0, description="Address space of a worker.")
    job_time: Duration = Field(default=300.0, gt=0, description="Wall time of a job, then it is ended.")
    attempts: int = Field(default=3, ge=1, le=10, description="Tries before a drop is set aside.")
    workers: int = Field(default=1, ge=1, le=64, description="Jobs worked on at once.")


class KeepRules(Section):
    """Housekeeping of done/, failed/ and outbox/; off where a value is 0."""

    done_for: Duration = 0.0
    failed_for: Duration = 0.0
    outbox_for: Duration = 0.0
    done_bytes: Size = 0


class Rulebook(Section):
    """Everything that the shop has set."""

    show: Annotated[Literal["mm", "in"], Field(description="The unit in which the shop reads lengths.")] = (
        "mm"
    )
    inbox: FolderRules = FolderRules()
    limits: LimitRules = LimitRules()
    keep: KeepRules = KeepRules()
    mats: dict[str, Mat] = Field(min_length=1)
    fabrics: dict[str, Fabric] = Field(default={})
    products: tuple[Product, ...] = Field(min_length=1)

    def product_for(self, name: str, *, tray: str = "") -> Product | None:
        """The first product that a drop matches: by its tray if it lies in one, else by its name."""
        for product in self.products:
            if tray and product.tray == tray:
                return product
        if tray:
            return None
        return next((p for p in self.products if _matches(name, p.match.files)), None)

    def job_rules(self, product: Product) -> JobRules:
        """What a job of this product needs to know."""
        return JobRules(
            show=self.show, reading=self.limits, mats=self.mats, fabrics=self.fabrics, product=product
        )


def load(path: Path, *, root: Path | None = None) -> Rulebook:
    """Read and check a rulebook.

    Args:
        path: The YAML file.
        root: Puts the five folders there whatever the rules say.

    Raises:
        RulesError: With every fault found, each with file, line, key, and what was expected.
    """
    return understood(read_text(path), path, root=root)


def read_text(path: Path) -> str:
    """The text of a rulebook.

    Raises:
        RulesError: If it cannot be read.
    """
    try:
        return path.read_text(encoding="utf-8")
    except FileNotFoundError as error:
        message = f"The rules {path} cannot be read: there is no such file."
        raise RulesError(message, "Name the shop's rules with --config, or copy config/shop.yaml.") from error
    except (OSError, UnicodeDecodeError) as error:
        message = f"The rules {path} cannot be read: {error}."
        raise RulesError(message, "Name a readable UTF-8 file with --config.") from error


def understood(text: str, path: Path, *, root: Path | None = None) -> Rulebook:
    """The rules that a text says, with its folders where they belong; see ``load``.

    Raises:
        RulesError: If they cannot be used.
    """
    rulebook = parse(text, str(path))
    folders = rulebook.inbox
    home = root if root is not None else path.parent / folders.root
    return rulebook.model_copy(update={"inbox": folders.model_copy(update={"root": home.resolve()})})


def parse(text: str, name: str) -> Rulebook:
    """Check the text of a rulebook; ``name`` stands in the messages.

    Raises:
        RulesError: See ``load``.
    """
    file = read_yaml(text, name)
    try:
        rulebook = Rulebook.model_validate(file.data)
    except ValidationError as error:
        faults = [
            fault_of(details, file, whole=_WHOLE, siblings=_siblings(key_of(details, file)))
            for details in _worth_saying(error.errors())
        ]
        raise RulesError("\n".join(faults), _MEND) from error
    faults = [fault(file, key, said, whole=_WHOLE) for key, said in _contradictions(rulebook)]
    if faults:
        raise RulesError("\n".join(faults), _MEND)
    return rulebook


def _matches(name: str, patterns: Sequence[str]) -> bool:
    return any(fnmatch.fnmatchcase(name.lower(), pattern.lower()) for pattern in patterns)


def _contradictions(rulebook: Rulebook) -> Iterator[tuple[Key, str]]:
    """What each section may say but the rulebook as a whole may not, each with its key."""
    yield from _odd_folders(rulebook)
    names = [product.name for product in rulebook.products]
    for number, product in enumerate(rulebook.products):
        here: Key = ("products", number)
        if product.name in names[:number]:
            yield (*here, "name"), f"two products are called {product.name!r}; give each its own name"
        if product.laying.mat and product.laying.mat not in rulebook.mats:
            yield (*here, "laying", "mat"), _unknown("mat", product.laying.mat, rulebook.mats)
        for key, fabric in _fabrics_named(product):
            if fabric not in rulebook.fabrics:
                yield (*here, "dealing", *key), _unknown("fabric", fabric, rulebook.fabrics)
    for name, mat in rulebook.mats.items():
        if min(mat.width, mat.height) <= 2 * mat.margin:
            yield ("mats", name), "no room inside its margins; make the mat larger or the margin smaller"


def _odd_folders(rulebook: Rulebook) -> Iterator[tuple[Key, str]]:
    """Names that would lead out of the root or of the inbox."""
    try:
        Folders.of(rulebook.inbox)
    except FolderError as error:
        yield ("inbox",), str(error)
    for number, product in enumerate(rulebook.products):
        if product.tray and not is_plain_name(product.tray):
            yield (
                ("products", number, "tray"),
                f"{product.tray!r} is no plain folder name, such as rush orders",
            )


def _fabrics_named(product: Product) -> Iterator[tuple[Key, str]]:
    """The fabrics that a product deals, each with its key below ``dealing``."""
    dealing = product.dealing
    for number, fabric in enumerate(dealing.fabrics):
        yield ("fabrics", number), fabric
    for way in ("by_thread", "by_block", "by_piece"):
        for key, fabric in getattr(dealing, way).items():
            yield (way, str(key)), fabric
    if dealing.base_fabric:
        yield ("base_fabric",), dealing.base_fabric


def _unknown(what: str, name: str, known: Iterable[str]) -> str:
    return f"there is no {what} {name!r} in the rules{perhaps(name, known)}"


def _worth_saying(errors: Sequence[ErrorDetails]) -> list[ErrorDetails]:
    """Without "too short" for a list whose entries are themselves at fault."""

    def follows(details: ErrorDetails) -> bool:
        depth = len(details["loc"])
        inner = (other["loc"] for other in errors if len(other["loc"]) > depth)
        return details["type"] == "too_short" and any(loc[:depth] == details["loc"] for loc in inner)

    return [details for details in errors if not follows(details)]


def _siblings(key: Key) -> tuple[str, ...]:
    """The keys that the section of a key may have."""
    annotation: object = Rulebook
    for part in key[:-1]:
        annotation = _step_into(annotation, part)
    section = _is_section(annotation)
    return tuple(section.model_fields) if section is not None else ()


def _step_into(annotation: object, part: str | int) -> object:
    """What a section, mapping or list of the rules holds under a key."""
    section = _is_section(annotation)
    if section is not None:
        field = section.model_fields.get(str(part))
        return field.annotation if field is not None else None
    inner = (argument for argument in get_args(annotation) if _is_section(argument) is not None)
    return next(inner, None)


def _is_section(annotation: object) -> type[BaseModel] | None:
    """The annotation as a section of the rules, if it is one."""
    return annotation if isinstance(annotation, type) and issubclass(annotation, BaseModel) else None
