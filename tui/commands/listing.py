"""The builds of a store as a table of text."""

from tui.commands.choosing import Options, open_store


def list_builds(options: Options, *, archived: bool = False) -> int:
    """Print the builds, newest first; archived ones too when asked. Exit code."""
    from tui.report.plain import Column, table
    from tui.report.stops import NOT_KNOWN, shown_stops

    columns = (
        Column("Key", 6, True),
        Column("Title", 32),
        Column("Customer", 16),
        Column("Job status", 10),
        Column("Changed", 16),
        Column("Stops", 5, True),
    )
    with open_store(options) as store:
        listed = store.builds(archived=archived)
        rows = [
            (
                str(each.key),
                each.title,
                each.customer,
                str(each.state),
                each.changed[:16].replace("T", " "),
                shown_stops(each),
            )
            for each in listed
        ]
    print("\n".join(table(columns, rows)) if rows else "no builds")
    if any(each.stops is None for each in listed):
        print(f"Stops {NOT_KNOWN}: not worked out yet; `mainrun check KEY` does it")
    return 0
