"""The content folder: loading, message files, overlays of languages and of a clinic."""
