"""The shape of the source tree: sizes, names, what the core may not touch."""

import ast
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
SOURCES = sorted((ROOT / "src" / "reedwright").rglob("*.py"))
TREES = sorted(
    path
    for folder in ("src", "tests", "benchmarks")
    for path in (ROOT / folder).rglob("*.py")
    if "__pycache__" not in path.parts
)
CORE = (
    "science", "drawing", "instrument", "tuning", "listening", "reedwork", "bellows", "jobs",
)  # fmt: skip
FORBIDDEN_NAMES = {"utils", "helpers", "common", "misc", "manager"}


def test_there_is_something_to_look_at() -> None:
    """The lists the other tests run over are not empty."""
    assert len(SOURCES) > 20
    assert len(TREES) > len(SOURCES)


@pytest.mark.parametrize("path", TREES, ids=lambda path: str(path.relative_to(ROOT)))
def test_no_file_is_longer_than_one_sitting(path: Path) -> None:
    """No source, test or benchmark file has more than 600 lines."""
    assert len(path.read_text(encoding="utf-8").splitlines()) <= 600


@pytest.mark.parametrize("path", SOURCES, ids=lambda path: str(path.relative_to(ROOT)))
def test_no_room_is_named_for_leftovers(path: Path) -> None:
    """No module or folder is called utils or the like."""
    assert not FORBIDDEN_NAMES & {path.stem, *path.relative_to(ROOT).parts}


@pytest.mark.parametrize(
    "path",
    [path for path in SOURCES if path.relative_to(ROOT / "src" / "reedwright").parts[0] in CORE],
    ids=lambda path: str(path.relative_to(ROOT)),
)
def test_the_core_opens_and_prints_nothing(path: Path) -> None:
    """Below the edges nobody calls print, open or input (imports are checked elsewhere)."""
    called = {
        node.func.id
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name)
    }
    assert not called & {"print", "open", "input", "exec", "eval"}


@pytest.mark.parametrize("path", SOURCES, ids=lambda path: str(path.relative_to(ROOT)))
def test_public_names_exist(path: Path) -> None:
    """Every name in ``__all__`` is defined or imported in its module."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    names: set[str] = set()
    listed: list[str] = []
    for node in tree.body:
        match node:
            case ast.Assign(targets=[ast.Name(id="__all__")], value=value):
                listed = [str(item) for item in ast.literal_eval(value)]
            case ast.Assign(targets=targets):
                names |= {t.id for t in targets if isinstance(t, ast.Name)}
            case ast.AnnAssign(target=ast.Name(id=name)):
                names.add(name)
            case ast.FunctionDef(name=name) | ast.ClassDef(name=name):
                names.add(name)
            case ast.Import(names=aliases) | ast.ImportFrom(names=aliases):
                names |= {alias.asname or alias.name for alias in aliases}
            case _:
                pass
    assert set(listed) <= names
    assert len(listed) == len(set(listed))
