"""The server: HTTP, SQLite, paper. It knows no mail arithmetic; that is `shared`."""
