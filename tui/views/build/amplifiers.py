"""The page of amplifiers."""

from tui.views.build.build_view import BuildView


class AmplifiersView(BuildView):
    """Amplifiers: what they take, and the drop on the way to each."""

    id = "amplifiers"
    title = "Amplifiers"
    key = "f2"
    short_title = "Amp"
