"""Imports point one way: app -> core -> core.physics -> earlier steps. These tests keep them that way."""

from __future__ import annotations

import ast
import json
import re
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[1]

# The flow, as the file list cannot give an order: a step imports only steps above it.
PHYSICS_STEPS = [
    "input_ranges",
    "false_position",
    "conventions",
    "electrical_frequency",
    "materials",
    "air",
    "natural_convection",
    "radiation",
    "bessel",
    "plate_fin",
    "air_friction",
    "rotating_surfaces",
    "annular_gap",
    "turning_cup_gap",
    "end_gap",
    "ventilation",
    "windage",
    "machine_constants",
    "commutation",
    "winding",
    "low_speed",
    "feedback",
    "feedback_adequacy",
    "stated_figures",
    "data_sheet_conventions",
    "drag",
    "losses",
    "commutation_overlap",
    "voltage",
    "field_weakening",
    "short_circuit",
    "peak_limits",
    "winding_study",
    "pwm_ripple",
    "conductors",
    "power_course",
    "clamp_energy",
    "bus",
    "motion_profiles",
    "profile_shapes",
    "motion_sampling",
    "motion",
    "moves",
    "load_terms",
    "term_shares",
    "load_friction",
    "body_inertia",
    "rotary_mechanisms",
    "linear_mechanisms",
    "fluid_mechanisms",
    "mechanism_kinds",
    "mechanism_findings",
    "mechanisms",
    "resonance",
    "transmission",
    "gear_findings",
    "ratio_study",
    "brake",
    "bearing_life",
    "shaft_load",
    "shaft_forces",
    "shaft_duty",
    "rms_torque",
    "motor_dimensions",
    "conductance_tables",
    "heat_network",
    "added_link",
    "motor_surfaces",
    "geometry_links",
    "inside_air",
    "inside_links",
    "outside_links",
    "carrier_links",
    "geometry_findings",
    "heat_from_geometry",
    "heat_pieces",
    "heat_figures",
    "heat_figure_findings",
    "operating_heat",
    "modal_response",
    "continuous_torque",
    "settled_rows",
    "short_time",
    "periodic_duty",
    "hold",
    "fault_facts",
    "heat_from_data_sheet",
    "calibration_figures",
    "calibration_findings",
    "heat_calibration",
    "heat_uncertainty",
    "data_sheet_mounting",
    "enclosing_walls",
    "closed_box",
    "rotor_guard",
    "surroundings",
    "cycle_heat",
    "sampled_trace",
    "speed_table",
    "trace_bins",
    "trace_duty",
    "trace_points",
    "segment_maps",
    "segment_peaks",
    "cycle_rounds",
    "repeating_cycle",
    "hot_phase",
    "cycle_peaks",
    "many_peaks",
    "ramp_halving",
    "temperatures",
    "settled_cycle",
    "torque_reserve",
    "heating_up",
    "run_away_time",
    "surface_contact",
]

# What physics may use of the rest of core.
PHYSICS_BASE = {
    "core",
    "core.errors",
    "core.findings",
    "core.numeric",
    "core.records",
    "core.physics",
    "core.sentences",  # findings carry their numbers as quantities
    "core.units",
}

# folder or file -> packages that nothing in it may import, not even inside a function
FORBIDDEN = {
    "core": {"PySide6", "shiboken6", "pyqtgraph", "app", "tests"},
    "core/physics": {"pint", "msgspec"},
    "tests/core": {"PySide6", "shiboken6", "pyqtgraph", "pytestqt", "app"},
    "tests/reference": {"PySide6", "shiboken6", "pyqtgraph", "pytestqt", "app"},
    "app": {"tests"},
}
PINT_HOME = "core/units.py"

# Slow to import (together about 0.5 s), so used inside the functions that need them.
LAZY_IN_CORE = {"scipy", "pint"}
NEVER_LOADED_BY_CORE = {"scipy", "pint", "PySide6", "pyqtgraph", "app"}
NEVER_LOADED_BY_COMMAND_LINE = {"scipy", "pint", "PySide6", "pyqtgraph"}

TOP_LEVEL = {
    "README.md",
    "DEVELOPERS.md",
    "LICENSE",
    "pyproject.toml",
    "app",
    "core",
    "tests",
    "assets",
    "sample_projects",
}
# What running and building leaves behind; .gitignore lists the same.
GENERATED = re.compile(r"\..*|out|build|dist|__pycache__|.*\.egg-info")


def imported_modules(node: ast.AST) -> Iterator[str]:
    """Yield the full name of each module that one import statement names; a leading dot if relative."""
    if isinstance(node, ast.Import):
        yield from (alias.name for alias in node.names)
    elif isinstance(node, ast.ImportFrom):
        base = "." * node.level + (node.module or "")
        yield base
        # `from core.physics import losses` names a module as well as a package
        yield from (f"{base}.{alias.name}" for alias in node.names)


