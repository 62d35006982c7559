"""One input, echoed beside a table of 50 rows: what any key press is compared with."""

from textual import on
from textual.app import App, ComposeResult
from textual.containers import Horizontal
from textual.widgets import DataTable, Input, Static


class EchoApp(App[None]):
    CSS = "DataTable { width: 1fr; } #echo { width: 44; }"

    def compose(self) -> ComposeResult:
        typed = Input()
        typed.cursor_blink = False
        yield typed
        with Horizontal():
            yield DataTable()
            yield Static("ready", id="echo")

    def on_mount(self) -> None:
        table = self.query_one(DataTable)
        table.add_columns("Name", "Gauge", "Fuse", "Length", "Drop")
        for row in range(50):
            table.add_row(f"Run {row}", "4", "80 A", f"{row} ft", "0.21 V")
        self.query_one(Input).focus()

    @on(Input.Changed)
    def echo(self, event: Input.Changed) -> None:
        self.query_one("#echo", Static).update(event.value)


if __name__ == "__main__":
    EchoApp().run()
