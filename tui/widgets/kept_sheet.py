"""A style sheet that reads no source twice."""

from textual.css.stylesheet import Stylesheet


class KeptSheet(Stylesheet):
    """Textual's, which at each screen with styles of its own would read all the others again."""

    def reparse(self) -> None:
        """Take the rules of all sources; those read since the variables were set are known.

        Where a source is wrong, the rules stay as they were.
        """
        self.parse()
