"""A site as a host runs it, in a process of its own: granian, a SQLite file, real sockets."""
