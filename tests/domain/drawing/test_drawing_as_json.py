"""A drawing travels as JSON: from the worker process, and into the database, where older ones hold sentences."""

import json

from shopfloor.domain.drawing.drawing import Drawing, Finding
from shopfloor.wording import drawings as wording


def through_json(*findings: Finding) -> Drawing:
    kept = Drawing((), 100.0, 50.0, findings).as_dict()
    return Drawing.of_dict(json.loads(json.dumps(kept)))


def test_a_finding_keeps_its_message_and_the_values_in_it():
    name = wording.of_sign(wording.part(2, "A"), "gate")
    finding = Finding("near", wording.touching(name), (1.0, 2.0), ((1.0, 2.0), (3.0, 4.0)))
    assert through_json(finding).warnings == (finding,)
    assert finding.sentence.startswith("'A' (no. 2) of sign 'gate' touch each other.")


def test_a_drawing_of_an_older_version_keeps_its_sentences():
    old = {"kind": "gap", "message": "A gap of 0.2 mm was closed.", "at": [1.0, 2.0], "line": []}
    kept = {
        "outlines": [],
        "width_mm": 100.0,
        "height_mm": 50.0,
        "warnings": [old],
        "guessed_unit": None,
    }
    (finding,) = Drawing.of_dict(kept).warnings
    assert finding == Finding("gap", "A gap of 0.2 mm was closed.", (1.0, 2.0))
    assert finding.sentence == "A gap of 0.2 mm was closed."
