"""Write the manual pages that are made from the code: commands, JSON, sources; `--check` says whether they drifted."""

import ast
import dataclasses
import re
import sys
from collections.abc import Iterator
from pathlib import Path

from machine_page import machine_page

ROOT = Path(__file__).resolve().parent.parent
PACKAGE = ROOT / "src" / "steadyhead"
SOURCE = re.compile(r"^\s*Source: (.*?)(?=\n\s*\n|\n\s*(?:Raises|Shapes|Valid|Example):|\Z)", re.MULTILINE | re.DOTALL)


def docstrings(path: Path) -> Iterator[tuple[str, str]]:
    """Yield (name, docstring) of everything in a file that has one."""
    for node in ast.walk(ast.parse(path.read_text("utf-8"))):
        if isinstance(node, ast.FunctionDef | ast.ClassDef | ast.Module):
            text = ast.get_docstring(node)
            if text:
                yield getattr(node, "name", path.stem), text


def sources_page() -> str:
    """Return every source that a docstring names, with where it is used."""
    used: dict[str, set[str]] = {}
    for path in sorted(PACKAGE.rglob("*.py")):
        for name, text in docstrings(path):
            for source in SOURCE.findall(text):
                sentence = " ".join(source.split())
                used.setdefault(sentence, set()).add(f"`{path.relative_to(PACKAGE).with_suffix('')}.{name}`")
    lines = ["# Sources", "", "Made from the docstrings by `make docs`: what each equation and constant rests on.", ""]
    lines += ["| source | used in |", "| --- | --- |"]
    lines += [
        f"| {source.replace('|', '/')} | {', '.join(sorted(places))} |" for source, places in sorted(used.items())
    ]
    return "\n".join(lines) + "\n"


def commands_page() -> str:
    """Return every command with its options, as the command line itself tells them."""
    import typer

    from steadyhead.cli.main import app

    group = typer.main.get_command(app)
    lines = ["# Commands", "", "Made from the command line by `make docs`."]
    lines += ["Exit status: 0 pass, 1 a verdict is fail or unknown, 2 bad input, 130 stopped.", ""]
    named = dict(group.commands)  # type: ignore[attr-defined]
    for name, command in list(named.items()):
        named |= {f"{name} {word}": under for word, under in getattr(command, "commands", {}).items()}
    for name, command in sorted(named.items()):
        lines += [f"## steadyhead {name}", "", command.help or "", "", "| word | meaning |", "| --- | --- |"]
        for parameter in command.params:
            spelled = ", ".join(parameter.opts) if parameter.param_type_name == "option" else ""
            words = " ".join(part for part in (spelled, parameter.metavar or "") if part)
            lines.append(f"| `{words}` | {getattr(parameter, 'help', '') or ''} |")
        lines.append("")
    return "\n".join(lines)


def field_lines(result: type, path: Path) -> list[str]:
    """Return a table of the fields of a result class; the string under a field is its meaning."""
    meaning: dict[str, str] = {}
    for node in ast.walk(ast.parse(path.read_text("utf-8"))):
        if isinstance(node, ast.ClassDef) and node.name == result.__name__:
            for field, after in zip(node.body, [*node.body[1:], ast.Pass()], strict=True):
                if (
                    isinstance(field, ast.AnnAssign)
                    and isinstance(after, ast.Expr)
                    and isinstance(after.value, ast.Constant)
                ):
                    meaning[field.target.id] = " ".join(str(after.value.value).split())  # type: ignore[union-attr]
    lines = ["| key | type | meaning |", "| --- | --- | --- |"]
    for field in dataclasses.fields(result):
        if field.metadata.get("json", True):
            kind = str(field.type) if not isinstance(field.type, type) else field.type.__name__
            kind = re.sub(r"\b(?:[a-z_]+\.)+", "", kind).replace("|", "or")
            lines.append(f"| `{field.name}` | {kind} | {meaning.get(field.name, '')} |")
    return lines


def json_page() -> str:
    """Return the JSON keys of every result."""
    from steadyhead import job
    from steadyhead.advise import result as advise_result
    from steadyhead.bench import archive, care, fixed_steps, run_summary, step
    from steadyhead.channel import logic_result
    from steadyhead.channel import result as channel_result
    from steadyhead.flight import assumed, bail_out_result, descend_result, governor_result, residuals
    from steadyhead.flight import result as flight_result
    from steadyhead.judge import compare_result, listening
    from steadyhead.judge import result as judge_result
    from steadyhead.learn import result as learn_result
    from steadyhead.machine import survey
    from steadyhead.plan import drive_point, result, rotor_point
    from steadyhead.study import result as study_result
    from steadyhead.words import verdict

    lines = ["# JSON", "", "Made from the result classes by `make docs`; the field names are the keys."]
    lines += [
        "Units stand in the suffix of a key; `duty` and `charge` run from 0 to 1; `KEY_interval` is a 90 % interval."
    ]
    lines += ["A figure that is not known is null. Verdict words are `pass`, `fail`, `unknown`.", ""]
    for title, module in (
        ("check", survey),
        ("plan", result),
        ("channel", channel_result),
        ("logic", logic_result),
        ("judge", judge_result),
        ("compare", compare_result),
        ("listen", listening),
        ("fly", flight_result),
        ("governor", governor_result),
        ("descend", descend_result),
        ("learn", learn_result),
        ("descend: bail-out, landing, height-velocity", bail_out_result),
        ("advise", advise_result),
        ("fly, what is taken for granted", assumed),
        ("fly --against", residuals),
        ("sheet, demo and fly", job),
        ("study", study_result),
        ("bench", run_summary),
        ("bench, a step and an answer", step),
        ("bench, steps left out", fixed_steps),
        ("record list, check, backup", care),
        ("record export, import", archive),
        ("verdicts", verdict),
        ("rotor_point (Python)", rotor_point),
        ("drive_point (Python)", drive_point),
    ):
        lines += [f"## {title}", ""]
        for name, item in vars(module).items():
            if dataclasses.is_dataclass(item) and isinstance(item, type) and item.__module__ == module.__name__:
                doc = (item.__doc__ or "").strip().split("\n\n")[0]
                lines += [
                    f"### {name}",
                    "",
                    " ".join(doc.split()),
                    "",
                    *field_lines(item, Path(module.__file__ or "")),
                    "",
                ]
    return "\n".join(lines)


PAGES = {
    "machine-file.md": machine_page,
    "sources.md": sources_page,
    "commands.md": commands_page,
    "json.md": json_page,
}


def main() -> int:
    """Write the pages, or with --check say which ones no longer follow the code."""
    drifted = []
    for name, make in PAGES.items():
        path = ROOT / "docs" / name
        page = make()
        if "--check" in sys.argv:
            if not path.exists() or path.read_text("utf-8") != page:
                drifted.append(name)
        else:
            path.write_text(page, "utf-8")
    if drifted:
        print("no longer follow the code, run `make docs`:", ", ".join(drifted))
    return 1 if drifted else 0


if __name__ == "__main__":
    sys.exit(main())
