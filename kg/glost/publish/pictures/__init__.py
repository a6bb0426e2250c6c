"""Pictures: charts of runs, matrices, families on a time axis, kilns to scale; SVG and PNG.

`draw` makes a `Picture` of a collection; its ``svg()`` is text to put into a page, its ``words``
the same in words, to put beside it. What a picture shows is plain values (``model``, ``counts``),
so that anything else can be drawn as well: `run_chart`, `family_tree`, `assortment_matrix`,
`crossing_picture`, `production_chart`, `firing_history`, `kiln_plan`.
"""

from glost.publish.pictures.crossings import crossing_picture
from glost.publish.pictures.family import family_tree
from glost.publish.pictures.firing import firing_history
from glost.publish.pictures.kiln import kiln_plan
from glost.publish.pictures.matrix import assortment_matrix
from glost.publish.pictures.picture import Picture, Words
from glost.publish.pictures.production import production_chart
from glost.publish.pictures.runs import run_chart
from glost.publish.pictures.subjects import Subject, draw, subjects

__all__ = [
    "Picture",
    "Subject",
    "Words",
    "assortment_matrix",
    "crossing_picture",
    "draw",
    "family_tree",
    "firing_history",
    "kiln_plan",
    "production_chart",
    "run_chart",
    "subjects",
]
