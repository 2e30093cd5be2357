"""The command line: arguments and wiring only.

Exit codes: 0 all well; 1 something was refused or set aside, see its report; 2 wrong arguments;
3 the rules cannot be used; 4 the machine failed (a folder cannot be written); 130 interrupted.
"""

from __future__ import annotations

import argparse
import json
import os
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Final

from piecewright.cutting.errors import PiecewrightError, RulesError

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from piecewright.daemon.outcome import Outcome
    from piecewright.daemon.rulebook import Rulebook

DEFAULT_RULES: Final = Path("config/shop.yaml")
OK: Final = 0
REFUSED: Final = 1
BAD_RULES: Final = 3
MACHINE_FAILED: Final = 4
INTERRUPTED: Final = 130


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command and give its exit code."""
    options = _parser().parse_args(arguments)
    command: Callable[[argparse.Namespace], int] = options.run
    try:
        return command(options)
    except RulesError as error:
        return _complain(error, BAD_RULES)
    except PiecewrightError as error:
        return _complain(error, REFUSED)
    except OSError as error:
        what = f"{error.filename}: {error.strerror}" if error.filename else str(error)
        _warn(f"piecewright: {what}.\nCheck that it is there, can be written and has room.\n")
        return MACHINE_FAILED
    except KeyboardInterrupt:
        return INTERRUPTED


def _watch(options: argparse.Namespace) -> int:
    """Watch the inbox until told to stop."""
    from piecewright.daemon import service  # noqa: PLC0415 - only what a command needs is imported

    return service.watch(options.config, root=options.root)


def _once(options: argparse.Namespace) -> int:
    """Work through what lies in the inbox, then end."""
    from piecewright.daemon.once import once, take_copies  # noqa: PLC0415 - only what a command needs is imported

    rulebook = _rulebook(options)
    if options.take_from is not None:
        take_copies(options.take_from, rulebook)
    outcomes = once(rulebook, progress=_ignore if options.json else _say_outcome)
    if options.json:
        _write_json([outcome.as_json() for outcome in outcomes])
    else:
        _say(_in_short(outcomes, rulebook.inbox.path("outbox")))
    return OK if all(outcome.status != "refused" for outcome in outcomes) else REFUSED


def _in_short(outcomes: Sequence[Outcome], outbox: Path) -> str:
    """What to look at when all is done."""
    if not outcomes:
        return "The inbox was empty."
    drops = "1 drop" if len(outcomes) == 1 else f"{len(outcomes)} drops"
    return f"{drops} worked through. For an overview open {outbox / 'index.html'}"


def _status(options: argparse.Namespace) -> int:
    """Show the inbox, the jobs in work and the latest ones."""
    from piecewright.daemon import logs  # noqa: PLC0415 - only what a command needs is imported
    from piecewright.daemon.status import status  # noqa: PLC0415 - likewise

    logs.set_up(level="warning")
    seen = status(_rulebook(options))
    if options.json:
        _write_json(seen.as_json())
    else:
        _say("\n".join(seen.lines()))
    return OK


def _redo(options: argparse.Namespace) -> int:
    """Put a job's original back in the inbox, to be cut by today's rules; the job itself stays."""
    from piecewright.daemon.printable import printable  # noqa: PLC0415 - only what a command needs is imported
    from piecewright.daemon.redo import redo  # noqa: PLC0415 - likewise

    entries = [printable(str(path)) for path in redo(_rulebook(options), options.job)]
    if options.json:
        _write_json(entries)
    else:
        _say("\n".join(f"In the inbox again: {entry}" for entry in entries))
    return OK


def _inspect(options: argparse.Namespace) -> int:
    """Show what is understood of one design, as a table and as a picture."""
    from piecewright.daemon import trial  # noqa: PLC0415 - only what a command needs is imported

    without_rules = options.config == DEFAULT_RULES and not DEFAULT_RULES.exists()
    seen = trial.look(options.file, None if without_rules else _rulebook(options))
    if options.picture is not None:
        options.picture.write_bytes(seen.picture)
    if options.json:
        _write_json(seen.rows)
    else:
        _say(seen.text)
    return OK


def _check(options: argparse.Namespace) -> int:
    """Validate the rules."""
    rulebook = _rulebook(options)
    if options.json:
        _write_json(rulebook.model_dump(mode="json"))
        return OK
    _say(f"{options.config}: the rules are good.")
    for product in rulebook.products:
        _say(
            f"  {product.name}: files {', '.join(product.match.files)}"
            + (f", tray {product.tray}" if product.tray else "")
        )
    return OK


def _schema(options: argparse.Namespace) -> int:
    """Print the JSON Schema of the rules or of the report."""
    from piecewright.daemon.schemas import schema  # noqa: PLC0415 - only what a command needs is imported

    sys.stdout.write(schema(options.what))
    return OK


def _library(options: argparse.Namespace) -> int:
    """Cut every design of a folder, on all cores or on a cluster; a later run goes on where it ended."""
    from piecewright.daemon import library  # noqa: PLC0415 - only what a command needs is imported
    from piecewright.daemon.library import table  # noqa: PLC0415 - likewise

    into = options.into or options.folder.with_name(f"{options.folder.name}-cut")
    tasks, passed_over = library.plan(options.folder, into, _rulebook(options))
    with (
        library.executor_for(jobs=options.jobs, cluster=options.cluster) as (executor, slots),
        table.progress(len(tasks), shown=not options.json) as advance,
    ):
        summary = library.work_through(tasks, into, executor, slots, progress=advance)
    if options.json:
        _write_json(summary.as_json())
    else:
        table.show(summary, into, passed_over)
    return OK if summary.all_well else REFUSED


def _rulebook(options: argparse.Namespace) -> Rulebook:
    from piecewright.daemon.rulebook import load  # noqa: PLC0415 - `--help` needs no rules

    return load(options.config, root=options.root)


def _parser() -> argparse.ArgumentParser:
    common = argparse.ArgumentParser(add_help=False)
    common.add_argument("--config", type=Path, default=DEFAULT_RULES, metavar="FILE", help="the rules (YAML)")
    common.add_argument(
        "--root", type=Path, metavar="DIR", help="put all five folders under DIR, whatever the rules say"
    )
    common.add_argument("--json", action="store_true", help="answer as JSON, for programs")
    parser = argparse.ArgumentParser(
        prog="piecewright", description="Cut files for appliqué pieces, from stitch files, unattended."
    )
    commands = parser.add_subparsers(required=True, metavar="COMMAND")

    def command(name: str, run: Callable[[argparse.Namespace], int]) -> argparse.ArgumentParser:
        help_line = (run.__doc__ or "").strip()
        made = commands.add_parser(name, parents=[common], help=help_line, description=help_line)
        made.set_defaults(run=run)
        return made

    command("watch", _watch)
    once = command("once", _once)
    once.add_argument(
        "--take-from", type=_there, metavar="DIR", help="first copy what lies in DIR into the inbox"
    )
    inspect = command("inspect", _inspect)
    inspect.add_argument("file", type=_there, metavar="FILE")
    inspect.add_argument("--picture", type=Path, metavar="FILE.svg", help="also draw it")
    command("status", _status)
    command("redo", _redo).add_argument("job", metavar="JOB", help="its id, or its folder in the outbox")
    library = command("library", _library)
    library.add_argument("folder", type=_there, metavar="FOLDER")
    library.add_argument("--into", type=Path, metavar="DIR", help="where results go; FOLDER-cut if left out")
    library.add_argument("--jobs", type=int, metavar="N", help="how many at once; all cores if left out")
    library.add_argument("--cluster", default="", metavar="ADDRESS", help="of a Dask scheduler")
    command("check", _check)
    whats = ("rules", "order", "report")
    command("schema", _schema).add_argument("what", choices=whats, nargs="?", default="rules")
    return parser


def _there(text: str) -> Path:
    """A file or folder that exists."""
    if not Path(text).exists():
        message = f"there is no {text}; check its name and its folder"
        raise argparse.ArgumentTypeError(message)
    return Path(text)


def _say_outcome(outcome: Outcome) -> None:
    _say(outcome.line())


def _ignore(outcome: Outcome) -> None:
    """With --json nothing but JSON is printed."""


def _say(line: str) -> None:
    """Print a line; a reader that has gone away (``| head``) or a full disk must not hold up the jobs."""
    try:
        sys.stdout.write(line + "\n")
        sys.stdout.flush()
    except OSError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


def _write_json(value: object) -> None:
    _say(json.dumps(value, indent=2, ensure_ascii=False))


def _complain(error: PiecewrightError, code: int) -> int:
    _warn(f"piecewright: {error.message}\n{error.advice}\n")
    return code


def _warn(text: str) -> None:
    if sys.stderr is not None:  # Windows gives programs without a window none
        sys.stderr.write(text)


if __name__ == "__main__":
    sys.exit(main())
