"""How forms are drawn: Django asks this renderer for every form and field of the project."""

from django.forms.renderers import TemplatesSetting


class SheetRenderer(TemplatesSetting):
    """Draw each field as the sheet does: caption above, help, entry, the error in words under it."""

    form_template_name = "shared/_form.html"
    field_template_name = "shared/_field.html"
