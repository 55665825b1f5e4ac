"""Files compressed with gzip, unpacked."""

import gzip
import zlib
from io import BytesIO

from chemcheck.errors import IntakeError, Problem

MARK = b"\x1f\x8b"
_MOST = 1 << 32  # a file that unpacks to more was made to fill the memory [bytes]


def unpack(name: str, data: bytes, most: int = _MOST) -> bytes:
    """Return what was compressed.

    Parameters
    ----------
    name : str
        The file as the user named it.
    data : bytes
        It begins with `MARK`.
    most : int
        How much may come out of it [bytes].

    Raises
    ------
    IntakeError
        Where the data are damaged, cut short or unpack to more than that.

    Examples
    --------
    >>> unpack("a.csv.gz", gzip.compress(b"pH"))
    b'pH'
    """
    try:
        with gzip.GzipFile(fileobj=BytesIO(data)) as packed:
            text = packed.read(most + 1)
    except EOFError:
        problem = "the compressed file is cut short; expected the whole of it"
    except (OSError, zlib.error) as error:
        problem = f"the compressed file is damaged: {error}"
    else:
        if len(text) <= most:
            return text
        problem = f"the compressed file holds more than {most:,} bytes"
    raise IntakeError([Problem(name, None, None, "", problem)])
