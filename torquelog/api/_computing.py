"""Computing without any record: settings, applied torques, conversions, from values as people write them."""

from collections.abc import Sequence

from torquelog.api._results import Applied, Converted, Setting
from torquelog.rules.grounds import Remark
from torquelog.torque import conversion
from torquelog.torque import setting as settings
from torquelog.torque.adapter import Extension, Multiplier
from torquelog.torque.limits import parse_basis, parse_spec
from torquelog.torque.number import parse_number
from torquelog.torque.units import parse_angle, parse_length, parse_percent, parse_torque, parse_unit

Adapter = str | tuple[str, str]
"""An adapter by its length, `"2 in"`, or by its length and its angle to the wrench, `("2 in", "45")`."""


def setting(
    specification: str,
    *,
    lever: str | None = None,
    adapters: Sequence[Adapter] = (),
    multipliers: Sequence[str] = (),
    run_on: str | None = None,
    basis: str = "total",
    share: str | None = None,
    tolerance: str | None = None,
    graduation: str | None = None,
    reach: str | None = None,
    unit: str | None = None,
) -> Setting:
    """Work out what to set on a wrench. The limits come from your approved data.

    Args:
        specification: low..high, nominal ± tolerance, min or max, with its unit: `60..80 N·m`.
        lever: the wrench's, centre of its square to where the hand pulls: `400 mm`.
        adapters: in order from the wrench, each by its length, negative where it is turned back, or as a pair of
            its length and its angle in degrees.
        multipliers: behind them, each by its certified ratio.
        run_on: the run-on torque that was measured.
        basis: `total`, `above-run-on` or `above-run-on-from`.
        share: for `above-run-on-from`, the share of the low limit: `1/3`.
        tolerance: for a specification of one torque: `5 %`.
        graduation: the step of the wrench's scale: `0.5 N·m`.
        reach: the wrench's range: `20..100 N·m`.
        unit: the unit of the wrench's scale.

    Raises:
        TorquelogError: for a value that cannot be read, each with its code, and for adapters that make no sense.
    """
    named, from_share = parse_basis(basis, share)
    found = settings.work_out(
        parse_spec(specification, parse_percent(tolerance) if tolerance else None),
        _chain(adapters, multipliers),
        lever=parse_length(lever) if lever else None,
        run_on=parse_torque(run_on) if run_on else None,
        basis=named,
        from_share=from_share,
        graduation=parse_torque(graduation) if graduation else None,
        reach=parse_spec(reach) if reach else None,
        unit=parse_unit(unit).symbol if unit else None,
    )
    told = found.shown()
    remarks = tuple(Remark(*remark) for remark in found.remarks)
    return Setting(told.low, told.high, told.target, told.dial, told.at_fastener, found.ratio, remarks)


def applied(
    indicated: str,
    *,
    lever: str | None = None,
    adapters: Sequence[Adapter] = (),
    multipliers: Sequence[str] = (),
) -> Applied:
    """Work out what an indicated torque gives at the fastener.

    Args:
        indicated: what the wrench was set to or showed: `60 lbf·in`.
        lever, adapters, multipliers: as for `setting`.

    Raises:
        TorquelogError: for a value that cannot be read, each with its code, and for adapters that make no sense.
    """
    length = parse_length(lever) if lever else None
    found = settings.applied(parse_torque(indicated), _chain(adapters, multipliers), length)
    return Applied(found.torque, found.newton_metres, found.ratio)


def convert(torque: str, unit: str) -> Converted:
    """Convert a torque into another unit, exactly.

    Args:
        torque: a value with its unit: `300 lbf·in`.
        unit: N·m, cN·m, daN·m, lbf·in, lbf·ft, ozf·in, kgf·m, kgf·cm, mN·m, kN·m, gf·cm, dyn·cm or ozf·ft.

    Raises:
        TorquelogError: for a value or a unit that cannot be read, with its code.
    """
    found = conversion.convert(torque, unit)
    return Converted(found.to.value, found.to.unit, found.exact)


def _chain(adapters: Sequence[Adapter], multipliers: Sequence[str]) -> tuple[Extension | Multiplier, ...]:
    pairs = [(each, "0") if isinstance(each, str) else each for each in adapters]
    extensions = (
        Extension(parse_length(length, signed=True).metres, parse_angle(angle)) for length, angle in pairs
    )
    return (*extensions, *(Multiplier(parse_number(ratio)) for ratio in multipliers))
