-- Boats are listed and sought by the beginning of their name, in capitals or not, a page at a time.
CREATE INDEX boat_name ON boat (marina_id, (lower(name) COLLATE "C"), id) WHERE retired_at IS NULL;
-- Old idempotency keys are deleted, oldest first.
CREATE INDEX idempotency_key_age ON idempotency_key (marina_id, created_at);
