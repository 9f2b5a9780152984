"""The lesson: everything that students, the camera and the band are handed, made from one worked tune."""
