"""How a record of an older steadyhead becomes one of today: run by Alembic, one step a file."""
