"""The infeeds of one stock: in steps of the machine's dial, as much a pass as the wheel's grit bears."""

from regrind.geometry.dial_passes import DialPasses, plan_dial_passes
from regrind.geometry.units import NM_PER_MM, Unit
from regrind.shop.models import Wheel

from .machine import Machine
from .wheel import attempt, most_infeed_mm

FINISH_SHARE = 0.5  # of the roughing infeed a pass: common practice, from memory
NO_INFEED = "no infeed is known for this wheel's grit: as its maker says"
Passes = tuple[DialPasses | None, str]


def plan_passes(machine: Machine, unit: Unit, wheel: Wheel | None, stock_nm: int | None, finish_mm: float) -> Passes:
    """The passes for a stock in dial steps, or why there are none; nothing where there is no stock or wheel."""
    if not stock_nm or wheel is None:
        return None, ""
    most = most_infeed_mm(wheel)
    if most is None:
        return None, NO_INFEED
    stock, step = stock_nm / NM_PER_MM, machine.step_nm[unit] / NM_PER_MM
    finish_most = max(FINISH_SHARE * most, min(step, most))
    return attempt(lambda: plan_dial_passes(stock, min(finish_mm, stock), most, finish_most, step, spark_out=1))
