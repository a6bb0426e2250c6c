-- IRIs, literals and blank nodes, each once; literals with their lexical forms as written.
CREATE TABLE term (
  term INTEGER PRIMARY KEY,
  text TEXT NOT NULL,
  kind TEXT NOT NULL, -- iri, literal or blank
  datatype TEXT NOT NULL, -- of a literal that has one; else empty
  language TEXT NOT NULL -- of a literal that has one; else empty
);

CREATE UNIQUE INDEX term_by_text ON term (text, kind, datatype, language);
