"""The library of limits: sets, methods and cautions, each number with source and evidence."""

from chemcheck.limit_library.cautions import Caution, all_cautions, cautions
from chemcheck.limit_library.choose import choose
from chemcheck.limit_library.explain import LimitRow, explain, requirement_words
from chemcheck.limit_library.find import find_set, list_sets, set_ids
from chemcheck.limit_library.folder import limit_folder
from chemcheck.limit_library.load import check_file, load_set
from chemcheck.limit_library.methods import (
    check_method_file,
    default_method,
    find_method,
    methods,
    precision_of,
)
from chemcheck.limit_library.set_head import SetTitle
from chemcheck.limit_library.technologies import GLYCOLS, Technology, technologies

__all__ = [
    "GLYCOLS",
    "Caution",
    "LimitRow",
    "SetTitle",
    "Technology",
    "all_cautions",
    "cautions",
    "check_file",
    "check_method_file",
    "choose",
    "default_method",
    "explain",
    "find_method",
    "find_set",
    "limit_folder",
    "list_sets",
    "load_set",
    "methods",
    "precision_of",
    "requirement_words",
    "set_ids",
    "technologies",
]
