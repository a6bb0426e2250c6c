-- Made once all rows are there.
CREATE UNIQUE INDEX event_by_point ON event (point);
CREATE INDEX step_by_source ON step (source, step);
CREATE INDEX step_by_target ON step (target, step);
CREATE INDEX step_by_reason ON step (reason);
CREATE INDEX rests_by_ground ON rests (ground);
CREATE INDEX ground_by_subject ON ground (subject, property);
