-- On which side of a berth its finger pier is; null: none, one on each side, or nobody knows.
ALTER TABLE berth ADD COLUMN finger_on text CHECK (finger_on IN ('left', 'right'));
