"""What README.md shows is what the program does: every example is run and compared.

``CHEMCHECK_WRITE_README=1 pytest tests/test_readme.py`` writes the outputs anew.
"""

import datetime
import os
import re
import shutil
import subprocess
import sys
from pathlib import Path
from xml.etree import ElementTree

import pytest

from chemcheck.cli.main import COMMANDS

PROJECT = Path(__file__).parents[1]
README = PROJECT / "README.md"
PICTURES = PROJECT / "sample_results" / "pictures"
CONSOLE = re.compile(r"```console\n\$ (?P<command>[^\n]+)\n(?P<output>.*?)```", re.DOTALL)
PYTHON = re.compile(r"```python\n(?P<code>.*?)```", re.DOTALL)
# Ends an output of which only the beginning is shown.
AND_SO_ON = "…"
# Of an output that is cut, so many lines are written.
SHOWN = {"forecast": 36, "interval": 30, "water": 42, "check": 24, "blend": 20, "refill": 12}
# Optimisers of other library versions may stop elsewhere, within this.
RELATIVE, DAYS = 0.03, 20


def examples():
    return list(CONSOLE.finditer(README.read_text(encoding="utf-8")))


@pytest.fixture(scope="module")
def shell(tmp_path_factory):
    """Return a function that runs a line of shell as a reader of README.md would."""
    folder = tmp_path_factory.mktemp("reader")
    shutil.copytree(PROJECT / "sample_results", folder / "sample_results")
    program = folder / "bin" / "chemcheck"
    program.parent.mkdir()
    program.write_text(f'#!/bin/sh\nexec "{sys.executable}" -m chemcheck "$@"\n')
    program.chmod(0o755)
    paths = [str(program.parent), str(Path(sys.executable).parent), os.environ["PATH"]]
    surroundings = {**os.environ, "PATH": os.pathsep.join(paths), "PYTHONPATH": str(PROJECT)}

    def run(line):
        done = subprocess.run(
            ["bash", "-c", line],
            cwd=folder,
            env=surroundings,
            capture_output=True,
            encoding="utf-8",
            check=False,
        )
        assert done.returncode == 0, done.stderr
        return done.stdout

    return run


@pytest.mark.parametrize("place", range(len(examples())))
def test_an_example_shows_what_the_program_prints(shell, place):
    example = examples()[place]
    printed = shell(example["command"])
    drawn = pictures_of(example["command"], shell("pwd").strip())
    if os.environ.get("CHEMCHECK_WRITE_README"):
        write(place, printed)
        for picture in drawn:
            shutil.copy(picture, PICTURES / picture.name)
        return
    for picture in drawn:
        assert words_of(PICTURES / picture.name) == words_of(picture)
    shown = example["output"]
    if shown.endswith(f"{AND_SO_ON}\n"):
        shown = shown.removesuffix(f"{AND_SO_ON}\n")
        printed = "\n".join(printed.split("\n")[: shown.count("\n")]) + "\n"
    assert shown.strip(), "README.md shows no output"
    if example["command"].split()[1] in ("forecast", "interval"):
        assert_alike(shown, printed)
    else:
        assert printed == shown


def pictures_of(command, folder):
    """Return the pictures a command drew that README.md shows."""
    words = command.split()
    if "--plots" not in words:
        return []
    charts = Path(folder, words[words.index("--plots") + 1])
    return [charts / name for name in shown_pictures() if (charts / name).exists()]


def shown_pictures():
    return re.findall(r"\]\(sample_results/pictures/([^)]+)\)", README.read_text(encoding="utf-8"))


def words_of(picture):
    """Return the words of a picture; numbers are an optimiser's, which may stop elsewhere."""
    svg = ElementTree.parse(picture).getroot()
    said = [
        word
        for element in svg.iter()
        if element.tag.rpartition("}")[2] in ("text", "title")
        for word in "".join(element.itertext()).split()
    ]
    return sorted(word for word in said if not re.search(r"\d", word))


def test_every_picture_is_drawn_by_an_example_above_it():
    text = README.read_text(encoding="utf-8")
    assert len(shown_pictures()) >= 3
    for name in shown_pictures():
        before = text[: text.index(f"pictures/{name}")]
        command = CONSOLE.findall(before)[-1][0]
        assert "--plots" in command, name
        assert (PICTURES / name).stat().st_size < 100_000


def test_every_command_stands_in_the_table():
    text = README.read_text(encoding="utf-8")
    table = dict(re.findall(r"^\| `(\w+)` \| (.+?) \|$", text, flags=re.MULTILINE))
    assert table == {name: line.rstrip(".") for name, (_, line) in COMMANDS.items()}


def assert_alike(shown, printed):
    """Compare word by word, numbers and dates within what optimisers leave open."""
    expected, found = shown.split(), printed.split()
    assert len(expected) == len(found)
    for left, right in zip(expected, found, strict=True):
        if is_date(left) and is_date(right):
            assert abs(day(left) - day(right)) <= datetime.timedelta(days=DAYS), (left, right)
        elif left.isdigit() and right.isdigit():
            assert int(right) == pytest.approx(int(left), rel=RELATIVE)
        else:
            assert left == right


def is_date(word):
    return re.fullmatch(r"\d{4}\W\d{2}\W\d{2}", word) is not None


def day(word):
    return datetime.date(*map(int, re.split(r"\W", word)))


def write(place, printed):
    """Put an output into README.md, the beginning of it where it is long."""
    example = examples()[place]
    name = example["command"].split()[1]
    lines = printed.split("\n")
    shown = SHOWN.get(name, 20)
    if len(lines) > shown + 1:
        printed = "\n".join(lines[:shown]).rstrip("\n") + f"\n{AND_SO_ON}\n"
    text = README.read_text(encoding="utf-8")
    text = text[: example.start("output")] + printed + text[example.end("output") :]
    README.write_text(text, encoding="utf-8")


def test_the_library_example_runs(shell):
    code = PYTHON.search(README.read_text(encoding="utf-8"))["code"]
    printed = shell(f"python3 - <<'END'\n{code}END")
    assert re.fullmatch(r"\{('\w+': \d+(, )?)+\}\n", printed)


def test_the_two_commands_stand_where_the_checks_find_them():
    text = README.read_text(encoding="utf-8")
    for name in ("main-job", "tests"):
        block = re.search(rf"<!-- command: {name} -->\n```sh\n(.+)\n```\n", text)
        assert block is not None
        assert "\n" not in block[1]
    assert f"readme_command {'tests'}" in (PROJECT / ".ci" / "run").read_text(encoding="utf-8")


def test_every_link_leads_somewhere():
    links = re.findall(r"\]\(([^)#]+)\)", README.read_text(encoding="utf-8"))
    assert links
    assert not [link for link in links if not (PROJECT / link).exists()]
