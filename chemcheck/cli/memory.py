"""How a run uses memory."""

import gc
import os

# Read by numpy when it is imported.
HUGE_PAGES = "NUMPY_MADVISE_HUGEPAGE"
# New objects before garbage is looked for, and how often older ones are looked at too.
COLLECT_AFTER = (100_000, 50, 50)


def prefer_small_pages() -> None:
    """Keep numpy from asking Linux for huge pages, unless the user's environment says.

    A run touches most of its memory once or twice and then ends. Assembling pages of 2 MiB
    for that costs more than it saves; where memory is scattered, as on a machine that does
    other work too, a check of a million samples spent a third to a half of its time on it.
    It must be called before numpy is imported.
    """
    os.environ.setdefault(HUGE_PAGES, "0")


def collect_seldom() -> None:
    """Look for garbage seldom: a run ends soon, and importing makes much that is none.

    Looking through all that the libraries made while they were imported took a tenth of the
    time of a small check.
    """
    gc.set_threshold(*COLLECT_AFTER)
