"""One database of the workshop: open, atomic, migrate, back up; rows to values and back."""

from reedwright.store.backup import backup_workshop, check_workshop, restore_workshop
from reedwright.store.workshop import Workshop, open_workshop

__all__ = ["Workshop", "backup_workshop", "check_workshop", "open_workshop", "restore_workshop"]
