"""Pages for paper: the handout as PDF, the setup drawing as SVG."""
