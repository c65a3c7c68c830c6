-- What a stay has is read with every stay; the exclusion's own index answers that much slower.
CREATE INDEX assignment_stay ON assignment (marina_id, stay_id);
