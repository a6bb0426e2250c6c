"""The report of a thing: one maker for the sheet, the terminal, the site and the endpoint."""

from glost.report.things.basis import Kept, ThingBasis, Whole
from glost.report.things.making import SHORT, SHORT_WITH_NAMED, report_of

__all__ = ["SHORT", "SHORT_WITH_NAMED", "Kept", "ThingBasis", "Whole", "report_of"]
