"""Checks that read the code: sizes, docstrings, faces that compute nothing, manual pages that follow the code."""

import ast
import re
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
PACKAGE = ROOT / "src" / "steadyhead"
FILES = sorted(PACKAGE.rglob("*.py"))
FACES = sorted([*(PACKAGE / "cli").glob("*.py"), *(PACKAGE / "web").rglob("*.py")])
KERNELS = sorted([*(PACKAGE / "physics").glob("*.py"), *(PACKAGE / "flight").glob("*.py")])
UNITLESS = re.compile(
    r"(?:factor|share|ratio|duty|charge|cells|blades|count|efficiency|reynolds|mach|code|loss|exponent|number|cl|cd"
    r"|sigma|lambda|kappa|mu|fraction|percent|samples|solidity|relative|_rad2|scale|weight|per_[a-z0-9]+|tolerance|guess)$"
)
UNITS = re.compile(
    r"_(?:m|m2|m3|m_s|m_s2|s|hz|rad|rad_s|rad_s2|rad_s_v|deg|rpm|n|nm|w|j|j_k|k_w|k|c|a|as|ah|v|ohm|pa|kg|kg_m3|kg_m2|m2_s|kgm2|pa_s"
    r"|j_kg_k|m2_s2|per_rad|per_rad2|w_k|h|k_m)$"
)


def name_of(path: Path) -> str:
    return str(path.relative_to(PACKAGE))


@pytest.mark.parametrize("path", FILES, ids=name_of)
def test_a_file_has_one_purpose_and_stays_under_400_lines(path):
    assert len(path.read_text("utf-8").splitlines()) <= 400


@pytest.mark.parametrize("path", FILES, ids=name_of)
def test_a_function_stays_under_80_lines(path):
    for node in ast.walk(ast.parse(path.read_text("utf-8"))):
        if isinstance(node, ast.FunctionDef):
            lines = (node.end_lineno or 0) - node.lineno + 1
            assert lines <= 80, f"{node.name} has {lines} lines"


@pytest.mark.parametrize("path", FACES, ids=name_of)
def test_a_face_computes_nothing(path):
    tree = ast.parse(path.read_text("utf-8"))
    sums = [n.lineno for n in ast.walk(tree) if isinstance(n, ast.BinOp) and not isinstance(n.op, ast.BitOr)]
    assert not sums, f"{path.name} lines {sums}: move it to the room that owns the formula"
    imported = {a.name for n in ast.walk(tree) if isinstance(n, ast.Import) for a in n.names}
    assert not imported & {"numpy", "math", "statistics"}


def kernels(path: Path) -> list[ast.FunctionDef]:
    tree = ast.parse(path.read_text("utf-8"))
    return [
        node
        for node in ast.walk(tree)
        if isinstance(node, ast.FunctionDef) and any("kernel" in ast.unparse(d) for d in node.decorator_list)
    ]


@pytest.mark.parametrize("path", KERNELS, ids=name_of)
def test_every_kernel_says_where_it_holds_and_where_it_comes_from(path):
    for node in kernels(path):
        text = ast.get_docstring(node) or ""
        for word in ("Valid:", "Source:"):
            assert word in text, f"{path.name}: {node.name} lacks {word}"


@pytest.mark.parametrize("path", KERNELS, ids=name_of)
def test_every_float_argument_of_a_kernel_carries_its_unit(path):
    for node in kernels(path):
        for argument in node.args.args:
            if argument.annotation is not None and ast.unparse(argument.annotation) == "float":
                known = UNITS.search(argument.arg) or UNITLESS.search(argument.arg)
                assert known, f"{path.name}: {node.name}({argument.arg}) has no unit suffix"


@pytest.mark.parametrize("path", KERNELS, ids=name_of)
def test_a_kernel_holds_no_string(path):
    for node in kernels(path):
        body = node.body[1:] if ast.get_docstring(node) else node.body
        strings = [
            n.value for part in body for n in ast.walk(part) if isinstance(n, ast.Constant) and isinstance(n.value, str)
        ]
        assert not strings, f"{path.name}: {node.name} holds {strings}"


def test_the_kernel_checks_read_real_kernels():
    assert sum(len(kernels(path)) for path in KERNELS) > 20


def test_the_manual_pages_made_from_the_code_follow_it():
    checked = subprocess.run(
        [sys.executable, str(ROOT / "scripts" / "make_docs.py"), "--check"], capture_output=True, text=True, check=False
    )
    assert checked.returncode == 0, checked.stdout + checked.stderr


def manual() -> str:
    return "\n".join(path.read_text("utf-8") for path in sorted((ROOT / "docs").glob("*.md")))


def test_every_check_stands_in_the_manual():
    known = re.compile(r'check="([a-z_]+)"|Verdict\.(?:unknown|at_most|at_least)\(\s*"([a-z_]+)"')
    text = manual()
    found = set()
    for path in FILES:
        found |= {a or b for a, b in known.findall(path.read_text("utf-8"))}
    assert found
    missing = sorted(check for check in found if f"`{check}`" not in text)
    assert not missing


def test_every_key_of_the_machine_file_stands_in_the_manual():
    from steadyhead.machine.bundled import bundled
    from steadyhead.machine.reading import read_machine

    machine = read_machine(bundled("fox600"))
    text = (ROOT / "docs" / "machine-file.md").read_text("utf-8")
    keys = [key for key, _ in machine.values()] + list(machine.missing())
    assert keys
    missing = sorted({key for key in keys if f"`{key.split('.')[-1].split('[')[0]}`" not in text})
    assert not missing


def test_no_path_of_a_private_machine_stands_in_the_tree():
    listed = subprocess.run(["git", "ls-files", "-z"], cwd=ROOT, capture_output=True, check=True).stdout.split(b"\0")
    private = re.compile(rb"(?<![\w.])/(?:work|home|root|tmp)/[a-z]|\.\./shared")
    hits = [
        name.decode()
        for name in listed
        if name and name != b"tests/house/test_house.py" and (ROOT / name.decode()).is_file()
        and private.search((ROOT / name.decode()).read_bytes()[:2_000_000])
    ]  # fmt: skip
    assert not hits
