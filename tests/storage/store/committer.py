"""Commits edits until it is killed, saying each revision once it is saved."""

import itertools
import sys

from domain.build.actions import add_amplifier
from domain.build.edits import Edit, apply
from domain.build.removal import remove
from storage.store.builds import Store
from storage.store.location import place_of
from tests.storage.store.builds import set_length


def main() -> None:
    with Store(place_of(sys.argv[1])) as store:
        kept = store.build(int(sys.argv[2]))
        opened = kept.open()
        build, revision = opened.document, opened.revision
        for turn in itertools.count():
            edit: Edit = set_length("r4", 1 + turn % 90)
            if turn % 5 == 0:
                edit = add_amplifier(build)
            elif turn % 5 == 4:
                edit = remove(build, "amplifiers", build.amplifiers[0].id)
            after, inverse = apply(build, edit)
            revision = kept.commit(revision, edit, inverse, after).revision
            build = after
            print(revision, flush=True)


if __name__ == "__main__":
    main()
