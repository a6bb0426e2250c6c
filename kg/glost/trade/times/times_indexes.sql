CREATE UNIQUE INDEX event_by_point ON event (point);
