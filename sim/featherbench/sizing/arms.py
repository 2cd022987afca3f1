"""Round weights on threaded arms that stand on the grip, one above and one below."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from featherbench.assembly.hardware import MM, thread_of
from featherbench.assembly.materials import Material
from featherbench.assembly.shapes import Piece
from featherbench.sizing.choices import (
    MOST_OF_THREE,
    Choices,
    nut_height,
    steps_of,
    thinned,
    touched,
)
from featherbench.sizing.design_space import DesignSpace
from featherbench.sizing.drive import off_the_end, with_drive, written_cut
from featherbench.sizing.machined import Build, Column, MachinedPart, bar, mm


def arm_choices(space: DesignSpace) -> tuple[list[Choices], list[str]]:
    """Round weights of each material on threaded arms, one above and one below; and why there are none."""
    limit = min(space.above, space.below)
    if space.arm_face is None or space.arm_face >= limit:
        return [], [
            "arms: no grip to stand on at arm_radius below the heights; state envelope.arm_foot or arm_radius"
        ]
    least = 1.5 * thread_of(space.thread).diameter * MM
    wide = [size for size in space.bars if least - 1e-9 <= size <= space.arm_widest + 1e-9]
    if not wide:
        return [], [
            f"arms: no bar between {least * 1e3:.2g} and {space.arm_widest * 1e3:.3g} mm at the arms' radius"
        ]
    if limit - space.arm_face < nut_height(space):
        return [], ["arms: no height over the grip for a weight as thick as a nut"]
    return [_arms(space, material, np.array(wide), space.arm_face, limit) for material in space.materials], []


def _arms(
    space: DesignSpace, metal: Material, wide: NDArray[np.float64], face: float, limit: float
) -> Choices:
    steps = steps_of(space, face, limit, nut_height(space))
    tops = np.round(face + thinned(steps, MOST_OF_THREE), 9)
    steps, wide = thinned(steps, MOST_OF_THREE), thinned(wide, MOST_OF_THREE)
    diameter, length, top = (grid.ravel() for grid in np.meshgrid(wide, steps, tops, indexing="ij"))
    fits = length <= top - face + 1e-9
    diameter, length, top = diameter[fits], length[fits], top[fits]
    round_bar = (diameter, top - length, top)
    off = off_the_end(space.thread, *round_bar, metal.density, space.core)
    weight = bar(*round_bar, metal.density, space.core).less(off)
    arm = bar(space.core, face, top, space.arm_material.density).plus(_buried(space, face))
    numbers = np.stack([diameter, length, top], axis=1)
    return Choices(
        "arms",
        f"{metal.name} weights on threaded arms",
        space.arm_radius,
        0.0,
        (),
        weight.plus(arm).mirrored(),
        lambda index: _arm_build(space, metal, face, *(float(value) for value in numbers[index])),
        lambda index: touched(
            space, numbers[index][2], numbers[index][2], numbers[index][0], space.arm_widest
        ),
    )


def _arm_build(
    space: DesignSpace, metal: Material, face: float, diameter: float, length: float, top: float
) -> Build:
    arm = Piece(face, top - face, diameter=space.core)
    weight = Piece(top - length, length, diameter=diameter, bore=space.core)
    standing = (space.arm_radius, 0.0, 2, space.thread)
    tapped = with_drive(MachinedPart("weight", metal.name, metal.density, (weight,), *standing, tapped=True))
    bar_of = MachinedPart(
        "arm", space.arm_material.name, space.arm_material.density, (arm,), *standing, threaded=(0,)
    )
    stud = replace(bar_of, screwed_in=_engaged(space, arm), fitted=("weight-arm",))
    made = (replace(tapped, fitted=("weight",)), stud)
    return Build(made, _arm_parts(space, metal, arm, tapped.pieces[0]), _buried(space, face).mirrored())


def _buried(space: DesignSpace, face: float) -> Column:
    """Sums of what of one stud is in the grip, less the metal that its hole takes out."""
    deep = _engaged(space, Piece(face, 0.0))
    return bar(space.core, face - deep, face, space.arm_material.density - space.arm_hole)


def _engaged(space: DesignSpace, arm: Piece) -> float:
    """As deep as the grip allows, m, a wall of half a millimetre left before the axis; in whole steps of the lathe."""
    deep = min(2.0 * space.shank, max(arm.start - 0.5 * MM, 0.1 * MM))
    return max(float(space.whole_steps(deep)), 0.1 * MM)


def _arm_parts(space: DesignSpace, metal: Material, arm: Piece, weight: Piece) -> dict[str, dict[str, Any]]:
    """The same as parts of a scenario."""

    def at(piece: Piece) -> dict[str, str]:
        return {"radius": mm(space.arm_radius), "normal": mm(piece.start + piece.length / 2.0)}

    common, deep = {"group": "counterweight", "axis": "normal", "mirror": "normal"}, _engaged(space, arm)
    return {
        "weight-arm": {
            **common,
            "shape": "cylinder",
            "diameter": mm(arm.diameter),
            "thread": space.thread,
            "length": mm(arm.length),
            "at": at(arm),
            "material": space.arm_material.name,
            "held_by": "screwed into the grip",
            "engagement": mm(deep),
        },
        "weight-arm-foot": {
            **common,
            "shape": "cylinder",
            "diameter": mm(arm.diameter),
            "thread": space.thread,
            "length": mm(deep),
            "at": at(Piece(arm.start - deep, deep)),
            "material": space.arm_material.name,
            "mass": f"{1e3 * float(_buried(space, arm.start).mass):.9g} g",
            "held_by": "one piece",
            "held_to": "weight-arm",
        },
        "weight": {
            **common,
            "shape": "tube",
            "diameter": mm(weight.diameter),
            "bore": mm(weight.bore),
            "tapped": space.thread,
            "length": mm(weight.length),
            "at": at(weight),
            "material": metal.name,
            "held_by": "thread",
            "held_to": "weight-arm",
            **written_cut(weight),
        },
    }
