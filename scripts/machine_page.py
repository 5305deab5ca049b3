"""The manual page of the machine file: prose that people write, and below the mark the tables made from the code."""

from pathlib import Path

PAGE = Path(__file__).resolve().parent.parent / "docs" / "machine-file.md"
MARK = "<!-- below this line: made from the code by make docs -->"

FROM = '| `from` | `"measured"` | an origin | maker | – | origin of the numbers of this table whose key does not say |'


def machine_page() -> str:
    """Return the page: its prose as it stands, the tables of keys and typical values as the code has them."""
    prose = PAGE.read_text("utf-8").partition(MARK)[0]
    return prose + "\n".join([MARK, "", *key_tables(), *unit_table(), *typical_tables()]).rstrip() + "\n"


def key_tables() -> list[str]:
    """Return one table of keys for each table of the file."""
    from steadyhead.machine.description import Machine

    lines = ["## Tables and keys", ""]
    lines += ["A star marks what a file cannot do without."]
    lines += [
        "The spread is the one assumed for a maker's number that states none, half of it for a measured one.",
        "Common practice, no source.",
        "",
    ]
    for table in Machine.model_fields:
        rows = Machine.row_type(table)
        lines += [f"### {(rows.__doc__ or '').splitlines()[0].rstrip('.')}", ""]
        lines += ["| key | like this | range | left out | spread | meaning |", "| --- | --- | --- | --- | --- | --- |"]
        lines += [key_line(name, key) for name, key in rows.declared().items()]
        lines += [FROM, ""]
    return lines


def key_line(name: str, key: object) -> str:
    """Return the row of one key."""
    from steadyhead.machine.keys import Count, Flag, Missing, Quantity, Whole, Words

    like, wanted, spread = '`"Fox"`', "a text", "–"
    if isinstance(key, Quantity):
        kind = key.kind
        like, wanted = f"`{kind.shown_example}`", f"{kind.low:g} to {kind.high:g} {kind.unit}".strip()
        spread = (
            f"{kind.doubt * 100:g} %" if kind.doubt else f"{kind.doubt_kelvin:g} K" if kind.doubt_kelvin else "none"
        )
    elif isinstance(key, Count):
        like, wanted, spread = f"`{key.low}`", f"{'even' if key.even else 'whole'}, {key.low} to {key.high}", "exact"
    elif isinstance(key, Flag):
        like, wanted = "`true`", "true or false"
    elif isinstance(key, Whole):
        like, wanted = f"`{key.low}`", f"whole, {key.low} to {key.high}"
    elif isinstance(key, Words) and key.choices:
        like, wanted = f'`"{key.choices[-1]}"`', ", ".join(f'`"{one}"`' for one in key.choices)
    missing = getattr(key, "missing", Missing.UNUSED)
    star = "*" if missing is Missing.REQUIRED else ""
    return f"| `{name}`{star} | {like} | {wanted} | {missing} | {spread} | {getattr(key, 'says', '')} |"


def unit_table() -> list[str]:
    """Return every unit spelling the file takes."""
    from steadyhead.machine.units import FAMILIES

    lines = ["## Units", "", "| measure | spellings |", "| --- | --- |"]
    for family, units in FAMILIES.items():
        spelt = ", ".join(f"`{unit}`" if unit else "none" for unit in units)
        lines.append(f"| {family} | {spelt} |")
    return [*lines, ""]


def typical_tables() -> list[str]:
    """Return what is filled in when a key is left out."""
    from steadyhead.machine.derived import DERIVED
    from steadyhead.machine.typical import BY_SIZE, SAME_FOR_ALL, SIZES

    lines = ["## Typical values by size class", "", "90 % intervals; common practice, no source.", ""]
    lines += ["| key | " + " | ".join(f"{size:g}" for size in SIZES) + " |", "| --- |" + " --- |" * len(SIZES)]
    for key, (unit, bands) in BY_SIZE.items():
        lines.append(f"| `{key}` | " + " | ".join(f"{low:g} to {high:g} {unit}" for low, high in bands) + " |")
    lines += ["", "## Typical values for every size", ""]
    lines += ["Common practice, no source; the doubt on lift and drag is that of the bundled section table.", ""]
    lines += ["| key | value |", "| --- | --- |"]
    lines += [f"| `{key}` | {text} |" for key, text in SAME_FOR_ALL.items()]
    lines += ["", "## Worked out from other keys", "", "| key | how |", "| --- | --- |"]
    for key, rule in DERIVED.items():
        lines.append(f"| `{key}` | {(rule.__doc__ or '').splitlines()[0].removeprefix('Return ')} |")
    return [*lines, ""]
