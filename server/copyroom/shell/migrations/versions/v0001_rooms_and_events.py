"""Rooms and their journals."""

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None


def upgrade() -> None:
    op.create_table(
        "rooms",
        sa.Column("code", sa.String(24), primary_key=True),
        sa.Column("opened_room_ms", sa.Float, nullable=False),
    )
    op.create_table(
        "events",
        sa.Column("id", sa.Integer, primary_key=True, autoincrement=True),
        sa.Column("code", sa.String(24), nullable=False),
        sa.Column("at_room_ms", sa.Float, nullable=False),
        sa.Column("name", sa.String(40), nullable=False),
        sa.Column("body", sa.Text, nullable=False),
    )
    op.create_index("events_by_room", "events", ["code", "id"])


def downgrade() -> None:
    op.drop_table("events")
    op.drop_table("rooms")
