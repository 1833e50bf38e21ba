"""What is said where nothing was found: never more than what was judged, and what was not."""

from __future__ import annotations

from collections.abc import Iterator

from revdiff.judge.finding import Audience, NotChecked
from revdiff.readers.faults import counted
from revdiff.release.review import Review
from revdiff.release.scope import Scope, scope_of
from revdiff.release.standing import Standing, standing
from revdiff.release.verdicts import unfit_before

_OTHER_LOAD = "firmware-drives-other-load"
_LOOK = "nobody can tell before somebody has looked; see what was not checked"


def no_hazard(review: Review) -> str:
    """Of old and new boards and firmware in any combination."""
    scope = scope_of(review.comparison)
    missing = [why for why in (scope.not_stacked, scope.not_run) if why]
    if len(missing) == 2:
        return f"Not judged: {'; '.join(missing)}. Nothing is said here of what is hazardous."
    stood = standing(review)
    if _proposed(review) or any(_doubtful(review, stood, audience) for audience in ("stacking", "firmware")):
        said = f"Whether a combination of old and new {_of(scope)} is hazardous, {_LOOK}."
    elif any(item.hazard for item in stood.findings):
        said = f"No combination of old and new {_of(scope)} was found to be newly hazardous, in {scope.counts}."
    else:
        said = f"No combination of old and new {_of(scope)} was found to be hazardous, in {scope.counts}."
    said += already(stood) + _unmade(len(review.not_checked))
    return f"{said} Not judged: {missing[0]}." if missing else said


def no_firmware_hazard(review: Review) -> str:
    """Of the firmware of one revision on the other."""
    scope = scope_of(review.comparison)
    if scope.not_run:
        return f"Not judged: {scope.not_run}. Nothing is said here of what is hazardous."
    stood = standing(review).of("firmware")
    if _doubtful(review, stood, "firmware") or _proposed(review):
        return f"Whether firmware of one revision is a hazard on the other, {_LOOK}.{already(stood)}"
    held = counted(scope.contracts, "firmware contract") if scope.contracts else "the pin maps alone"
    by = f"{held} and {counted(scope.pins, 'pin')}" if scope.contracts else f"{held}, {counted(scope.pins, 'pin')}"
    unmade = _unmade(len(firmware_unmade(review)))
    new = "newly " if any(item.hazard for item in stood.findings) else ""
    return f"No firmware of one revision was found to be {new}a hazard on the other, by {by}.{already(stood)}{unmade}"


def firmware_unmade(review: Review) -> tuple[NotChecked, ...]:
    """The checks that could not be made and that firmware developers are told of."""
    return tuple(item for item in review.not_checked if item.concerns("firmware"))


def already(stood: Standing) -> str:
    """What no change brought and is broken all the same; a hazard is called one. Else empty."""
    said = ""
    for where, broken in (("", stood.before), (", and still so where old meets new", stood.mixed)):
        for word, found in (
            ("a hazard", [item for item in broken if item.hazard]),
            ("broken", [item for item in broken if not item.hazard]),
        ):
            said += f" Already {word} before{where}: {unfit_before(found)}." if found else ""
    if stood.itself:
        said += f" By the new tables alone, this doesn't fit: {unfit_before(stood.itself)}."
    return said


def _unmade(number: int) -> str:
    return f" {counted(number, 'check')} could not be made." if number else ""


def what_fits(review: Review, listed: tuple[str, ...]) -> Iterator[str]:
    """A sentence each for boards on each other and firmware on boards; ``listed``: of which some stand in a table."""
    scope, stood = scope_of(review.comparison), standing(review)
    audiences: tuple[tuple[Audience, str, str, str], ...] = (
        ("stacking", "Boards on each other", scope.not_stacked, counted(scope.joints, "joint")),
        ("firmware", "Firmware on boards", scope.not_run, _held(scope)),
    )
    for audience, who, why, how in audiences:
        of_these = stood.of(audience)
        if why:
            yield f"{who}: not judged: {why}."
        elif _doubtful(review, of_these, audience):
            yield f"{who}: of combinations that are not listed, {_LOOK}.{already(of_these)}"
        elif of_these.findings:
            yield f"{who}:{already(of_these)} Of other combinations that are not listed none was found, in {how}."
        else:
            others = "of combinations that are not listed, none" if audience in listed else "no combination"
            yield f"{who}: {others} of old and new was found that doesn't fit, in {how}."


def _proposed(review: Review) -> bool:
    """Whether firmware drives what may be another load: one that only its name proposes is no hazard that is stated,
    and none that may be denied."""
    return any(item.rule == _OTHER_LOAD for item in review.findings)


def _doubtful(review: Review, stood: Standing, audience: Audience) -> bool:
    return bool(review.verdict.doubts(audience)) or audience in stood.doubted


def _held(scope: Scope) -> str:
    return counted(scope.contracts, "firmware contract") if scope.contracts else counted(scope.pins, "pin")


def _of(scope: Scope) -> str:
    if scope.not_stacked:
        return "firmware and boards"
    return "boards" if scope.not_run else "boards or firmware"
