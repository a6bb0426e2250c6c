"""How much is read: every limit on what a collection's files may hold, each with its reason.

A limit is there so that a broken or hostile file ends soon, in one error that says what to do, and
never so low that a record kept in earnest comes near it. What an endpoint gives strangers is
limited apart, in `glost.publish.endpoint.limits`.
"""

CELL = 32_767
"""Characters of a cell. No spreadsheet program keeps more, so a longer one would be cut by the next
that saves the table; a transcription of that length belongs in a file of its own."""

COLUMNS = 1_000
"""Cells of a header row. The widest table has some forty; what has thousands is no table."""

FIGURES = 40
"""Figures in an unbroken row within a cell. Nothing counted or measured in the trade comes near
(the diameter of the universe in millimetres has thirty), and longer numbers cost more to turn over
than they are worth: Python refuses beyond 4,300."""

DATE = 1_000
"""Characters of a date: a list of two hundred years. Two lists are held against each other member
by member, so that longer ones cost as a square."""

NUMBER = 18
"""Figures of a cell that is a number. The reckoning is done in 64 bits, which hold eighteen."""

TEXT_FILE = 1 << 30
"""Octets of a table as text, or of a TriG file. A million rows take less than a tenth of it; it is
read whole, and beyond this an ordinary computer's memory would not hold what is made of it."""

WORKBOOK = 256 << 20
"""Octets of a workbook once unpacked. A hundred thousand rows of twenty columns take some 100 MB;
a file of one megabyte can be made to unpack to a thousand."""

SHEET_CELLS = 1_000_000
"""Cells of one sheet, and strings that cells share: fifty thousand rows of twenty columns.
Larger tables are read several times faster as CSV, and take less memory."""

PARQUET_CELLS = 50_000_000
"""Cells of one table in Parquet: two million rows of twenty-five columns. A cell that is repeated
takes hardly any room in such a file, so that a small one may hold more than any memory."""

PARTS = 10_000
"""Files packed in a workbook. An ordinary one has a dozen, and a few for each sheet."""

PIXELS = 178_000_000
"""Pixels of an image: a blueprint of a metre by seventy centimetres at 400 to the inch has 174
million. A picture whose file is small can unpack to more than any memory holds; the library that
decodes images refuses a little more than this."""

IMAGE_FILE = 256 << 20
"""Octets of an image file. It is copied to the site, and into a sheet that is one file."""

SETTINGS = 1 << 20
"""Octets of ``collection.toml``: room to trust some thirty thousand sources each its own way."""

MARGIN_YEARS = 1_000
"""Years by which an approximate date may be widened, or a list lag behind. Wider, it says nothing,
and days beyond the calendar's range could not be reckoned."""

ANSWER = 256 << 20
"""Octets of what a store elsewhere answers. A hundred thousand rows of ten cells take some 150 MB
as JSON; an answer that never ends must not fill the memory."""

TRUST = 1_000_000
"""The most by which one source may outweigh another; larger weights drown in rounding."""

KEY = 100
"""Names of a dotted key in ``collection.toml``, which needs two. The parser looks at every
beginning of a key, so that its time grows as a square."""

QUERY = 100_000
"""Characters of a query. The longest named question has some four thousand."""

NESTED = 100
"""Brackets open at once in a query. Parsers call themselves for each, and end the process at a few
thousand; people lose their way at ten."""

NEAR_LENGTH = 64
"""Characters of a word for which the nearest valid one is looked for. What is longer was not
misspelt, it was put in the wrong column."""

NEAR_AMONG = 5_000
"""Valid words among which the nearest is looked for. The search compares letter by letter with
each: among many more it would take longer than reading the table."""

NEAR_TOLD = 50
"""Wrong cells of a column, or wrong headers of a sheet, for which the nearest valid word is looked
for. After that the cause is plain, and it is not spelling."""

ROWS_TOLD = 20
"""Rows with the same fault that are named before the rest are counted."""

CELLS_TOLD = 1_000
"""Different wrong cells of a column that are named before the rest are counted: more than anybody
reads, and a column of which all is wrong has one cause."""

SHOWN = 80
"""Characters of a cell that a message shows: a line of it."""
