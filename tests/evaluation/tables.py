"""The figures as text."""

from __future__ import annotations

from collections import defaultdict
from itertools import pairwise
from typing import TYPE_CHECKING

from tests.evaluation.scoring import totals

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence

    from tests.evaluation.scoring import Result

BINS = (0.0, 0.2, 0.4, 0.6, 0.8, 0.9, 0.95, 1.0001)


def summary(results: Sequence[Result]) -> str:
    """All tables one after the other."""
    parts = [_figures(results), _situations(results), _confusion(results)]
    parts.append(reliability(results))
    parts.append(_failures(results))
    return "\n\n".join(parts)


def sums_alone(results: Sequence[Result]) -> str:
    """The tables that tell nothing of single designs."""
    return "\n\n".join((_figures(results), _confusion(results), reliability(results)))


def _figures(results: Sequence[Result]) -> str:
    sums = totals(results)
    return "\n".join(
        (
            f"designs            {len(results)}, {len({r.situation for r in results})} situations",
            f"pieces             {sums.true} true, {sums.cut} cut, {sums.hits} right",
            f"piece recall       {sums.recall:.4f}",
            f"piece precision    {sums.precision:.4f}",
            f"role accuracy      {sums.role_accuracy:.4f} of {sum(sums.roles.values())} passes",
            f"false on negatives {sums.false_on_negatives} pieces in {sums.negatives} designs",
            f"wholly right       {sum(r.right for r in results)} of {len(results)} designs",
        )
    )


def _situations(results: Sequence[Result]) -> str:
    groups: dict[str, list[Result]] = defaultdict(list)
    for result in results:
        groups[result.situation].append(result)
    lines = [f"{'situation':48}{'right':>8}{'recall':>9}{'precision':>11}{'roles':>8}"]
    for name, group in groups.items():
        s = totals(group)
        right = f"{sum(r.right for r in group)}/{len(group)}"
        lines.append(f"{name:48}{right:>8}{s.recall:9.3f}{s.precision:11.3f}{s.role_accuracy:8.3f}")
    return "\n".join(lines)


def _confusion(results: Sequence[Result]) -> str:
    """Rows: what the author meant; columns: what was found."""
    counts = totals(results).roles
    found = sorted({said for _, said in counts})
    lines = ["meant \\ found".ljust(14) + "".join(f"{name:>11}" for name in found)]
    lines += [
        f"{meant:14}" + "".join(f"{counts[meant, said] or '.':>11}" for said in found)
        for meant in sorted({meant for meant, _ in counts})
    ]
    return "\n".join(lines)


def reliability(results: Sequence[Result]) -> str:
    """What was stated beside what was observed, of pieces and of passes."""
    return "\n\n".join(
        (
            _calibration("piece confidence", [s for r in results for s in r.stated]),
            _calibration("pass confidence", [s for r in results for s in r.stated_roles]),
        )
    )


def _calibration(title: str, stated: Iterable[tuple[float, float]]) -> str:
    every = list(stated)
    lines = [f"{title:22}{'n':>7}{'stated':>9}{'observed':>10}"]
    for low, high, inside in _bins(every):
        mean, seen = _means(inside)
        lines.append(f"  {low:.2f} to {min(high, 1.0):.2f}        {len(inside):7}{mean:9.3f}{seen:10.3f}")
    lines.append(
        f"  Brier score {brier(every):.4f}, expected calibration error {calibration_error(every):.4f}"
    )
    return "\n".join(lines)


def _bins(
    stated: Sequence[tuple[float, float]],
) -> Iterator[tuple[float, float, list[tuple[float, float]]]]:
    for low, high in pairwise(BINS):
        inside = [(sure, right) for sure, right in stated if low <= sure < high]
        if inside:
            yield low, high, inside


def _means(stated: Sequence[tuple[float, float]]) -> tuple[float, float]:
    return sum(sure for sure, _ in stated) / len(stated), sum(right for _, right in stated) / len(stated)


def brier(stated: Sequence[tuple[float, float]]) -> float:
    """Mean squared distance of what was stated from what came true (G. W. Brier, 1950); 0 is best."""
    return sum((sure - right) ** 2 for sure, right in stated) / max(len(stated), 1)


def calibration_error(stated: Sequence[tuple[float, float]]) -> float:
    """How far stated and observed lie apart, in the mean over bins weighted by their counts."""
    gaps = [(len(inside), *_means(inside)) for _, _, inside in _bins(stated)]
    return sum(count * abs(mean - seen) for count, mean, seen in gaps) / max(len(stated), 1)


def _failures(results: Sequence[Result]) -> str:
    lines = ["designs not wholly right"]
    for r in results:
        if not r.right:
            ious = " ".join(f"{iou:.3f}" for iou in r.ious)
            lines.append(f"  {r.case}: {r.true} true, {r.cut} cut, {r.hits} right; overlap {ious or '-'}")
    return "\n".join(lines)
