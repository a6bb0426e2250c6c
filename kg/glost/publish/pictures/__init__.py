"""Pictures of a collection; see `glost.publish.pictures.subjects`."""
