"""What may know what: import contracts, purity of the core, and our own ``rules``."""

import subprocess
import sys
from pathlib import Path

import pytest

import rules

ROOT = Path(__file__).parents[2]
HEAVY = ("streamlit", "cv2", "docx", "PIL", "numpy", "pandas", "pydantic", "sqlalchemy", "fsspec")


def test_the_import_contracts_hold() -> None:
    """Layers and forbidden imports of pyproject.toml, read by import-linter."""
    done = subprocess.run(
        [Path(sys.executable).with_name("lint-imports")],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stdout + done.stderr


@pytest.mark.parametrize("package", ["rules", "triage_app.domain.commands"])
def test_importing_the_core_loads_nothing_heavy(package: str) -> None:
    program = f"import sys, {package}; print(*sorted(sys.modules))"
    done = subprocess.run(
        [sys.executable, "-c", program], cwd=ROOT, capture_output=True, text=True, check=True
    )
    assert not set(HEAVY) & set(done.stdout.split())


def test_the_rules_that_are_imported_are_ours() -> None:
    """The public index has another package of that name; ours has a loader of tables."""
    assert Path(rules.__file__).parent == ROOT / "rules"


def test_public_names_of_rules_exist_once() -> None:
    assert len(set(rules.__all__)) == len(rules.__all__)
    assert all(hasattr(rules, name) for name in rules.__all__)
