"""The tables of the machine file, one class a table, one declaration a key."""
