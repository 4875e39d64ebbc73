"""The rules of the house, kept by a test and not by memory."""

import ast
import inspect
import sys
from importlib import import_module
from pathlib import Path

import pytest
from django.apps import apps
from django.db import models

ROOT = Path(__file__).resolve().parent.parent
OUR_APPS = ("nursery", "inventory", "sales")
WRITING = {
    "save",
    "create",
    "update",
    "delete",
    "get_or_create",
    "update_or_create",
    "bulk_create",
    "bulk_update",
}
# What has an update() too and is no row of the ledger.
HARMLESS = {"context", "session", "params", "headers", "attrs", "kwargs", "changes"}


def sources_under(*rooms: str) -> list[Path]:
    """List the Python files of some rooms, migrations left out."""
    found = [path for room in rooms for path in sorted((ROOT / room).rglob("*.py"))]
    found += [path for room in rooms if (path := ROOT / f"{room}.py").exists()]
    return [path.relative_to(ROOT) for path in found if "migrations" not in path.parts]


SOURCES = [*sources_under(*OUR_APPS, "tests"), Path("manage.py")]
READERS = sources_under(
    *(f"{app}/{room}" for app in OUR_APPS for room in ("views", "forms", "queries", "tables"))
)


def tree_of(path: Path) -> ast.Module:
    return ast.parse((ROOT / path).read_text(encoding="utf-8"))


def imports_of(path: Path) -> set[str]:
    """Name every module that a file imports, wherever in it."""
    found = set()
    for node in ast.walk(tree_of(path)):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            found.add(node.module or "")
    return found


def packages_of(path: Path) -> set[str]:
    return {name.partition(".")[0] for name in imports_of(path)}


@pytest.mark.parametrize("path", SOURCES, ids=str)
def test_every_function_fits_on_one_screen(path):
    functions = (ast.FunctionDef, ast.AsyncFunctionDef)
    long = [
        node.name
        for node in ast.walk(tree_of(path))
        if isinstance(node, functions) and node.end_lineno - node.lineno >= 40
    ]
    assert not long, f"split {long}"


@pytest.mark.parametrize("path", SOURCES, ids=str)
def test_no_file_outgrows_its_room(path):
    lines = (ROOT / path).read_text(encoding="utf-8").count("\n")
    assert lines <= 400, f"{lines} lines: make it a folder"


@pytest.mark.parametrize("path", sources_under("inventory"), ids=str)
def test_inventory_does_not_know_that_sales_exist(path):
    assert "sales" not in packages_of(path)


ARITHMETIC = ("inventory/costing", "inventory/statistics", "inventory/planning")


@pytest.mark.parametrize("path", sources_under(*ARITHMETIC), ids=str)
def test_arithmetic_knows_no_django(path):
    room = f"inventory.{path.parts[1]}"
    rooms = (room, "inventory.statistics") if path.parts[1] == "planning" else (room,)
    assert "django" not in packages_of(path)
    ours = {name for name in imports_of(path) if name.partition(".")[0] in OUR_APPS}
    assert all(name.startswith(rooms) for name in ours), ours


@pytest.mark.parametrize(
    "path",
    sources_under("nursery/bootstrap", "nursery/machine_needs", "nursery/exclusive"),
    ids=str,
)
def test_the_bootstrap_needs_no_package(path):
    assert packages_of(path) <= set(sys.stdlib_module_names) | {"nursery"}


def plain_collections_in(path: Path) -> set[str]:
    """Name the variables that hold a set or a dict of Python's own, which may be updated."""
    kinds = {"set", "dict", "Counter", "defaultdict"}
    return {
        ast.unparse(node.targets[0])
        for node in ast.walk(tree_of(path))
        if isinstance(node, ast.Assign)
        and (
            isinstance(node.value, ast.Dict | ast.Set | ast.DictComp | ast.SetComp)
            or (isinstance(node.value, ast.Call) and ast.unparse(node.value.func) in kinds)
        )
    }


@pytest.mark.parametrize("path", READERS, ids=str)
def test_readers_write_nothing(path):
    plain = HARMLESS | plain_collections_in(path)
    found = {
        ast.unparse(node.func)
        for node in ast.walk(tree_of(path))
        if isinstance(node, ast.Call)
        and isinstance(node.func, ast.Attribute)
        and node.func.attr in WRITING
        and "operations" not in ast.unparse(node.func.value)
        and not plain & set(ast.unparse(node.func.value).split("."))
    }
    assert not found, f"move {found} into operations"


OUR_MODELS = [model for model in apps.get_models() if model._meta.app_label in OUR_APPS]


@pytest.mark.parametrize("model", OUR_MODELS, ids=lambda model: model._meta.label)
def test_no_amount_is_a_float(model):
    floats = [field.name for field in model._meta.fields if isinstance(field, models.FloatField)]
    assert not floats


@pytest.mark.parametrize("model", OUR_MODELS, ids=lambda model: model._meta.label)
def test_history_is_never_cascaded_away(model):
    loose = [
        field.name
        for field in model._meta.fields
        if field.remote_field and field.remote_field.on_delete is not models.PROTECT
    ]
    assert not loose, f"{loose} must be PROTECT"


@pytest.mark.parametrize("model", OUR_MODELS, ids=lambda model: model._meta.label)
def test_every_constraint_says_where_it_belongs(model):
    for constraint in model._meta.constraints:
        assert constraint.name.startswith(f"{model._meta.app_label}_"), constraint.name


def operations_of(app: str) -> list:
    """List the functions that an app's operations offer."""
    package = import_module(f"{app}.operations")
    offered = [getattr(package, name) for name in package.__all__]
    return [thing for thing in offered if inspect.isfunction(thing)]


VERBS = [*operations_of("inventory"), *operations_of("sales")]


@pytest.mark.parametrize("verb", VERBS, ids=lambda verb: verb.__name__)
def test_every_verb_is_documented_atomic_and_keyword_only(verb):
    parameters = inspect.signature(verb).parameters.values()
    kinds = {parameter.kind for parameter in parameters}

    assert verb.__doc__, "say what it does, as an order"
    by_name = {inspect.Parameter.KEYWORD_ONLY, inspect.Parameter.VAR_KEYWORD}
    assert kinds <= by_name, "keyword-only"
    source = inspect.getsource(verb)
    # A transaction alone lets two writers on PostgreSQL each write over what the other wrote.
    assert hasattr(verb, "__wrapped__") or "ledger_held(" in source, "hold the ledger"


def test_the_top_level_holds_only_what_it_should():
    known = {"README.md", "DEVELOPERS.md", "LICENSE", "manage.py", "pyproject.toml"}
    known |= {*OUR_APPS, "templates", "tests", "fixtures"}
    found = {path.name for path in ROOT.iterdir() if not path.name.startswith(".")}
    assert found - {"__pycache__"} <= known


TEMPLATES = sorted(path.relative_to(ROOT) for path in (ROOT / "templates").rglob("*.html"))


@pytest.mark.parametrize("path", TEMPLATES, ids=str)
def test_no_page_carries_a_script_or_a_style_of_its_own(path):
    text = (ROOT / path).read_text(encoding="utf-8")

    assert "<style" not in text or path.parts[1] == "documents"
    assert " style=" not in text
    assert "hx-on" not in text
    for piece in text.split("<script")[1:]:
        assert " src=" in piece.partition(">")[0], "scripts are files"
