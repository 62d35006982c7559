"""The proofs of protection as results of the sheet."""

from collections.abc import Sequence
from math import inf

from domain.electrical.protection.proofs import Proof
from domain.electrical.protection.withstand import lasting_a
from domain.sheet import SegmentResult


def segment_results(proofs: Sequence[Proof]) -> tuple[SegmentResult, ...]:
    """One result per segment, in the order of the runs."""
    return tuple(_result(proof) for proof in proofs)


def _result(proof: Proof) -> SegmentResult:
    segment, short, shared = proof.segment, proof.short, proof.shared
    hurts = short is not None and short.margin < inf
    return SegmentResult(
        id=segment.id,
        run=segment.run,
        start_m=segment.start_m,
        end_m=segment.end_m,
        assumed=segment.assumed,
        verdict=proof.verdict.value,
        harm=proof.harm.value,
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
        shared_ratio=_finite(shared.times) if shared else None,
        shared_ohm=shared.ohm if shared else None,
        shared_a=shared.fault_a if shared else None,
        shared_place=shared.place if shared else "",
        shared_opened=tuple(run for run, _ in shared.opened) if shared else (),
    )


def _finite(value: float) -> float | None:
    return None if value == inf else value
