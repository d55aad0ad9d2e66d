"""The usual cautions: on every sheet a person works from, in what is drilled from, on the screen."""

from __future__ import annotations

CAUTIONS = (
    "Brakes, clutch and drilled structure: have the work checked by a licensed mechanic "
    "and follow local codes.",
    "Before drilling look behind the panel: wiring, pipes, fuel; what is not drawn may still be there. "
    "Disconnect the battery. Wear eye protection.",
)

SHORT_CAUTIONS = (
    "Brakes, clutch, drilled structure: have it checked by a licensed mechanic; follow local codes.",
    "Before drilling look behind the panel. Disconnect the battery. Wear eye protection.",
)
"""The same for the end of what a command prints."""
