"""Every step that there is, said once: its title, what the hands do, why, and the rest of ``Said``.

All of it is common practice, no source; the manual of the machine at hand comes first. What an id means never changes:
sessions keep the steps they began with.
"""

from __future__ import annotations

from dataclasses import fields, replace

from hosewright.session.steps import plain_id
from hosewright.session.steps.earlier import EARLIER
from hosewright.session.steps.finishing import FINISHING
from hosewright.session.steps.heel_and_toe import HEEL_AND_TOE
from hosewright.session.steps.leg_and_foot import LEG_AND_FOOT
from hosewright.session.steps.said import Said
from hosewright.session.steps.search_and_tube import SEARCH_AND_TUBE
from hosewright.session.steps.setting_up import SETTING_UP

_WRITTEN = {**SETTING_UP, **SEARCH_AND_TUBE, **LEG_AND_FOOT, **HEEL_AND_TOE, **FINISHING, **EARLIER}
NOTHING = Said()  # of a step of another's making


def _whole(name: str) -> Said:
    """An entry; one such as "wash, tube" says only what is otherwise than in "wash"."""
    said, base = _WRITTEN[name], _WRITTEN.get(name.partition(", ")[0])
    if base is None or base is said:
        return said
    own = {field.name: value for field in fields(said) if (value := getattr(said, field.name))}
    return replace(base, **own)


CATALOGUE = {name: _whole(name) for name in _WRITTEN}


def said_of(step_id: str, *, when: str = "") -> Said:
    """What is said of a step, ``when`` it is in a session of this kind or stands like this; nothing of unknown ones."""
    name = plain_id(step_id)
    return CATALOGUE.get(f"{name}, {when}") or CATALOGUE.get(name, NOTHING)
