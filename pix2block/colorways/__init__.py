"""One chart in several colourways: yarns by the roles that they have in a design."""
