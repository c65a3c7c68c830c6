-- How the pages of a marina show lengths and times; empty: feet and 12 hours.
ALTER TABLE marina ADD COLUMN display jsonb NOT NULL DEFAULT '{}';

CREATE TABLE user_account (
  marina_id     text NOT NULL REFERENCES marina (id),
  id            text NOT NULL,
  -- What the person types: small letters.
  login         text NOT NULL,
  name          text NOT NULL,
  role          text NOT NULL CHECK (role IN ('harbormaster', 'dockhand', 'manager', 'viewer')),
  password_hash text NOT NULL,
  created_at    timestamptz(3) NOT NULL DEFAULT now(),
  closed_at     timestamptz(3),
  PRIMARY KEY (marina_id, id)
);
CREATE UNIQUE INDEX user_account_login ON user_account (marina_id, login) WHERE closed_at IS NULL;

CREATE TABLE session (
  marina_id  text NOT NULL REFERENCES marina (id),
  -- SHA-256 of what the cookie holds.
  id         text NOT NULL,
  user_id    text,
  token_id   text,
  created_at timestamptz(3) NOT NULL DEFAULT now(),
  expires_at timestamptz(3) NOT NULL,
  PRIMARY KEY (marina_id, id),
  FOREIGN KEY (marina_id, user_id) REFERENCES user_account (marina_id, id),
  FOREIGN KEY (marina_id, token_id) REFERENCES token (marina_id, id),
  CHECK ((user_id IS NULL) <> (token_id IS NULL))
);
CREATE INDEX session_id ON session (id);
CREATE INDEX session_expiry ON session (expires_at);
