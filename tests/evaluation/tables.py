"""The figures as text."""

from __future__ import annotations

from collections import defaultdict
from itertools import pairwise
from typing import TYPE_CHECKING

from tests.evaluation.scoring import totals

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from tests.evaluation.scoring import Result

BINS = (0.0, 0.2, 0.4, 0.6, 0.8, 0.9, 0.95, 1.0001)


def summary(results: Sequence[Result]) -> str:
    """All tables one after the other."""
    parts = [_figures(results), _situations(results), _confusion(results)]
    parts.append(_calibration("piece confidence", [s for r in results for s in r.stated]))
    parts.append(_calibration("pass confidence", [s for r in results for s in r.stated_roles]))
    parts.append(_failures(results))
    return "\n\n".join(parts)


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


def _calibration(title: str, stated: Iterable[tuple[float, float]]) -> str:
    every = list(stated)
    lines = [f"{title:22}{'n':>7}{'stated':>9}{'observed':>10}"]
    for low, high in pairwise(BINS):
        inside = [(c, right) for c, right in every if low <= c < high]
        if inside:
            n = len(inside)
            mean, seen = sum(c for c, _ in inside) / n, sum(right for _, right in inside) / n
            lines.append(f"  {low:.2f} to {min(high, 1.0):.2f}        {n:7}{mean:9.3f}{seen:10.3f}")
    return "\n".join(lines)


def _failures(results: Sequence[Result]) -> str:
    lines = ["designs not wholly right"]
    for r in results:
        if not r.right:
            ious = " ".join(f"{iou:.3f}" for iou in r.ious)
            lines.append(f"  {r.case}: {r.true} true, {r.cut} cut, {r.hits} right; overlap {ious or '-'}")
    return "\n".join(lines)
