"""The smallest Textual program: what any start is compared with."""

from textual.app import App, ComposeResult
from textual.widgets import Static


class HelloApp(App[None]):
    def compose(self) -> ComposeResult:
        yield Static("Hello, world")


if __name__ == "__main__":
    HelloApp().run()
