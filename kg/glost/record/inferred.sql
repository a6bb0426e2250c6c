-- What follows from what is believed.
CREATE TABLE inferred (
  subject INTEGER NOT NULL REFERENCES term,
  property INTEGER NOT NULL REFERENCES term,
  object INTEGER NOT NULL REFERENCES term
);
