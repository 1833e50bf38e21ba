"""All mutations by name, and the making of a mutated pair."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from random import Random

from tests.campaign import (
    mutate_blocks,
    mutate_connectors,
    mutate_contact_rows,
    mutate_contacts,
    mutate_design,
    mutate_numbers,
    mutate_parts,
    mutate_pins,
    mutate_rows,
    mutate_signals,
)
from tests.campaign.boards import make_board
from tests.campaign.designs import make_design
from tests.campaign.trial import Trial

Mutation = Callable[[Trial], bool]

MUTATIONS: Mapping[str, Mutation] = {
    "part value": mutate_parts.value,
    "part package": mutate_parts.package,
    "part rating": mutate_parts.rating,
    "part fitted": mutate_parts.fitted,
    "part substituted": mutate_parts.substituted,
    "part life cycle": mutate_parts.lifecycle,
    "part cost": mutate_parts.cost,
    "part detail": mutate_parts.detail,
    "part added": mutate_parts.added,
    "part removed": mutate_parts.removed,
    "designator re-used": mutate_parts.reused,
    "block renumbered": mutate_numbers.block_shift,
    "class in another order": mutate_numbers.another_order,
    "numbers closed up": mutate_numbers.closed_up,
    "numbers opened": mutate_numbers.opened,
    "designators exchanged": mutate_numbers.exchanged,
    "stray number": mutate_numbers.stray,
    "controller renumbered": mutate_numbers.controller,
    "pin moved": mutate_pins.moved,
    "pins swapped": mutate_pins.swapped,
    "pins rotated": mutate_pins.rotated,
    "pin added": mutate_pins.added,
    "pin removed": mutate_pins.removed,
    "pin reassigned": mutate_pins.reassigned,
    "pin function": mutate_pins.function,
    "pin direction": mutate_pins.direction,
    "pin active level": mutate_pins.active,
    "pin pull": mutate_pins.pull,
    "pin level": mutate_pins.level,
    "pin analog channel": mutate_pins.analog,
    "pin detail": mutate_pins.detail,
    "signal renamed": mutate_signals.renamed,
    "signal renamed on one board": mutate_signals.renamed_on_one,
    "signal renamed and moved": mutate_signals.renamed_and_moved,
    "contact moved": mutate_contacts.moved,
    "contact to another connector": mutate_contacts.moved_across,
    "contacts swapped": mutate_contacts.swapped,
    "contact swapped with power": mutate_contacts.swapped_with_power,
    "contacts rotated": mutate_contacts.rotated,
    "numbered from the other end": mutate_contact_rows.other_end,
    "odd and even exchanged": mutate_contact_rows.odd_even,
    "pair inserted": mutate_contact_rows.pair_inserted,
    "contact added": mutate_contact_rows.added,
    "contact removed": mutate_contact_rows.removed,
    "contact reassigned": mutate_contacts.reassigned,
    "contact direction": mutate_contacts.direction,
    "contact level": mutate_contacts.level,
    "contact current": mutate_contacts.current,
    "contact detail": mutate_contacts.detail,
    "connector added": mutate_connectors.connector_added,
    "connector removed": mutate_connectors.connector_removed,
    "connector renumbered": mutate_connectors.connector_renumbered,
    "connector name re-used": mutate_connectors.connector_reused,
    "connector split": mutate_connectors.connector_split,
    "connectors merged": mutate_connectors.connector_merged,
    "connector pitch": mutate_connectors.pitch,
    "connector gender": mutate_connectors.gender,
    "connector position": mutate_connectors.position,
    "connector role": mutate_connectors.role,
    "connector detail": mutate_connectors.connector_detail,
    "joint added": mutate_design.joint_added,
    "joint removed": mutate_design.joint_removed,
    "joint changed": mutate_design.joint_changed,
    "contract changed": mutate_design.contract_changed,
    "contract added": mutate_design.contract_added,
    "contract removed": mutate_design.contract_removed,
    "board added": mutate_design.board_added,
    "board removed": mutate_design.board_removed,
    "manifest field": mutate_design.manifest,
}

# What happens to one board with long rows.
BOARD_MUTATIONS: Mapping[str, Mutation] = {
    "block to free numbers": mutate_blocks.to_free_numbers,
    "block onto its own numbers": mutate_blocks.onto_own_numbers,
    "blocks exchanged": mutate_blocks.blocks_exchanged,
    "block onto removed numbers": mutate_blocks.onto_removed_numbers,
    "long row closed up": mutate_blocks.closed_up,
    "long row opened": mutate_blocks.opened,
    "numbered by place": mutate_blocks.by_place,
    "unlike parts exchanged": mutate_blocks.exchanged,
    "equal parts exchanged": mutate_blocks.equal_exchanged,
    "equal run closed up": mutate_blocks.run_closed_up,
    "one of many astray": mutate_blocks.stray,
    "row value": mutate_rows.value,
    "row package": mutate_rows.package,
    "row rating": mutate_rows.rating,
    "row substituted": mutate_rows.substituted,
    "row replaced": mutate_rows.replaced,
    "row substituted, more added": mutate_rows.substituted_and_added,
    "row fitted": mutate_rows.fitted,
    "row fitted both ways": mutate_rows.fitted_both_ways,
    "row unfitted, data dropped": mutate_rows.unfitted_without_data,
    "row added": mutate_rows.added,
    "row removed": mutate_rows.removed,
    "row description": mutate_rows.description,
    "row book-keeping": mutate_rows.kept,
    "book-keeping throughout": mutate_rows.throughout,
    "column comes or goes": mutate_rows.column,
}


def make_board_trial(seed: int | str, size: int, mutation: str = "", count: int = 1) -> Trial:
    """A pair of boards of about ``size`` parts, as ``make_trial``."""
    for attempt in range(50):
        rng = Random(f"{seed}/{size}/{mutation}/{count}/{attempt}")
        old = make_board(rng.randrange(1 << 40), size)
        trial = Trial(old, old.copy(), rng)
        done = 0
        for _ in range(count * 12):
            if done == count:
                break
            # A mutation here changes nothing where it finds no place.
            trial.mutation = mutation or rng.choice(list(BOARD_MUTATIONS))
            done += BOARD_MUTATIONS[trial.mutation](trial)
        if done == count:
            return trial
    raise ValueError(f"no board has a place for {mutation or count}")


def make_trial(seed: int | str, mutation: str = "", count: int = 1) -> Trial:
    """A pair of designs: with one named mutation, or with ``count`` different ones drawn at random.

    ``count`` 0 makes a pair that differs in nothing. A mutation that a design has no place for is tried on other
    places, then on other designs.
    """
    for attempt in range(50):
        rng = Random(f"{seed}/{mutation}/{count}/{attempt}")
        old = make_design(rng.randrange(1 << 40))
        trial = Trial(old, old.copy(), rng)
        wanted = 1 if mutation else count
        done = 0
        for _ in range(wanted * 12):
            if done == wanted:
                return trial
            name = mutation or rng.choice(list(MUTATIONS))
            done += _apply(trial, name)
        if done == wanted:
            return trial
    raise ValueError(f"no design has a place for {mutation or count}")


def _apply(trial: Trial, name: str) -> bool:
    """Does one mutation. Where there is no place for it, nothing is changed but what it had taken for itself."""
    trial.mutation, trial.breaks = name, False
    new, events, touched = trial.new.copy(), list(trial.events), set(trial.touched)
    if MUTATIONS[name](trial):
        return True
    trial.new, trial.events, trial.touched = new, events, touched
    return False
