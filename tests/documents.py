"""Every JSON document that a test makes a command write, held against its published schema."""

import json
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import Any

from click.testing import CliRunner, Result
from jsonschema import Draft202012Validator

from chemcheck.reports.json_schema import json_schema

_invoke = CliRunner.invoke


def validated_invoke(self: CliRunner, *arguments: Any, **options: Any) -> Result:
    """Run a command, and hold against their schemas what it printed and wrote."""
    result = _invoke(self, *arguments, **options)
    for document in _documents(result, list(arguments[1] if len(arguments) > 1 else ())):
        assert_valid(document)
    return result


def assert_valid(document: dict[str, Any]) -> None:
    """Hold a document against its schema."""
    error = next(_validator(document["schema"]).iter_errors(document), None)
    assert error is None, f"{document['schema']}: {error.json_path}: {error.message[:300]}"


@cache
def _validator(schema: str) -> Draft202012Validator:
    _, name, _ = schema.split("/")
    Draft202012Validator.check_schema(json_schema(name))
    return Draft202012Validator(json_schema(name))


def _documents(result: Result, arguments: list[str]) -> Iterator[dict[str, Any]]:
    texts = [result.stdout] if result.exit_code in (0, 1, 3) else []
    if "--out" in arguments:
        folder = Path(arguments[arguments.index("--out") + 1])
        texts += [file.read_text(encoding="utf-8") for file in folder.glob("*.json")]
    for text in texts:
        if text.startswith("{"):
            # NaN and infinity are no JSON, though Python reads them.
            document = json.loads(text, parse_constant=_refuse)
            if str(document.get("schema", "")).startswith("chemcheck/"):
                yield document


def _refuse(constant: str) -> None:
    raise AssertionError(f"{constant} is no JSON")
