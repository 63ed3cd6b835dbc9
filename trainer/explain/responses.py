"""What a device makes of a residual current, in words: required, may, not required, never "cannot"."""

from __future__ import annotations

from collections.abc import Callable

from trainer.domain.physics.responses import Reason, Response, TripVerdict

Translate = Callable[[str], str]


def verdict_words(response: Response, translate: Translate = str) -> str:
    """The verdict, its reason, and the time where one is promised."""
    return f"{verdict_word(response.verdict, translate)}: {reason_words(response.reason, translate)}" + (
        "" if response.most_ms is None else translate(", within {time} ms").format(time=f"{response.most_ms:g}")
    )


def verdict_word(verdict: TripVerdict, translate: Translate = str) -> str:
    """The verdict in the words of the standards."""
    _ = translate
    return {
        TripVerdict.MUST: _("must act"),
        TripVerdict.MAY: _("may act"),
        TripVerdict.NOT_REQUIRED: _("is not required to act"),
        TripVerdict.MUST_NOT: _("must not act"),
    }[verdict]


def reason_words(reason: Reason, translate: Translate = str) -> str:
    """Why the verdict is what it is."""
    _ = translate
    return {
        Reason.ABOVE_LIMIT: _("the current reaches its operating limit"),
        Reason.BETWEEN_LIMITS: _("the current lies between the non-operating and the operating limit"),
        Reason.BELOW_NON_OPERATING: _("the current stays below the non-operating limit"),
        Reason.NO_RESIDUAL_CURRENT: _("no residual current flows through it"),
        Reason.BEYOND_TYPE: _("its type is not made for this shape of current"),
        Reason.BEYOND_FREQUENCY: _("nothing is promised at this frequency"),
        Reason.STANDING_DC: _("the standing smooth d.c. exceeds what its type tolerates"),
        Reason.BEYOND_TESTED_DC: _("the standing smooth d.c. exceeds that of its tests"),
        Reason.NO_SMOOTH_DC: _("there is no smooth d.c. for it to detect"),
        Reason.TOO_SLOW: _("it acts later than this fault lasts"),
        Reason.DEVICE_UNKNOWN: _("not enough is known of it"),
    }[reason]
