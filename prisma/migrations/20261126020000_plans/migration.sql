CREATE TABLE plan (
  marina_id    text NOT NULL REFERENCES marina (id),
  id           text NOT NULL,
  state        text NOT NULL CHECK (state IN ('queued', 'running', 'done', 'stopped', 'failed', 'accepted')),
  from_at      timestamptz(3) NOT NULL,
  until_at     timestamptz(3) NOT NULL,
  asked        jsonb NOT NULL,
  is_what_if   boolean NOT NULL,
  stands_on    jsonb,
  progress     jsonb,
  result       jsonb,
  failure      text,
  stop_wanted  boolean NOT NULL DEFAULT false,
  attempts     integer NOT NULL DEFAULT 0,
  sent_at      timestamptz(3),
  heartbeat_at timestamptz(3),
  created_by   text NOT NULL,
  created_at   timestamptz(3) NOT NULL,
  ended_at     timestamptz(3),
  PRIMARY KEY (marina_id, id),
  CHECK (from_at < until_at)
);
CREATE INDEX plan_newest ON plan (marina_id, created_at DESC, id);
CREATE INDEX plan_open ON plan (state) WHERE state IN ('queued', 'running');
