"""A style sheet that reads no source twice, and keeps no more of a style than the style."""

from textual.css.stylesheet import Stylesheet
from textual.dom import DOMNode

STYLED = frozenset(
    {
        *("styles", "_css_styles", "_inline_styles", "_component_styles"),
        *("_MessagePump__parent", "_id", "_name", "_classes", "_css_types"),
        *("_has_hover_style", "_has_focus_within", "_has_order_style", "_has_odd_or_even"),
    }
)
"""What its style is found by, of all that a node has."""


class KeptSheet(Stylesheet):
    """Textual's, which at each screen with styles of its own would read all the others again.

    For each part of a widget that is styled on its own (a row's cursor, a header) Textual makes a
    whole node, with messages and keys, 6 kB; a table has five. Nobody but its style knows of it.
    """

    def reparse(self) -> None:
        """Take the rules of all sources; those read since the variables were set are known.

        Where a source is wrong, the rules stay as they were.
        """
        self.parse()

    def _process_component_classes(self, node: DOMNode) -> None:
        super()._process_component_classes(node)
        for styles in node._component_styles.values():
            part = styles.node
            if part is not None and len(part.__dict__) > len(STYLED):
                part.__dict__ = {name: part.__dict__[name] for name in STYLED}
