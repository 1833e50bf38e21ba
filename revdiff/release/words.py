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
SEVERITY_TITLES = {"break": "Breaks", "caution": "Take care", "info": "Good to know"}
