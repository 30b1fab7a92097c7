"""Renderers of one result. They compute nothing."""
