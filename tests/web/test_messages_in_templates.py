"""Messages as templates put them out: in the shop's units, escaped, wherever they stand; and marked text."""

from __future__ import annotations

import pytest
from flask import render_template_string

from shopfloor.actions import settings
from shopfloor.actions.unit_of_work import Caller
from shopfloor.wording.message import Length, Message, message


@message
def moved(length: Length, name: str) -> str:
    return "<{name}> moved {length}."


ESCAPED = "&lt;A&amp;B&gt; moved 1 in."


@pytest.mark.parametrize(
    ("template", "shown"),
    [
        ("{{ it }}", ESCAPED),
        ('<p title="{{ it }}">', f'<p title="{ESCAPED}">'),
        ("{{ 'Piece: ' ~ it }}", f"Piece: {ESCAPED}"),
        ("{{ [it, 'no more'] | join('; ') }}", f"{ESCAPED}; no more"),
        ('{{ _("Look: %(what)s", what=it) }}', f"Look: {ESCAPED}"),
        (
            '{{ ngettext("%(num)s: %(what)s", "%(num)s of %(what)s", 2, what=it) }}',
            f"2 of {ESCAPED}",
        ),
        ("{% trans what=it %}Look: {{ what }}{% endtrans %}", f"Look: {ESCAPED}"),
        ('{{ _("48 %% used") }}', "48 % used"),
    ],
)
def test_a_message_is_written_in_the_shops_units_and_escaped(app, shop, owner, template, shown):
    settings.change_settings(Caller(shop, owner), {"units": "in"})
    with app.test_request_context():
        assert render_template_string(template, it=moved(25.4, "A&B")) == shown


def test_a_message_outside_a_page_is_in_millimetres(app):
    told: Message = moved(25.4, "A")
    assert str(told) == "<A> moved 25.5 mm."
