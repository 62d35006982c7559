"""The builds of a store as a table of text."""

from tui.commands.choosing import Options, open_store


def list_builds(options: Options, *, archived: bool = False) -> int:
    """Print the builds, newest first; archived ones too when asked. Exit code."""
    from tui.report.plain import Column, table

    columns = (
        Column("Key", 6, True),
        Column("Title", 32),
        Column("Customer", 16),
        Column("Job status", 10),
        Column("Changed", 16),
        Column("Stops", 5, True),
    )
    with open_store(options) as store:
        rows = [
            (
                str(each.key),
                each.title,
                each.customer,
                str(each.state),
                each.changed[:16].replace("T", " "),
                "-" if each.stops is None else str(each.stops),
            )
            for each in store.builds(archived=archived)
        ]
    print("\n".join(table(columns, rows)) if rows else "no builds")
    return 0
