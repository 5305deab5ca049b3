"""What is said of a kept log: that it was brought, from which file and how it was read; that it is left out."""

from alembic import op
from sqlalchemy import TEXT, Column, ForeignKey

revision = "r0002"
down_revision = "r0001"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Make the table of what is said of logs."""
    op.create_table(
        "log_note",
        Column("id", TEXT, primary_key=True, nullable=False),
        Column("log_id", TEXT, ForeignKey("log.id"), nullable=False),
        Column("kind", TEXT, nullable=False),
        Column("body", TEXT, nullable=False),
        Column("noted_on", TEXT, nullable=False),
        sqlite_strict=True,
    )
    op.create_index("ix_log_note_log_id", "log_note", ["log_id"])
