"""Where along a run its fuse sits, as entered or as it is usual."""

from domain.build.choices import BlockKind
from domain.build.records import Block, Build, Run
from domain.document.records import find
from domain.reference.planning import planned


def fuse_distance_m(build: Build, run: Run, far: bool = False) -> float:
    """Wire from the run's near (else far) end to the fuse there [m].

    A fuse that is not placed yet sits in the fuse place of a fused block where the run hangs on
    one, else as far from the end as it is usual (``assumed_fuse_m``).
    """
    given = run.far_fuse_distance_m if far else run.fuse_distance_m
    if given is not None:
        return given
    device = None if far else find(build, run.source)
    if isinstance(device, Block) and device.fused and device.kind is BlockKind.DISTRIBUTION:
        return 0.0
    return planned("assumed_fuse_m")


def fuse_assumed(run: Run, far: bool = False) -> bool:
    """Whether the place of the fuse at that end is assumed, not entered."""
    fused, given = (
        (run.far_fused, run.far_fuse_distance_m) if far else (run.fused, run.fuse_distance_m)
    )
    return fused and given is None
