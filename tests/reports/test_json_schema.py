"""The published schemas: sound in themselves, and able to fail."""

import copy
import json

import pytest
from click.testing import CliRunner
from jsonschema import Draft202012Validator

from chemcheck.cli.main import main
from chemcheck.reports.json_schema import documents, json_schema
from tests.documents import assert_valid


def rinse():
    result = CliRunner().invoke(
        main, ["rinse", "--system", "12 L", "--drains", "8 L", "--format", "json"]
    )
    return json.loads(result.stdout)


@pytest.mark.parametrize("name", documents())
def test_a_schema_is_one(name):
    Draft202012Validator.check_schema(json_schema(name))
    assert json_schema(name)["required"][:4] == ["schema", "version", "assumptions", "cautions"]


@pytest.mark.parametrize("name", documents())
def test_what_is_required_is_described(name):
    schema = json_schema(name)
    assert set(schema["required"]) <= set(schema["properties"])


@pytest.mark.parametrize(
    ("key", "value", "said"),
    [
        ("rinses", "five", "'five' is not of type 'number', 'null'"),
        ("schema", "chemcheck/rinse/2", "'chemcheck/rinse/1' was expected"),
        ("answer", None, "None is not of type 'string'"),
        ("water_l", ..., "'water_l' is a required property"),
    ],
)
def test_a_document_that_breaks_its_schema_is_found(key, value, said):
    document = copy.deepcopy(rinse())
    if value is ...:
        del document[key]
    else:
        document[key] = value
    found = [
        error.message for error in Draft202012Validator(json_schema("rinse")).iter_errors(document)
    ]
    assert said in found


def test_a_sound_document_passes():
    assert_valid(rinse())


def test_a_document_of_another_name_is_refused():
    with pytest.raises(ValueError, match="'verdict' is no document known here"):
        json_schema("verdict")


def test_the_command_prints_what_the_library_gives():
    printed = CliRunner().invoke(main, ["schema", "check"]).stdout
    assert json.loads(printed) == json_schema("check")
    listed = CliRunner().invoke(main, ["schema"]).stdout
    assert [line.split()[0] for line in listed.splitlines()] == list(documents())
    wrong = CliRunner().invoke(main, ["schema", "rins"])
    assert wrong.exit_code == 2
    assert "'rins' is no document known here; nearest: rinse" in wrong.stderr
