"""What can be tested next to tell causes apart, and the effort of each test."""

from dataclasses import dataclass
from functools import cache

from chemcheck.limit_library.scale import read_analyte
from chemcheck.limit_library.settings import check_file_node


@dataclass(frozen=True, slots=True)
class CauseTest:
    """A test that a shop or laboratory can do.

    Parameters
    ----------
    key, title : str
        As in the file.
    effort : float
        Against that of looking [1].
    tells : frozenset of str
        The analytes and findings that it reads.
    """

    key: str
    title: str
    effort: float
    tells: frozenset[str]


@cache
def cause_tests() -> tuple[CauseTest, ...]:
    """Return the tests of ``limits/checks/causes.yaml``.

    Raises
    ------
    LimitFileError
        With file, line and key of the first thing that is wrong.

    Examples
    --------
    >>> cause_tests()[0].title
    'look, smell and check the level with the system cold'
    """
    found = []
    for key, node in check_file_node("causes").mapping()["tests"].mapping().items():
        names = ("title", "effort", "tells")
        fields = node.fields(names, names)
        effort = fields["effort"].number()
        if effort <= 0:
            fields["effort"].refuse(f"expected an effort above 0, found {effort:g}")
        tells = frozenset(
            read_analyte(entry.text(), entry).key for entry in fields["tells"].entries()
        )
        found.append(CauseTest(key, fields["title"].text(), effort, tells))
    return tuple(found)
