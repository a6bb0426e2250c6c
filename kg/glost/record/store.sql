-- A record on disk: what its claims state, what each rests on, and what was withdrawn.
-- Read by `glost.record.store`. Numbers of claims follow their IRIs in order; terms are in `terms.sql`.

-- Where in which source claims rest.
CREATE TABLE passage (
  passage INTEGER PRIMARY KEY,
  source INTEGER NOT NULL REFERENCES term,
  locator TEXT NOT NULL,
  region TEXT NOT NULL
);

-- Every claim, current or withdrawn, whenever it was recorded.
CREATE TABLE claim (
  claim INTEGER PRIMARY KEY,
  iri TEXT NOT NULL,
  passage INTEGER NOT NULL REFERENCES passage,
  certainty TEXT, -- IRI of a concept of the scheme of certainties
  recorded_by TEXT NOT NULL,
  recorded_on TEXT NOT NULL,
  note TEXT NOT NULL,
  file TEXT NOT NULL,
  row INTEGER NOT NULL, -- 0 in a file that has no rows
  sheet TEXT NOT NULL -- name of the table it was a row of
);

-- What claims state, in the order in which each does.
CREATE TABLE statement (
  claim INTEGER NOT NULL REFERENCES claim,
  place INTEGER NOT NULL,
  subject INTEGER NOT NULL REFERENCES term,
  property INTEGER NOT NULL REFERENCES term,
  object INTEGER NOT NULL REFERENCES term,
  believed INTEGER NOT NULL, -- 1, or 0 if withdrawn, or recorded later than the day gone back to
  PRIMARY KEY (claim, place)
) WITHOUT ROWID;

-- What was withdrawn: a whole claim if place is null, else one of its statements.
CREATE TABLE withdrawal (
  claim INTEGER NOT NULL REFERENCES claim,
  correction INTEGER NOT NULL REFERENCES claim,
  place INTEGER
);

-- The vocabulary and its concept schemes, from which things and statements are worded.
CREATE TABLE vocabulary (
  subject INTEGER NOT NULL REFERENCES term,
  property INTEGER NOT NULL REFERENCES term,
  object INTEGER NOT NULL REFERENCES term
);

-- Kinds of things that a collection may describe.
CREATE TABLE kind (kind TEXT PRIMARY KEY) WITHOUT ROWID;

-- Ids that the collection describes, by kind.
CREATE TABLE described (kind TEXT NOT NULL, id TEXT NOT NULL, PRIMARY KEY (kind, id)) WITHOUT ROWID;

-- What things are called, the usual name first; a thing without a name has one that is null.
CREATE TABLE called (thing TEXT NOT NULL, name TEXT);

-- What things without a name are called, by what is known of them.
CREATE TABLE composed (thing TEXT PRIMARY KEY, label TEXT NOT NULL) WITHOUT ROWID;
