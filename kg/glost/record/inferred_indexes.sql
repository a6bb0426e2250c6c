-- Made once all rows are there.
CREATE INDEX inferred_by_subject ON inferred (subject, property, object);
CREATE INDEX inferred_by_object ON inferred (object, property, subject);
CREATE INDEX inferred_by_property ON inferred (property);
