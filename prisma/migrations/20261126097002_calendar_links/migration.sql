-- Links by which a calendar program reads the calendar of a dock or of a boat without a token.
CREATE TABLE calendar_link (
  marina_id    text NOT NULL REFERENCES marina (id),
  subject_kind text NOT NULL CHECK (subject_kind IN ('dock', 'boat')),
  subject_id   text NOT NULL,
  -- SHA-256 of the link's secret, hex; the secret itself is shown once and not stored.
  hash         text NOT NULL,
  created_at   timestamptz(3) NOT NULL,
  PRIMARY KEY (marina_id, subject_kind, subject_id)
);
CREATE UNIQUE INDEX calendar_link_hash ON calendar_link (hash);
