"""The stages import only from those above them, and the library from no command."""

from __future__ import annotations

import ast
import subprocess
from collections.abc import Callable
from pathlib import Path

import pytest

FreshPython = Callable[..., "subprocess.CompletedProcess[str]"]
ROOT = Path(__file__).resolve().parents[1]

# One stage a row; each may import from itself and from the rows above it.
STAGES = (
    ("errors", "nearest", "endings", "demo"),
    ("units", "unit_names"),
    ("sentence",),
    ("cells", "lines", "read", "write"),
    ("table",),
    ("fabric",),
    ("body",),
    ("fit",),
    ("block",),
    ("files",),
    ("show",),
)
RANK = {name: rank for rank, row in enumerate(STAGES) for name in row}
MODULES = sorted((ROOT / "ease").rglob("*.py"))


def stage_of(module: str) -> str:
    """``ease.fabric.swatch`` belongs to ``fabric``; ``ease`` itself to none."""
    parts = module.split(".")
    return parts[1] if len(parts) > 1 else ""


def imports_of(path: Path) -> set[str]:
    tree = ast.parse(path.read_text(encoding="utf-8"))
    found: set[str] = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path}: write absolute imports in ease/"
            module = node.module or ""
            found.add(module)
            if module == "ease":
                found |= {f"ease.{alias.name}" for alias in node.names}
    return found


def name_of(path: Path) -> str:
    parts = path.relative_to(ROOT).with_suffix("").parts
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


@pytest.mark.parametrize("path", MODULES, ids=name_of)
def test_a_stage_imports_only_from_those_above(path: Path) -> None:
    own = stage_of(name_of(path))
    for module in imports_of(path):
        assert module.split(".")[0] not in {"cli", "rich", "typer"}, module
        stage = stage_of(module) if module.startswith("ease.") else ""
        if own and stage in RANK:
            assert RANK[stage] <= RANK[own], f"{name_of(path)} imports {module}"


def test_every_module_stands_in_the_order() -> None:
    unknown = {stage_of(name_of(path)) for path in MODULES} - RANK.keys() - {""}
    assert not unknown


@pytest.mark.parametrize(
    "arguments", [["--help"], ["--version"], ["adjust", "--help"]], ids=" ".join
)
def test_help_loads_nothing_heavy(
    fresh_python: FreshPython, arguments: list[str]
) -> None:
    code = (
        "import sys\n"
        "from cli.app import app\n"
        f"try:\n    app({arguments!r})\nexcept SystemExit:\n    pass\n"
        "heavy = {'numpy', 'scipy', 'matplotlib', 'ezdxf', 'reportlab', 'tomlkit'}\n"
        "sys.stderr.write(','.join(sorted(heavy & set(sys.modules))))\n"
    )
    done = fresh_python(code)
    assert done.stdout
    assert done.stderr == ""


@pytest.mark.parametrize(
    ("arguments", "imported"),
    [
        (["--help"], []),
        (["adjsut"], []),
        (["fabrics", "--help"], ["fabrics"]),
        (["adjust", "--help"], ["adjust"]),
    ],
    ids=str,
)
def test_only_the_command_that_is_asked_for_is_imported(
    fresh_python: FreshPython, arguments: list[str], imported: list[str]
) -> None:
    code = (
        "import sys\n"
        "from cli.app import main\n"
        "from cli.group import SUMMARIES\n"
        f"sys.argv[1:] = {arguments!r}\n"
        "try:\n    main()\nexcept SystemExit:\n    pass\n"
        "found = [name for name in SUMMARIES if f'cli.{name}' in sys.modules]\n"
        "found += ['rich'] if 'rich' in sys.modules else []\n"
        "sys.stdout.write('\\n' + ','.join(found))\n"
    )
    done = fresh_python(code)
    assert done.stdout.splitlines()[-1] == ",".join(imported)


def test_factors_and_adjust_need_no_scipy(
    fresh_python: FreshPython, tmp_path: Path
) -> None:
    code = (
        "import sys\n"
        "from cli.app import app\n"
        "for line in (['factors', 'firm-tricot', '--body', 'demo', '--quiet'],\n"
        "             ['adjust', 'demo', '--to', 'firm-tricot', '--quiet']):\n"
        "    try:\n        app(line)\n"
        "    except SystemExit as stop:\n        assert not stop.code, stop.code\n"
        "heavy = {'scipy', 'matplotlib', 'ezdxf', 'reportlab', 'numpy.ma'}\n"
        "sys.stderr.write(','.join(sorted(heavy & set(sys.modules))))\n"
    )
    done = fresh_python(
        code, env={"PATH": "", "PYTHONPATH": str(ROOT), "HOME": str(tmp_path)}
    )
    assert "firm-tricot" in done.stdout
    assert done.stderr == ""
