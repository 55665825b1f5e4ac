"""Every encoding that spreadsheets and instruments write reads as the same text."""

import gzip
import io
from pathlib import Path
from types import SimpleNamespace

import pytest

from chemcheck.errors import IntakeError
from chemcheck.intake import encoding
from chemcheck.intake.compressed import unpack
from chemcheck.intake.encoding import decode, read_text

TEXT = "Gerät;Leitfähigkeit (µS/cm)\r\nKühler;7,8\r\n"


@pytest.mark.parametrize(
    ("codec", "title"),
    [
        ("utf-8", "UTF-8"),
        ("utf-8-sig", "UTF-8 with byte order mark"),
        ("utf-16", "UTF-16"),
        ("utf-16-le", "UTF-16"),
        ("utf-16-be", "UTF-16"),
        ("utf-32", "UTF-32"),
        ("cp1252", "Windows-1252"),
    ],
)
@pytest.mark.parametrize("chunk", [1 << 22, 7])
def test_same_text_in_every_encoding(codec, title, chunk, monkeypatch):
    monkeypatch.setattr(encoding, "_CHUNK", chunk)  # characters cut between two pieces
    file = decode("a.csv", TEXT.encode(codec))
    assert file.data.decode() == TEXT
    assert file.encoding == title
    assert not file.mixed


def test_mixed_encodings_keep_what_can_be_read():
    file = decode("a.csv", "µS;Gerät\n".encode() + "Kühler;1\n".encode("cp1252"))
    assert file.mixed
    assert file.data.decode() == "µS;Gerät\nK\N{REPLACEMENT CHARACTER}hler;1\n"


def test_end_mark_of_old_systems_is_no_row():
    assert decode("a.csv", b"pH\r\n7.8\r\n\x1a").data == b"pH\r\n7.8\r\n"


def test_utf16_cut_in_half_a_character_keeps_the_rest():
    assert decode("a.csv", "pH\n7.8\n".encode("utf-16")[:-1]).data == b"pH\n7.8"


# Without the second in which it was packed, so that a test keeps its name.
PACKED = gzip.compress(TEXT.encode(), mtime=0)


@pytest.mark.parametrize(
    ("data", "message"),
    [
        (b"", r"^a\.csv: the file is empty"),
        (b" \r\n\n", "the file is empty"),
        (b"PK\x03\x04....", "spreadsheet workbook or zip archive; save the sheet as CSV"),
        (b"%PDF-1.7", "a PDF"),
        (b"pH\n7.8\n\0\0\0\0\n", r"^a\.csv, row 3: zero bytes"),
        (bytes(range(1, 256)) * 4, "no text but binary data"),
        (b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR", "zero bytes"),
        (b"pH\n7.8 \x81\xff\n", r"row 2: the encoding is not known.*0x81"),
        ("pH\n7,8\n".encode("utf-16") + b"\x00\xd8a\0", r"row 3: this is not UTF-16"),
    ],
)
def test_no_text_is_one_clear_line(data, message):
    with pytest.raises(IntakeError, match=message) as caught:
        decode("a.csv", data)
    assert "\n" not in str(caught.value)


@pytest.mark.parametrize("codec", ["utf-8", "utf-16", "cp1252"])
def test_compressed_file_reads_as_the_file_in_it(tmp_path: Path, codec):
    plain, packed = tmp_path / "a.csv", tmp_path / "a.csv.gz"
    plain.write_bytes(TEXT.encode(codec))
    # Two members one after the other are one file (RFC 1952, section 2.2).
    halves = plain.read_bytes()[:20], plain.read_bytes()[20:]
    packed.write_bytes(b"".join(map(gzip.compress, halves)))
    assert read_text(packed).data == read_text(plain).data
    assert read_text(packed).encoding == f"gzipped {read_text(plain).encoding}"


@pytest.mark.parametrize(
    ("data", "message"),
    [
        (gzip.compress(TEXT.encode(), mtime=0)[:-9], "cut short"),
        (
            gzip.compress(TEXT.encode(), mtime=0)[:12] + b"x" * 40,
            "the compressed file is damaged: ",
        ),
        (b"\x1f\x8b", "cut short"),
        (gzip.compress(b"0" * 1001, mtime=0), "holds more than 1,000 bytes"),
        (gzip.compress(b"", mtime=0), None),
    ],
)
def test_compressed_file_that_cannot_be_unpacked(tmp_path: Path, data, message):
    if message is None:
        (tmp_path / "a.gz").write_bytes(data)
        with pytest.raises(IntakeError, match="the file is empty"):
            read_text(tmp_path / "a.gz")
        return
    with pytest.raises(IntakeError, match=rf"^a\.gz: .*{message}"):
        unpack("a.gz", data, most=1000)


def test_missing_file_and_folder(tmp_path: Path):
    with pytest.raises(IntakeError, match=r"none\.csv: there is no such file"):
        read_text(tmp_path / "none.csv")
    with pytest.raises(IntakeError, match="this is a folder; expected a CSV file"):
        read_text(tmp_path)
    with pytest.raises(IntakeError, match="cannot be read: "):
        read_text("a\0b.csv")


def test_standard_input(monkeypatch):
    stream = SimpleNamespace(buffer=io.BytesIO(b"pH\n7.8\n"))
    monkeypatch.setattr("sys.stdin", stream)
    assert read_text("-").data == b"pH\n7.8\n"
