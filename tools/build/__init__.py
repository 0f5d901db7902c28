"""What makes the site from docs and calc."""
