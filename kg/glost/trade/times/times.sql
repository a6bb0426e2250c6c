-- A chronology on disk: the bounds of every point, and the limits by which they are reached.
-- Read by `glost.trade.times.stored`. Days are numbers as in `glost.record.dates`, inclusive; null
-- where nothing bounds the point.

-- Points in time of things. Number 0, the origin from which days are counted, is not among them.
CREATE TABLE event (
  event INTEGER PRIMARY KEY,
  point TEXT NOT NULL, -- IRI
  earliest INTEGER, -- with what clashes settled at the least cost
  latest INTEGER,
  recorded_earliest INTEGER, -- with nothing set aside; they may cross
  recorded_latest INTEGER,
  in_conflict INTEGER NOT NULL, -- 1 if it lies on the way round a contradiction
  disputed INTEGER NOT NULL, -- 1 if it does, if those cross, or if they are not the same
  widest_earliest INTEGER, -- however what clashes is settled
  widest_latest INTEGER,
  widest_disputed INTEGER NOT NULL
);

-- Limits: the target comes at most so many days after the source. A date is a limit with the origin.
CREATE TABLE step (
  step INTEGER PRIMARY KEY,
  source INTEGER NOT NULL,
  target INTEGER NOT NULL,
  days INTEGER NOT NULL,
  reason INTEGER NOT NULL,
  sound INTEGER NOT NULL -- 0 if it rests on what is set aside at the least cost
);

-- The rules in force, in the order of their file.
CREATE TABLE rule (name TEXT NOT NULL);

-- The rule by which a limit holds.
CREATE TABLE reason (reason INTEGER PRIMARY KEY, rule TEXT NOT NULL);

-- What a reason rests on, in order; without any one of its grounds it falls.
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

-- Grounds that take part in contradictions; 1 if a contradiction holds whatever is dated.
CREATE TABLE conflict (ground INTEGER NOT NULL, relative INTEGER NOT NULL);

-- By how many days lists may lag; one row.
CREATE TABLE lag (days INTEGER NOT NULL);
