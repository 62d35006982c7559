"""Columns of custom parts that say more than their field: sheet, bore, size of a device."""

from typing import Any

from domain.build.edits import Edit, EditRefused
from domain.build.records import Build, Hole
from domain.document.records import find
from tui.tables.columns import AUTO, Column


class SheetMaterial(Column, frozen=True):
    """A sheet material, by the start of any word of its name."""

    def typed(self, document: Any, record: Any, text: str) -> Edit:
        """The material that is meant; refused where several are, or none."""
        from domain.fabrication.materials.sheet_materials import (
            material,
            material_names,
            materials_like,
        )

        wanted = text.strip()
        if not wanted or material(wanted):
            return Column.typed(self, document, record, text)
        found = materials_like(wanted)
        if len(found) == 1:
            return self._set(record, found[0])
        shown = wanted if len(wanted) <= 20 else f"{wanted[:17]}..."
        if found:
            raise EditRefused(f"{shown!r} may be {_either(found)}: type more of it")
        raise EditRefused(f"there is no {shown!r}: type the start of {_either(material_names())}")


def _either(names: tuple[str, ...]) -> str:
    return f"{', '.join(names[:-1])} or {names[-1]}"


class Bore(Column, frozen=True):
    """The diameter of a hole; of one that takes the screw of a fixing, what that asks for."""

    def shown(self, document: Any, sheet: Any, record: Any) -> str:
        """As it is drilled in the part."""
        bore = _bore_m(document, record)
        if bore is None:
            return Column.shown(self, document, sheet, record)
        drilled = record.but(diameter_m=bore)
        return AUTO + Column.shown(self, document, sheet, drilled)

    def typed(self, document: Any, record: Any, text: str) -> Edit:
        """Refused where the screw says it."""
        bore = _bore_m(document, record)
        if bore is None:
            return Column.typed(self, document, record, text)
        drilled = self.shown(document, None, record).removeprefix(AUTO)
        if text.strip().removeprefix(AUTO) == drilled:
            return self._set(record, record.diameter_m)
        raise EditRefused(
            f"{record.id} is drilled {drilled} for the screw of its fixing: change the thread, or "
            "take the hole off its fixing"
        )


def _bore_m(build: Build, hole: Hole) -> float | None:
    """What a fixing's screw asks for [m]; ``None`` where the entered diameter counts."""
    fixing = find(build, hole.fixing) if hole.fixing else None
    if fixing is None or hole.thread:
        return None
    from domain.fabrication.shape.hole_placing import bore_of

    return bore_of(build, hole)


class DeviceSize(Column, frozen=True):
    """A size of a device, marked where it holds the place of one that nobody measured."""

    def shown(self, document: Any, sheet: Any, record: Any) -> str:
        """The size, with the mark of what was not entered."""
        from domain.fabrication.footprints.device_sizes import sizes_assumed

        text = Column.shown(self, document, sheet, record)
        assumed = isinstance(document, Build) and sizes_assumed(document, record)
        return AUTO + text if assumed else text

    def typed(self, document: Any, record: Any, text: str) -> Edit:
        """The size, with the mark or without."""
        return Column.typed(self, document, record, text.strip().removeprefix(AUTO))
