-- Made once all rows are there.
CREATE UNIQUE INDEX claim_by_iri ON claim (iri);
CREATE INDEX claim_by_passage ON claim (passage);
CREATE INDEX passage_by_source ON passage (source);
CREATE INDEX statement_by_subject ON statement (subject, property, object);
CREATE INDEX statement_by_object ON statement (object, property, subject);
CREATE INDEX statement_by_property ON statement (property);
CREATE INDEX withdrawal_by_claim ON withdrawal (claim);
CREATE INDEX vocabulary_by_subject ON vocabulary (subject, property, object);
CREATE INDEX vocabulary_by_object ON vocabulary (object, property, subject);
CREATE INDEX vocabulary_by_property ON vocabulary (property);
