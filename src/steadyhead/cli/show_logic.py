"""The terminal view of `logic`."""

from rich.table import Table

from steadyhead.channel.logic_result import LogicAnswer, RuleAnswer
from steadyhead.cli.fitting import print_table
from steadyhead.cli.show import bullets, checks_table, console, show_json, text, word


def show_logic(result: LogicAnswer, *, as_json: bool) -> None:
    """Show every safety rule with its verdict, and the switch story of each that is broken."""
    if as_json:
        show_json(result)
        return
    out = console()
    out.print(f"[bold]{text(result.machine)}[/]: switch logic {word(result.verdict)}")
    bullets(out, "Before any test with a live motor", result.cautions)
    checks_table(out, "Safety rules", (rule.check for rule in result.rules))
    for rule in result.rules:
        if rule.story:
            out.print()
            print_table(out, story_table(rule))
    settings = ", ".join(f"{setting.key} {setting.value}" for setting in result.settings)
    out.print(f"\n[bold]Taken as[/]: {text(settings)}")
    out.print(
        f"{result.states} states, switches free to move every {result.tick_s:g} s, {result.seconds:.2f} s of work"
    )
    bullets(out, "Unknown", result.unknowns)
    bullets(out, "Warnings", result.warnings)


def story_table(rule: RuleAnswer) -> Table:
    """Return the story of a broken rule as a table: time, who, what happens."""
    title = f"How it breaks: {rule.says}"
    table = Table(title=text(title), title_justify="left", box=None, pad_edge=False, show_edge=False)
    table.add_column("s", justify="right")
    table.add_column("who")
    table.add_column("what happens", overflow="fold")
    for step in rule.story:
        table.add_row(f"{step.time_s:.2f}", text(step.who), text(step.says))
    return table
