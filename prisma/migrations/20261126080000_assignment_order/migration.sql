-- The list of assignments is read in this order, a page at a time.
CREATE INDEX assignment_beginning ON assignment (marina_id, from_at, id);