def all_imports(source: str) -> set[str]:
    """Return every module imported anywhere in `source`."""
    return {name for node in ast.walk(ast.parse(source)) for name in imported_modules(node)}


def load_time_imports(source: str) -> set[str]:
    """Return the modules imported when `source` itself is imported: outside functions and type checking."""
    found: set[str] = set()

    def visit(node: ast.AST) -> None:
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef | ast.Lambda):
            return
        if isinstance(node, ast.If) and ast.unparse(node.test).endswith("TYPE_CHECKING"):
            for part in node.orelse:
                visit(part)
            return
        found.update(imported_modules(node))
        for child in ast.iter_child_nodes(node):
            visit(child)

    visit(ast.parse(source))
    return found


def packages(modules: set[str]) -> set[str]:
    """Return the first part of each module name."""
    return {name.partition(".")[0] for name in modules}


def step_faults(step: str, source: str, steps: list[str]) -> list[str]:
    """Return what one physics file imports against the order of the steps, as sentences."""
    if step not in steps:
        return [f"{step} is not in the list of steps: give it its place in PHYSICS_STEPS"]
    allowed = PHYSICS_BASE | {f"core.physics.{earlier}" for earlier in steps[: steps.index(step)]}
    faults = []
    for name in sorted(all_imports(source)):
        if name.startswith("."):
            faults.append(f"{step} imports {name} by a relative name")
        elif name.startswith("core.") and not any(
            # a name imported from an allowed module, as core.errors.UnitError
            name == module or (name.startswith(module + ".") and module not in ("core", "core.physics"))
            for module in allowed
        ):
            faults.append(f"{step} imports {name}, which is neither an earlier step nor a base of physics")
    return faults


def python_files(folder: str) -> list[Path]:
    return sorted((ROOT / folder).rglob("*.py"))


def relative(path: Path) -> str:
    return path.relative_to(ROOT).as_posix()


PHYSICS_FILES = [path for path in python_files("core/physics") if path.name != "__init__.py"]


@pytest.mark.parametrize("folder", FORBIDDEN)
def test_folder_does_not_import(folder: str) -> None:
    for path in python_files(folder):
        bad = FORBIDDEN[folder] & packages(all_imports(path.read_text(encoding="utf-8")))
        assert not bad, f"{relative(path)} imports {sorted(bad)}"


@pytest.mark.parametrize("folder", ["core", "core/physics", "app", "tests/core"])
def test_folder_of_a_rule_exists(folder: str) -> None:
    assert python_files(folder), f"{folder} is empty or has moved"


@pytest.mark.parametrize("path", python_files("core") + python_files("app"), ids=relative)
def test_pint_has_one_home(path: Path) -> None:
    if relative(path) != PINT_HOME:
        assert "pint" not in packages(all_imports(path.read_text(encoding="utf-8")))


@pytest.mark.parametrize("path", python_files("core"), ids=relative)
def test_core_imports_slow_packages_only_inside_functions(path: Path) -> None:
    assert not LAZY_IN_CORE & packages(load_time_imports(path.read_text(encoding="utf-8")))


@pytest.mark.parametrize("path", PHYSICS_FILES, ids=relative)
def test_physics_step_imports_earlier_steps_only(path: Path) -> None:
    step = path.relative_to(ROOT / "core/physics").with_suffix("").as_posix().replace("/", ".")
    assert not step_faults(step, path.read_text(encoding="utf-8"), PHYSICS_STEPS)


def test_every_listed_step_exists_once() -> None:
    there = [path.stem for path in PHYSICS_FILES]
    assert sorted(set(PHYSICS_STEPS)) == sorted(PHYSICS_STEPS)
    assert not set(PHYSICS_STEPS) - set(there), "a listed step has no file"


def test_only_app_and_its_tests_import_qt() -> None:
    for path in python_files("tests"):
        name = relative(path)
        window_code = ("tests/app/", "tests/benchmarks/", "tests/endurance/", "tests/test_refcounts.py",
                       "tests/pictures.py")  # fmt: skip
        if not name.startswith(window_code):
            assert not {"PySide6", "pyqtgraph"} & packages(all_imports(path.read_text(encoding="utf-8"))), (
                name
            )


def module_name(path: Path) -> str:
    return ".".join(path.relative_to(ROOT).with_suffix("").parts).removesuffix(".__init__")


CORE_MODULES = [module_name(path) for path in python_files("core")]


