-- Replays and choices of a study, as they were asked for and as they came out.
CREATE TABLE study_run (
  marina_id     text NOT NULL,
  id            text NOT NULL,
  study_id      text NOT NULL,
  kind          text NOT NULL CHECK (kind IN ('replay', 'choice')),
  asked         jsonb NOT NULL,
  study_version integer NOT NULL,
  state         text NOT NULL CHECK (state IN ('running', 'done', 'failed')),
  progress      double precision NOT NULL DEFAULT 0,
  result        jsonb,
  failure       text,
  asked_by      text NOT NULL,
  asked_at      timestamptz(3) NOT NULL,
  beat_at       timestamptz(3) NOT NULL,
  ended_at      timestamptz(3),
  PRIMARY KEY (marina_id, id),
  FOREIGN KEY (marina_id, study_id) REFERENCES upgrade_study (marina_id, id)
);
CREATE INDEX study_run_of_study ON study_run (marina_id, study_id, asked_at DESC);
