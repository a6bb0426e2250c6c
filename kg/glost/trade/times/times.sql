-- A chronology on disk: the bounds of every point, and the steps by which they are reached.
-- Read by `glost.trade.times.stored`. Days are numbers as in `glost.record.dates`, inclusive; null
-- where nothing bounds the point.

-- Points in time of things. Number 0, the origin from which days are counted, is not among them.
CREATE TABLE event (
  event INTEGER PRIMARY KEY,
  point TEXT NOT NULL, -- IRI
  earliest INTEGER, -- with what clashes settled at the least cost
  latest INTEGER,
  disputed INTEGER NOT NULL, -- 1 if sources contradict one another on those
  widest_earliest INTEGER, -- however what clashes is settled
  widest_latest INTEGER,
  widest_disputed INTEGER NOT NULL
);

-- Limits that are as tight as can be: each carries a bound from one event on to another.
CREATE TABLE step (
  late INTEGER NOT NULL, -- 1 for latest days, 0 for earliest
  reached INTEGER NOT NULL, -- the event bounded
  step INTEGER NOT NULL,
  from_event INTEGER NOT NULL, -- the event whose bound it carries on; 0 if it is a date
  days INTEGER NOT NULL, -- from that event to this
  reason INTEGER NOT NULL,
  PRIMARY KEY (late, reached, step)
) WITHOUT ROWID;

-- The rule by which a limit holds.
CREATE TABLE reason (reason INTEGER PRIMARY KEY, rule TEXT NOT NULL);

-- What a reason rests on, in order.
CREATE TABLE rests (
  reason INTEGER NOT NULL,
  place INTEGER NOT NULL,
  ground INTEGER NOT NULL,
  PRIMARY KEY (reason, place)
) WITHOUT ROWID;

-- A statement that may be set aside; a whole claim is told by the claim and its source.
CREATE TABLE ground (
  ground INTEGER PRIMARY KEY,
  subject TEXT NOT NULL, -- IRI
  property TEXT NOT NULL, -- IRI
  object TEXT NOT NULL,
  kind TEXT NOT NULL, -- of the object: iri, literal or blank
  datatype TEXT NOT NULL,
  language TEXT NOT NULL,
  weight REAL NOT NULL -- what it would cost to set it aside
);

-- By how many days lists may lag; one row.
CREATE TABLE lag (days INTEGER NOT NULL);
