"""Reading, saving, watching and recovering a bag's file; writing what is exported."""
