"""Days and moments in the language of the page; times are UTC, as everywhere."""

from __future__ import annotations

from datetime import datetime

from flask_babel import format_date, format_datetime, gettext
from markupsafe import Markup


def day(at: datetime) -> Markup:
    """A day, for instance 2 Nov 2026."""
    return Markup('<time datetime="{}">{}</time>').format(f"{at:%Y-%m-%d}", format_date(at, "medium"))


def moment(at: datetime) -> Markup:
    """A day and a time, for instance 2 Nov 2026, 12:00 UTC."""
    words = gettext("%(at)s UTC", at=format_datetime(at, "d MMM y, HH:mm"))
    return Markup('<time datetime="{}">{}</time>').format(f"{at:%Y-%m-%dT%H:%MZ}", words)
