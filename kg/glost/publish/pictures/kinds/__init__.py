"""The pictures, a module each; see `glost.publish.pictures.subjects`."""
