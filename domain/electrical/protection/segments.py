"""The proofs of protection as results of the sheet."""

from collections.abc import Mapping, Sequence
from math import inf

from domain.build.choices import FuseFamily
from domain.build.records import Build
from domain.electrical.protection import coordination
from domain.electrical.protection.any_short import Fuse, hurts_between
from domain.electrical.protection.proofs import Harm, Proof, Verdict
from domain.electrical.protection.withstand import lasting_a
from domain.sheet import FuseStudy, SegmentResult


def segment_results(
    build: Build,
    family: Mapping[str, FuseFamily],
    proofs: Sequence[Proof],
    studies: Sequence[FuseStudy],
) -> tuple[SegmentResult, ...]:
    """One result per segment, in the order of the runs.

    ``family`` are those of the fuses, by run.
    What a short behind its own fuse hurts is to be mended; where a dead one does, it is a stop.
    """
    of = {study.id: study for study in studies}

    def harm(proof: Proof) -> Harm:
        opener = proof.short.opener if proof.short else ""
        if proof.verdict is not Verdict.SHORT or opener not in of:
            return proof.harm
        fuses = [
            Fuse(id, coordination.window_of(build, family[id], of[id].rating_a)[0], of[id].rating_a)
            for id in proof.fuses
            if id in of
        ]
        study = of[opener]
        dead = hurts_between(fuses, proof.wire, study.fault_far_a, study.fault_near_a)
        return Harm.STOP if dead else proof.harm

    return tuple(_result(proof, harm(proof)) for proof in proofs)


def _result(proof: Proof, harm: Harm) -> SegmentResult:
    segment, short, shared = proof.segment, proof.short, proof.shared
    hurts = short is not None and short.margin < inf
    return SegmentResult(
        id=segment.id,
        run=segment.run,
        start_m=segment.start_m,
        end_m=segment.end_m,
        assumed=segment.assumed,
        verdict=proof.verdict.value,
        harm=harm.value,
        lasting_a=_finite(proof.lasting_a),
        through_a=_finite(proof.through_a),
        carries_a=proof.carries_a,
        limit_a=lasting_a(proof.wire),
        limits=proof.limits,
        cause=proof.cause,
        fuses=proof.fuses,
        opener=short.opener if short else "",
        short_a=short.current_a if short and hurts else None,
        opens_s=_finite(short.opens_s) if short and hurts else None,
        stands_s=short.stands_s if short and hurts else None,
        beside_a=short.beside_a if short and hurts else 0.0,
        shared_ratio=_finite(shared.times) if shared else None,
        shared_ohm=shared.ohm if shared else None,
        shared_a=shared.fault_a if shared else None,
        shared_place=shared.place if shared else "",
        shared_opened=tuple(run for run, _ in shared.opened) if shared else (),
    )


def _finite(value: float) -> float | None:
    return None if value == inf else value
