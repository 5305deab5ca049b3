"""What is said of a reading that was typed: that it is left out, or taken in again."""

from alembic import op
from sqlalchemy import TEXT, Column, ForeignKey

revision = "r0003"
down_revision = "r0002"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Make the table of what is said of readings."""
    op.create_table(
        "reading_note",
        Column("id", TEXT, primary_key=True, nullable=False),
        Column("reading_id", TEXT, ForeignKey("reading.id"), nullable=False),
        Column("kind", TEXT, nullable=False),
        Column("noted_on", TEXT, nullable=False),
        sqlite_strict=True,
    )
    op.create_index("ix_reading_note_reading_id", "reading_note", ["reading_id"])
