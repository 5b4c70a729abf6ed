"""Forms for what stands on the shelf: machines, cylinders, yarns, wearers."""

from hosewright.bench.forms.ask import Ask
from hosewright.bench.forms.field import FieldProblem, FormField
from hosewright.bench.forms.screen import FormScreen
from hosewright.bench.forms.shelf_forms import open_form

__all__ = ["Ask", "FieldProblem", "FormField", "FormScreen", "open_form"]
