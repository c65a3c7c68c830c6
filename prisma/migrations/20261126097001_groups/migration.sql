-- Groups: an event or a flotilla, its members' stays, and a block of berths kept for them.
CREATE TABLE stay_group (
  marina_id     text NOT NULL REFERENCES marina (id),
  id            text NOT NULL,
  name          text NOT NULL,
  contact_name  text NOT NULL,
  contact_phone text,
  note          text NOT NULL DEFAULT '',
  from_at       timestamptz(3) NOT NULL,
  until_at      timestamptz(3) NOT NULL,
  -- Ids of the berths kept: ["A1", "A2"].
  berth_ids     jsonb NOT NULL,
  adjacency     text NOT NULL CHECK (adjacency IN ('none', 'wish', 'demand')),
  cut_off_at    timestamptz(3) NOT NULL,
  -- From when on the berths that no member has are free again; null while they are kept.
  released_at   timestamptz(3),
  version       integer NOT NULL DEFAULT 1,
  created_at    timestamptz(3) NOT NULL DEFAULT now(),
  PRIMARY KEY (marina_id, id),
  CHECK (from_at < until_at AND cut_off_at <= until_at)
);
CREATE INDEX stay_group_kept ON stay_group (marina_id, cut_off_at) WHERE released_at IS NULL;
CREATE TRIGGER keep_change AFTER INSERT OR UPDATE OR DELETE ON stay_group
  FOR EACH ROW EXECUTE FUNCTION keep_change_row();

ALTER TABLE stay
  ADD COLUMN group_id text,
  ADD FOREIGN KEY (marina_id, group_id) REFERENCES stay_group (marina_id, id);
CREATE INDEX stay_of_group ON stay (marina_id, group_id) WHERE group_id IS NOT NULL;

-- A block's rows stop at its members and at boats found there, and at nobody else: the exclusion constraint refuses
-- whoever else is placed on it.
ALTER TABLE space_use
  ADD COLUMN group_id text,
  ADD FOREIGN KEY (marina_id, group_id) REFERENCES stay_group (marina_id, id),
  DROP CONSTRAINT space_use_check1,
  ADD CONSTRAINT space_use_by CHECK (num_nonnulls(assignment_id, holding_id, out_of_service_id, group_id) = 1);
