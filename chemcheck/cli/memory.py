"""How a run asks the operating system for memory."""

import os

# Read by numpy when it is imported.
HUGE_PAGES = "NUMPY_MADVISE_HUGEPAGE"


def prefer_small_pages() -> None:
    """Keep numpy from asking Linux for huge pages, unless the user's environment says.

    A run touches most of its memory once or twice and then ends. Assembling pages of 2 MiB
    for that costs more than it saves; where memory is scattered, as on a machine that does
    other work too, a check of a million samples spent a third to a half of its time on it.
    It must be called before numpy is imported.
    """
    os.environ.setdefault(HUGE_PAGES, "0")
