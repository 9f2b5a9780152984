"""ABC 2.1 in and out, and ABC as the line notation of a sheet: the door to the ``abc_*`` modules."""

from solowright.files.abc_body import read_abc_body
from solowright.files.abc_read import read_abc
from solowright.files.abc_write import write_abc, write_abc_body

__all__ = ["read_abc", "read_abc_body", "write_abc", "write_abc_body"]
