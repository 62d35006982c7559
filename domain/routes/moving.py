"""A device put at another place of the vehicle, as one edit."""

from domain.build.edits import Batch, Edit, EditRefused, SetField
from domain.build.records import DEVICE_TABLES, Build, table_of
from domain.document.records import find, label


def stand_at(build: Build, device: str, place: str) -> Edit:
    """Put a device, or a remote output, at a place; "" for none.

    Where it stood at another before, what was measured of its runs and leads holds no longer: they
    are as long as their ways again, else assumed. Raises ``EditRefused`` for what stands nowhere.
    """
    record = find(build, device)
    if record is None or table_of(device) not in (*DEVICE_TABLES, "remotes"):
        raise EditRefused("only a device, or a remote output, stands at a place")
    edit = SetField(table=table_of(device), id=device, field="place", value=place)
    if record.place in ("", place):
        return edit
    again = [
        SetField(table=table, id=each.id, field="length_m", value=None)
        for table, ends in (("runs", build.runs), ("leads", build.leads))
        for each in ends
        if device in (each.source, each.target) and each.length_m is not None
    ]
    if not again:
        return edit
    said = f"move {label(build, device)}: measure what is joined to it again"
    return Batch(edits=(edit, *again), label=said)
