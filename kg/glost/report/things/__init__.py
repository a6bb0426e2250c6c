"""The report of a thing: one maker for the sheet, the terminal, the site and the endpoint."""

from glost.report.things.basis import Basis, Kept, Whole
from glost.report.things.making import PAGE, SHEET, SHORT, report_of

__all__ = ["PAGE", "SHEET", "SHORT", "Basis", "Kept", "Whole", "report_of"]
