"""Words that several documents share."""

from __future__ import annotations

CAUTIONS = (
    "Power a new combination of boards for the first time from a current-limited supply, without loads, and with "
    "nobody relying on it.",
    "Never plug or unplug boards while they are powered.",
    "Batteries, mains and radio are subject to local codes; have such work done or checked by somebody licensed "
    "for it.",
)
GROUP_TITLES = {
    "stacking": "Stacking and connectors",
    "firmware": "Firmware",
    "wiring": "Nets and wiring",
    "assembly": "Assembly",
    "buying": "Buying",
    "documentation": "Documentation",
}
MEANING_OF_WORDS = {
    "hazard": "a break that can hurt somebody or destroy hardware, worked out from the facts at hand; where it stands "
    'on an assumption, the answer is "cannot tell" and somebody has to look',
    "break": "what worked with the old revision doesn't with the new one",
    "caution": "it works if somebody looks at it first, or nobody can tell before somebody has looked",
    "info": "good to know; nothing has to be done now",
    "cause": "changes that belong together, such as a swap on both sides of a joint, with all that follows from them",
    "arrangement": "what is together on the bench: boards at revisions, and the firmware release on each controller",
    "fits": "of an arrangement: nothing was found that doesn't fit, in what was checked",
    "fits with care": "of an arrangement: it fits if the cautions are minded",
    "does not fit": "of an arrangement: there is a break",
    "cannot tell": "of an arrangement: data is missing without which nobody can tell, or somebody has to look",
    "not judged": "of an arrangement: there was nothing to judge it by",
}
SEVERITY_TITLES = {"break": "Breaks", "caution": "Take care", "info": "Good to know"}
