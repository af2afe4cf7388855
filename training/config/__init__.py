"""Settings, urls and wsgi: joins the two packages by name only."""
