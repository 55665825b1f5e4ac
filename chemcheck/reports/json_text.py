"""Values of columns as JSON, without a loop over rows."""

import json
from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np
import pyarrow as pa
import pyarrow.compute as pc

from chemcheck.reports.text_pieces import concatenated

# What cannot stand in a JSON string as it is.
_MUST_ESCAPE = r'["\\\x00-\x1f\x7f]'


def json_strings(texts: pa.Array) -> pa.LargeStringArray:
    r"""Write texts as JSON strings, null as null.

    Parameters
    ----------
    texts : pyarrow string array
        Untrusted.

    Returns
    -------
    pyarrow large_string array
        With quotes; escaped where it must be.

    Examples
    --------
    >>> json_strings(pa.array(["A-7", 'a "b"', None])).to_pylist()
    ['"A-7"', '"a \\"b\\""', 'null']
    """
    texts = pc.cast(texts, pa.large_string())
    special = pc.fill_null(pc.match_substring_regex(texts, _MUST_ESCAPE), False)
    quoted = concatenated('"', texts, '"')
    if pc.any(special).as_py():
        # Only the odd texts are escaped one by one.
        at = np.flatnonzero(special.to_numpy(zero_copy_only=False))
        escaped = [
            json.dumps(text, ensure_ascii=False) for text in texts.take(pa.array(at)).to_pylist()
        ]
        quoted = pc.replace_with_mask(quoted, special, pa.array(escaped, pa.large_string()))
    return pc.fill_null(quoted, "null")


def json_value(value: Any) -> str:
    """Write a value; NaN and infinity are null.

    Examples
    --------
    >>> json_value({"share": float("nan"), "count": 3})
    '{"share": null, "count": 3}'
    """
    return json.dumps(_finite(value), ensure_ascii=False, allow_nan=False)


def json_document(document: Mapping[str, Any]) -> str:
    """Write a whole document for people too; NaN and infinity are null.

    Examples
    --------
    >>> print(json_document({"share": float("nan"), "count": 3}), end="")
    {
     "share": null,
     "count": 3
    }
    """
    return json.dumps(_finite(document), ensure_ascii=False, allow_nan=False, indent=1) + "\n"


def _finite(value: Any) -> Any:
    """Return a value that JSON can hold."""
    if isinstance(value, Mapping):
        return {str(key): _finite(item) for key, item in value.items()}
    if isinstance(value, Sequence) and not isinstance(value, str):
        return [_finite(item) for item in value]
    if isinstance(value, np.generic):
        value = value.item()
    if isinstance(value, float) and not np.isfinite(value):
        return None
    return value
