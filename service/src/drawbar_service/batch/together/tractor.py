"""The tractor on arrays: what traction and match share."""

import re
from typing import Final

from drawbar_service.api.shared.tractor import AxleInSI, Tractor, TractorInSI
from drawbar_service.batch.together.way import Leaves
from drawbar_service.engine.arrays import STANDARD_GRAVITY, FloatArray
from drawbar_service.engine.traction import wheel_stiffness

TRACTOR_LEAVES: Final = r"/tractor/(?:mass|front_share|wheelbase)|/soil/cone_index"
_LEAVES = re.compile(TRACTOR_LEAVES)


def follows_front(tractor: Tractor, leaves: Leaves) -> bool:
    """Say whether rows differ in the soil that the rear wheels find in the track of the front ones."""
    return tractor.rear_follows_front and any(map(_LEAVES.fullmatch, leaves))


def with_arrays(found: TractorInSI, tractor: Tractor, leaves: Leaves) -> TractorInSI:
    """Return a tractor with arrays in the place of numbers of the `leaves`."""
    if any(pointer.startswith("/tractor/") for pointer in leaves):
        weight = leaves.at("/tractor/mass", tractor.mass) * STANDARD_GRAVITY
        share = leaves.at("/tractor/front_share", found.front_share)
        stance = found.stance._replace(wheelbase=leaves.at("/tractor/wheelbase", tractor.wheelbase or 0.0))
        loads, grade_pull = stance.loads(weight, share), weight * stance.sine
        engine = found.engine._replace(loads=loads, grade_pull=grade_pull)
        found = found._replace(engine=engine, weight=weight, stance=stance, front_share=share)
    cone_index = leaves.get("/soil/cone_index")
    if cone_index is None:
        return found
    front, rear = _on_soil(found.front, cone_index), _on_soil(found.rear, cone_index)
    return found._replace(engine=found.engine._replace(front=front.axle, rear=rear.axle), front=front, rear=rear)


def _on_soil(axle: AxleInSI, cone_index: FloatArray) -> AxleInSI:
    tire = axle.tire._replace(cone_index=cone_index)
    stiffness = axle.tires * wheel_stiffness(cone_index, tire.width, tire.diameter, tire.deflection_ratio)
    return axle._replace(axle=axle.axle._replace(stiffness=stiffness), tire=tire)
