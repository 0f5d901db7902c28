"""What serves the site, and what measures how it is served."""