def packages_after_each_import(modules: list[str]) -> dict[str, list[str]]:
    """Import `modules` in turn in a fresh interpreter; return the top-level packages loaded after each."""
    program = (
        "import importlib, json, sys, traceback\n"
        "loaded = {}\n"
        f"for name in {modules!r}:\n"
        "    try:\n"
        "        importlib.import_module(name)\n"
        "    except Exception:\n"
        "        traceback.print_exc()\n"
        "        continue\n"
        "    loaded[name] = sorted({module.partition('.')[0] for module in sys.modules})\n"
        "print(json.dumps(loaded))\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", program], cwd=ROOT, capture_output=True, text=True, check=False, timeout=60
    )
    assert done.returncode == 0, done.stderr
    print(done.stderr)  # shown with the test that misses its module
    loaded: dict[str, list[str]] = json.loads(done.stdout)
    return loaded


@pytest.fixture(scope="module")
def loaded_by_core() -> dict[str, list[str]]:
    return packages_after_each_import(CORE_MODULES)


@pytest.mark.parametrize("module", CORE_MODULES)
def test_importing_core_loads_nothing_slow(module: str, loaded_by_core: dict[str, list[str]]) -> None:
    assert not NEVER_LOADED_BY_CORE & set(loaded_by_core[module])


def test_command_line_starts_without_qt() -> None:
    loaded = packages_after_each_import(["app.__main__"])["app.__main__"]
    assert not NEVER_LOADED_BY_COMMAND_LINE & set(loaded)


def test_top_level_holds_only_what_it_should() -> None:
    names = {path.name for path in ROOT.iterdir() if not GENERATED.fullmatch(path.name)}
    assert not names - TOP_LEVEL


def shipped_text_files() -> Iterator[Path]:
    """Yield the text files of the project, leaving out what runs and builds produce."""
    for name in sorted(TOP_LEVEL | {".ci", ".gitignore", ".gitattributes"}):
        top = ROOT / name
        for path in [top] if top.is_file() else sorted(top.rglob("*")):
            if (
                path.is_file()
                and "__pycache__" not in path.parts
                and path.suffix not in {".ttf", ".png", ".pdf"}
            ):
                yield path


# Put together from parts, so that this file does not name what it forbids.
PRIVATE_PATH = re.compile(
    r"(?<![\w./:$}])/(?:" + "|".join(["work", "root", "tmp", "home", "Users"]) + r")(?:/|\b)|[A-Z]:\\Users"
)
REGISTRY_HOST = re.compile(
    "|".join(
        rf"\b{name}\.{end}\b"
        for name, end in [
            ("pypi", "org"),
            ("pythonhosted", "org"),
            ("npmjs", "org"),
            ("debian", "org/debian"),
            ("anaconda", "(?:org|com)"),
            ("crates", "io"),
            ("ghcr", "io"),
        ]
    )
)


def machine_names(text: str) -> list[str]:
    """Return the absolute machine paths and the registry hosts named in `text`."""
    return [match[0] for pattern in (PRIVATE_PATH, REGISTRY_HOST) for match in pattern.finditer(text)]


@pytest.mark.parametrize("path", list(shipped_text_files()), ids=relative)
def test_file_names_no_machine_path_and_no_registry(path: Path) -> None:
    assert not machine_names(path.read_text(encoding="utf-8"))


def test_rules_see_bad_imports() -> None:
    hidden = "def f() -> None:\n    from scipy import linalg\n"
    assert packages(all_imports(hidden)) == {"scipy"}
    assert not load_time_imports(hidden)
    open_ones = "try:\n    import scipy.linalg\nexcept ImportError:\n    pass\nclass A:\n    import pint\n"
    assert packages(load_time_imports(open_ones)) == {"scipy", "pint"}
    checked = (
        "from typing import TYPE_CHECKING\nif TYPE_CHECKING:\n    import pint\nelse:\n    import scipy\n"
    )
    assert packages(load_time_imports(checked)) == {"typing", "scipy"}


def test_step_rule_sees_bad_imports() -> None:
    steps = ["materials", "losses", "voltage"]
    good = "import numpy\nfrom core.errors import UnitError\nfrom core.physics.materials import copper\n"
    assert not step_faults("losses", good, steps)
    assert not step_faults("losses", "from core.physics import materials\n", steps)
    for bad in (
        "from core.physics.voltage import reserve",
        "from core.physics import voltage",
        "import core.physics.voltage",
        "def f():\n    from core.physics.losses import me",
        "from core.project.project import Project",
        "from core import results",
        "from . import materials",
        "from core.errors_of_another_kind import Surprise",
    ):
        assert step_faults("losses", bad, steps), bad
    assert step_faults("stray", "", steps)


def test_machine_names_are_seen() -> None:
    slash = "/"
    for bad in (
        f"see {slash}tmp/x",
        f"'{slash}root'",
        f"({slash}home{slash}me)",
        "https://pypi" + ".org/simple",
    ):
        assert machine_names(bad), bad
    for good in ("torque/work", "a/tmp/b", "https://example.com/work/", "/workshop", "and/or"):
        assert not machine_names(good), good
