"""The desk: a local web app in which the whole job can be done. ``serve.serve`` starts it."""
