"""A whole library of designs, cut on all cores of this machine or of several.

Terms: a *library* is a folder of designs in folders; a *task* is one design of it, in the format that
says most; the *record* is the list of finished tasks, a line each, by which a run goes on where an
earlier one ended.

Locally and on a cluster the same function works on a task (``task.work_on``); only the executor that
calls it differs.
"""

from piecewright.daemon.library.run import Summary, executor_for, work_through
from piecewright.daemon.library.task import Result, Task, plan, work_on

__all__ = ["Result", "Summary", "Task", "executor_for", "plan", "work_on", "work_through"]
