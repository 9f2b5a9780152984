"""What the desk and the students' page share: a worked tune as plain data, and the modules that show
and play it (``static/``, plain ES modules)."""
