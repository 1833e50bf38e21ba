"""All rules, by name. The list is explicit; a test proves that each is documented, fires, and stays silent."""

from __future__ import annotations

from revdiff.judge.rule import ChangeRule, Declared, Rule
from revdiff.judge.rules import (
    addresses,
    buses,
    cables,
    clocks,
    contact_ratings,
    currents,
    derived,
    drive,
    feeding,
    firmware,
    guards,
    heights,
    identity,
    joints,
    leaving,
    levels,
    mechanics,
    parting,
    parts,
    plugging,
    power_on,
    pulling,
    release,
    resources,
    rewiring,
    roles,
    software,
    straps,
    supplies,
    turning,
    wiring,
)

OF_ARRANGEMENTS: tuple[Rule, ...] = tuple(
    sorted(
        (
            *addresses.RULES,
            *buses.RULES,
            *clocks.RULES,
            *contact_ratings.RULES,
            *currents.RULES,
            *derived.RULES,
            *drive.RULES,
            *firmware.RULES,
            *heights.RULES,
            *identity.RULES,
            *joints.RULES,
            *leaving.RULES,
            *levels.RULES,
            *mechanics.RULES,
            *parting.RULES,
            *plugging.RULES,
            *power_on.RULES,
            *pulling.RULES,
            *resources.RULES,
            *straps.RULES,
            *supplies.RULES,
            *turning.RULES,
            *wiring.RULES,
        ),
        key=lambda rule: rule.name,
    )
)


OF_CHANGES: tuple[ChangeRule, ...] = tuple(
    sorted(
        (
            *cables.RULES,
            *feeding.RULES,
            *guards.RULES,
            *identity.CHANGE_RULES,
            *parts.RULES,
            *release.RULES,
            *rewiring.RULES,
            *roles.RULES,
            *software.RULES,
        ),
        key=lambda rule: rule.name,
    )
)
ALL: tuple[Declared, ...] = tuple(sorted((*OF_ARRANGEMENTS, *OF_CHANGES), key=lambda rule: rule.name))


_BY_NAME = {rule.name: rule for rule in ALL}
# What has been told under a name of its own, and is told by another rule now.
_FORMER = {
    "connector-wired-to-supply": "connector-wired-elsewhere",
    "firmware-output-opposed": "firmware-output-contention",
    "joint-removed": "stack-joint-missing",
    "stack-pull-conflict": "stack-power-on-load",
}


def rule_named(name: str) -> Declared | None:
    """The rule of that name, or of the name it had before; None where there is none."""
    return _BY_NAME.get(_FORMER.get(name, name))
