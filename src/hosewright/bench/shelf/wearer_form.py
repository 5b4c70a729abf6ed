"""The form of a wearer: their feet and legs, as far as anyone has measured them."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from hosewright.bench.widgets.field import FormField, length, show_yes_or_no, shown_length, words, yes_or_no
from hosewright.craft.errors import CraftError
from hosewright.craft.units import quoted

if TYPE_CHECKING:
    from collections.abc import Mapping

    from hosewright.bench.widgets.field import Read

NOTE = FormField("note", "Note", "anything worth knowing later", words("note", 4000), empty="")
TIGHT_SOCKS = (
    "Take care: on a foot with diabetes, numbness or poor circulation a tight sock can harm without being felt. "
    "No ease is called safe here: measure the foot, make it loose, and ask a podiatrist or nurse."
)
# name, label, hint, least and most in mm
_MEASURES = (
    ("foot_length_mm", "Foot length", "standing, the longer foot", 60.0, 400.0),
    ("left_length_mm", "Left foot", "where each was measured", 80.0, 400.0),
    ("right_length_mm", "Right foot", "the longer one counts", 80.0, 400.0),
    ("girth_mm", "Ball girth", "round the widest part", 60.0, 500.0),
    ("left_girth_mm", "Left ball girth", "where each was measured", 60.0, 500.0),
    ("right_girth_mm", "Right ball girth", "the larger one counts", 60.0, 500.0),
    ("heel_ankle_mm", "Heel-ankle girth", "round heel and ankle's bend", 80.0, 700.0),
    ("ankle_mm", "Ankle girth", "where the leg is narrowest", 60.0, 600.0),
    ("calf_mm", "Calf girth", "where the leg is widest", 60.0, 900.0),
    ("fitting_tube_mm", "Fitting sock's tube", "straight part, gore to gore", 20.0, 400.0),
)


def wearer_fields(unit: str) -> list[FormField]:
    """The lines of the form, lengths shown in ``unit``."""
    measures = [
        FormField(
            name, label, hint, _no_size(length(label[0].lower() + label[1:], unit, most, least)), shown_length(unit)
        )
        for name, label, hint, least, most in _MEASURES
    ]
    return [
        FormField("name", "Name", "a job or a nickname is enough", words("name", 80), required=True),
        *measures[:3],
        FormField("shoe_size", "or shoe size", "such as EU 42 or UK 8", read_shoe_size, empty=""),
        *measures[3:],
        FormField("high_instep", "High instep", "yes shows deeper heels", yes_or_no, show_yes_or_no, empty=False),
        FormField("sized_as", "Sized as", "men or women, to estimate", read_sized_as, empty=""),
        FormField(
            "caution",
            "Foot at risk",
            "yes for diabetes, numb feet, poor circulation; else no",
            yes_or_no,
            show_yes_or_no,
            empty=False,
        ),
        NOTE,
    ]


def _no_size(read: Read) -> Read:
    """``read``, but a shoe size typed where a length belongs is sent to its own line."""

    def reading(text: str) -> float:
        try:
            return float(read(text))
        except CraftError:
            if _is_size(text):
                raise CraftError(
                    f"{quoted(text)} is a shoe size: type it in “or shoe size” below, and leave this line empty."
                ) from None
            raise

    return reading


def _is_size(text: str) -> bool:
    from hosewright.craft.shoes import read_size

    try:
        read_size(text)
    except CraftError:
        return False
    return True


def read_shoe_size(text: str) -> str:
    """A shoe size as typed, once it is one that can be read. Raises CraftError."""
    from hosewright.craft.shoes import read_size

    read_size(text)
    return text.strip()


def read_sized_as(text: str) -> str:
    """Whose estimates fit: "men" or "women". Raises CraftError."""
    said = text.strip().lower()
    if said not in ("men", "women"):
        raise CraftError(f"{quoted(text)} is neither: estimates are for men or women; leave it empty for none.")
    return said


def wearer_remark(values: Mapping[str, Any]) -> str:
    """What there is to say about what was typed so far."""
    said = [TIGHT_SOCKS] if values.get("caution") else []
    if values.get("left_length_mm") and values.get("right_length_mm"):
        from hosewright.craft.feet import FootMeasured, two_feet

        feet = (FootMeasured(values[f"{side}_length_mm"], values.get(f"{side}_girth_mm")) for side in ("left", "right"))
        said += two_feet(*feet).notes
    elif values.get("shoe_size") and not values.get("foot_length_mm"):
        from hosewright.craft.shoes import read_size

        said.append(read_size(values["shoe_size"]).words)
    return "\n".join(said)
