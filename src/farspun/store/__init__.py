"""The stash on disk: tables, engine, migrations, ledger, queries."""
