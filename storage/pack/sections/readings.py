"""The readings sheet: what a meter should show, with room for what it shows."""

from domain.build.choices import NetworkMode
from domain.electrical.meter.readings import PredictedReading
from storage.pack.pack_context import Pack
from storage.pack.paper import BLANK, TICK, Column, Paper


def readings(pack: Pack, paper: Paper) -> None:
    """State by state in the order of a walk round the car, then what was typed before."""
    read, show = pack.results.readings, pack.show
    if not read.predicted:
        paper.words("No state of this build can be predicted: see Findings.")
    else:
        paper.words(
            "Along a run: across both its joints. A distribution block: against bare body metal. "
            "To b1 negative: black probe on the negative post of b1."
        )
        paper.words(
            "CAUTION at full tone: ears protected; a steady tone, short, or into a dummy load. "
            "Engine running: exhaust led outdoors, hands and leads clear of belts and fan."
        )
    modes: dict[NetworkMode, list[PredictedReading]] = {}
    for each in read.predicted:
        modes.setdefault(each.mode, []).append(each)
    # States that a meter cannot tell apart are one table.
    alike: dict[tuple[tuple[str, str, str, str], ...], list[NetworkMode]] = {}
    for mode, own in modes.items():
        shown = tuple(
            (
                each.at,
                each.meter.value,
                show("voltage", each.predicted_v),
                show("voltage", each.tolerance_v),
            )
            for each in own
        )
        alike.setdefault(shown, []).append(mode)
    for same in alike.values():
        own = modes[same[0]]
        title = " or ".join(_state(pack, mode) for mode in same)
        paper.heading(title[:1].upper() + title[1:], 26, mark=True)
        rows = []
        for each in own:
            how = each.meter.value
            if each.against:
                how = f"to {each.against} negative"
            low, high = each.predicted_v - each.tolerance_v, each.predicted_v + each.tolerance_v
            rows.append(
                (
                    str(each.order),
                    f"{pack.name(each.at)} ({each.at})",
                    how,
                    show("voltage", each.predicted_v),
                    show("voltage", each.tolerance_v),
                    f"{show('voltage', low).removesuffix(' V')} to {show('voltage', high)}",
                    BLANK,
                    TICK,
                )
            )
        paper.table(
            (
                Column("No.", 13, 1),
                Column("Read at", most=2),
                Column("Probes", 39, most=3),
                Column("Should be", 18, 1, bold=True),
                Column("Give or take", 16, 1),
                Column("Good", 30, 1),
                Column("Read", 20),
                Column("OK", 9),
            ),
            rows,
        )
    _typed(pack, paper)


def _state(pack: Pack, mode: NetworkMode) -> str:
    state = pack.sheet.state(mode.value)
    return state.title if state else mode.value


def _typed(pack: Pack, paper: Paper) -> None:
    read = pack.results.readings
    if not read.judged:
        return
    paper.heading("Readings taken so far", 26, mark=True)
    paper.table(
        (
            Column("Taken at"),
            Column("State", 34),
            Column("Reading", 18, 1),
            Column("Should be", 20, 1),
            Column("Give or take", 15, 1),
            Column("Verdict", 48, most=5),
        ),
        [
            (
                f"{pack.name(each.at) if each.at else '-'}, {each.meter.value}",
                _state(pack, each.mode),
                pack.show("voltage", each.value_v),
                pack.show("voltage", each.predicted_v),
                pack.show("voltage", each.tolerance_v),
                each.message if not each.ok else "pass",
            )
            for each in read.judged
        ],
    )
    if read.verdict:
        paper.words(read.verdict, bold=True)
    for suspect in [each for each in read.suspects if each.explained][:3]:
        paper.words(
            f"{suspect.where}: {pack.show('resistance', suspect.extra_ohm)} too much explains it. "
            f"{suspect.what_to_do}",
            indent=5,
            mark="-",
        )
