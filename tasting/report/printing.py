"""Pages of their own to print in black and white, on A4 or Letter."""

from functools import cache

from jinja2 import Environment, PackageLoader, StrictUndefined


@cache
def _environment() -> Environment:
    loader = PackageLoader("tasting", "report")
    return Environment(
        loader=loader,
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )


def page(template: str, **values: object) -> str:
    """The HTML of a template with these values; whatever somebody typed is shown as text."""
    return _environment().get_template(template).render(**values)
