"""The boards of a stack as layers, and the joints between two of them, whichever revisions they come from."""

from __future__ import annotations

from dataclasses import replace

from msgspec import Struct

from revdiff.design import Board, Design, Joint
from revdiff.design.sections import BoardSections
from revdiff.judge.finding import Role
from revdiff.judge.names import connector_names


class Layer(Struct, frozen=True):
    """One board at one revision, with the design it comes from. ``label``: ``base@rev-c``."""

    design: Design
    board: Board
    label: str
    new: bool
    role: Role = ""

    @property
    def data(self) -> BoardSections:
        """The sections of the board."""
        return self.board.sections

    @staticmethod
    def of(design: Design, board: str, revision: str, *, new: bool = False, role: Role = "") -> Layer:
        """The board of a design."""
        found = design.boards[board]
        return Layer(design, found, f"{board}@{revision}", new, role)


class OpenJoint(Struct, frozen=True):
    """A joint that only one of two boards has: the other's revision lacks the connector, or declares no such joint."""

    joint: Joint
    having: Layer
    lacking: Layer
    connector: str
    why: str


def joints_between(a: Layer, b: Layer) -> tuple[tuple[Joint, ...], tuple[OpenJoint, ...]]:
    """The joints of two boards, seen from ``a``, and those that only one of their revisions has.

    A design that doesn't know both boards has no say. Where both designs state how contacts pair, the one of ``b``
    counts; a connector that one design has under another name is followed.
    """
    ours = _declared(a.design, a.board.name, b.board.name)
    if a.design is b.design:
        return tuple(ours.values()), ()
    theirs = _declared(b.design, a.board.name, b.board.name)
    if set(ours) != set(theirs):
        ours, theirs = _followed(a, b, ours, theirs)
    both = {a.board.name, b.board.name}
    known = [both <= set(layer.design.boards) for layer in (a, b)]
    joints, unmet = [], []
    for key in {**ours, **theirs}:
        joint = theirs.get(key) or ours[key]
        for layer, other, connector in ((a, b, key[0]), (b, a, key[1])):
            if connector not in layer.board.connectors and layer.board.connectors:
                unmet.append(OpenJoint(joint, other, layer, connector, f"{layer.board.name} has no {connector}"))
                break
        else:
            joints.append(joint)
            for layer, other, said, knows in ((a, b, ours, known[0]), (b, a, theirs, known[1])):
                if key not in said and knows:
                    connector = key[0] if layer is a else key[1]
                    why = f"{connector} of {layer.board.name} is no joint to {other.board.name}"
                    unmet.append(OpenJoint(joint, other, layer, connector, why))
                    joints.pop()
                    break
    return tuple(joints), tuple(unmet)


def _declared(design: Design, a: str, b: str) -> dict[tuple[str, str], Joint]:
    found = {}
    for joint in design.joints:
        if (joint.board_a, joint.board_b) == (a, b):
            found[joint.connector_a, joint.connector_b] = joint
        elif (joint.board_a, joint.board_b) == (b, a):
            pairs = joint.contacts
            back = tuple((two, one) for one, two in pairs) if isinstance(pairs, tuple) else pairs
            found[joint.connector_b, joint.connector_a] = replace(
                joint, board_a=a, connector_a=joint.connector_b, board_b=b, connector_b=joint.connector_a, contacts=back
            )
    return found


def _followed(
    a: Layer, b: Layer, ours: dict[tuple[str, str], Joint], theirs: dict[tuple[str, str], Joint]
) -> tuple[dict[tuple[str, str], Joint], dict[tuple[str, str], Joint]]:
    """Both sets of joints with a's connectors named as in a's revision and b's as in b's."""
    to_ours = connector_names(b.design, a.design).get(a.board.name, {})
    to_theirs = connector_names(a.design, b.design).get(b.board.name, {})
    first, second = {}, {}
    for (one, two), joint in ours.items():
        name = to_theirs.get(two, two)
        first[one, name] = replace(joint, connector_b=name)
    for (one, two), joint in theirs.items():
        name = to_ours.get(one, one)
        second[name, two] = replace(joint, connector_a=name)
    return first, second
