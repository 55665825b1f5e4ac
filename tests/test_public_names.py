"""What a program that imports chemcheck gets: names that resolve, and their types."""

import importlib
import inspect
import pkgutil
import tomllib
from pathlib import Path

import pytest

import chemcheck

PROJECT = Path(__file__).parents[1]
PACKAGES = sorted(
    f"chemcheck.{found.name}"
    for found in pkgutil.iter_modules(chemcheck.__path__)
    if found.ispkg and found.name != "cli"
)


def untyped(function) -> list[str]:
    """Return the parameters, and 'return', of which nothing is said."""
    known = inspect.get_annotations(function)
    names = [
        name
        for name, one in inspect.signature(function).parameters.items()
        if name not in ("self", "cls") and one.kind is not inspect.Parameter.empty
    ]
    return [name for name in (*names, "return") if name not in known]


def test_the_names_of_the_package_resolve_and_say_their_types():
    assert set(chemcheck.__all__) == set(dir(chemcheck))
    for name in chemcheck.__all__:
        one = getattr(chemcheck, name)
        if callable(one):
            assert untyped(one) == [], name
        else:
            assert isinstance(one, str), name


def test_another_name_is_an_error():
    with pytest.raises(AttributeError, match="module 'chemcheck' has no attribute 'chek'"):
        _ = chemcheck.chek


@pytest.mark.parametrize("package", PACKAGES)
def test_every_public_name_of_a_part_resolves_and_says_its_types(package):
    module = importlib.import_module(package)
    for name in getattr(module, "__all__", ()):
        one = getattr(module, name)
        if inspect.isfunction(one):
            assert untyped(one) == [], f"{package}.{name}"
        if inspect.isclass(one):
            for title, method in inspect.getmembers(one, inspect.isfunction):
                # What a class has from elsewhere, such as scikit-learn, is not ours to type.
                ours = method.__module__.startswith("chemcheck.") and not title.startswith("_")
                assert not ours or untyped(method) == [], f"{package}.{name}.{title}"


def test_the_mark_of_a_typed_package_stands_in_what_the_wheel_holds():
    # PEP 561: type checkers read the annotations of a package that has this file.
    assert (PROJECT / "chemcheck" / "py.typed").is_file()
    setting = tomllib.loads((PROJECT / "pyproject.toml").read_text(encoding="utf-8"))
    wheel = setting["tool"]["hatch"]["build"]["targets"]["wheel"]
    assert wheel["packages"] == ["chemcheck"]
    assert not {"exclude", "only-include"} & set(wheel)
