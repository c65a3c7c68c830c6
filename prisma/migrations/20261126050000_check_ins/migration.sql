-- What the marina says of check-ins and on the boaters' sheets; no row: the usual ones.
CREATE TABLE check_in_settings (
  marina_id text NOT NULL REFERENCES marina (id),
  document  jsonb NOT NULL,
  version   integer NOT NULL DEFAULT 1,
  PRIMARY KEY (marina_id)
);

-- What happened at the dock, appended under an id that the phone made. Never changed, never refused as stale.
CREATE TABLE dock_event (
  marina_id      text NOT NULL REFERENCES marina (id),
  id             text NOT NULL,
  kind           text NOT NULL
    CHECK (kind IN ('checkIn', 'departure', 'outletFault', 'wrongBerth', 'trip', 'hotContact', 'adapterBack')),
  -- Null where the marina has no such stay.
  stay_id        text,
  boat_id        text,
  outlet_ids     jsonb NOT NULL,
  -- By the phone's clock, and when it reached the service.
  at             timestamptz(3) NOT NULL,
  received_at    timestamptz(3) NOT NULL,
  actor          text NOT NULL,
  -- As it was sent.
  body           jsonb NOT NULL,
  outcome        text,
  findings       jsonb NOT NULL,
  -- Where dock and desk disagree: both sides.
  contradictions jsonb NOT NULL,
  seq            bigint NOT NULL,
  PRIMARY KEY (marina_id, id),
  FOREIGN KEY (marina_id, stay_id) REFERENCES stay (marina_id, id),
  FOREIGN KEY (marina_id, boat_id) REFERENCES boat (marina_id, id)
);
CREATE UNIQUE INDEX dock_event_seq ON dock_event (marina_id, seq);
CREATE INDEX dock_event_stay ON dock_event (marina_id, stay_id, at);
CREATE INDEX dock_event_kind ON dock_event (marina_id, kind, at);

-- One piece of the dock's stock in a boat's hands.
CREATE TABLE adapter_loan (
  marina_id        text NOT NULL REFERENCES marina (id),
  id               text NOT NULL,
  stock_id         text NOT NULL,
  stay_id          text NOT NULL,
  event_id         text NOT NULL,
  lent_at          timestamptz(3) NOT NULL,
  due_at           timestamptz(3) NOT NULL,
  returned_at      timestamptz(3),
  returned_note    text,
  PRIMARY KEY (marina_id, id),
  FOREIGN KEY (marina_id, stock_id) REFERENCES adapter_stock (marina_id, id),
  FOREIGN KEY (marina_id, stay_id) REFERENCES stay (marina_id, id),
  FOREIGN KEY (marina_id, event_id) REFERENCES dock_event (marina_id, id) DEFERRABLE INITIALLY DEFERRED
);
CREATE INDEX adapter_loan_out ON adapter_loan (marina_id, due_at) WHERE returned_at IS NULL;
CREATE INDEX adapter_loan_stay ON adapter_loan (marina_id, stay_id);

-- What the desk should look at: contradictions, boats without power, answers of boaters.
CREATE TABLE desk_alert (
  marina_id       text NOT NULL REFERENCES marina (id),
  id              text NOT NULL,
  kind            text NOT NULL,
  stay_id         text,
  at              timestamptz(3) NOT NULL,
  message         text NOT NULL,
  findings        jsonb NOT NULL,
  acknowledged_at timestamptz(3),
  acknowledged_by text,
  PRIMARY KEY (marina_id, id),
  FOREIGN KEY (marina_id, stay_id) REFERENCES stay (marina_id, id)
);
CREATE INDEX desk_alert_open ON desk_alert (marina_id, at) WHERE acknowledged_at IS NULL;

-- The sheet of a stay behind its link, as it was last issued.
CREATE TABLE boater_sheet (
  marina_id  text NOT NULL REFERENCES marina (id),
  stay_id    text NOT NULL,
  -- SHA-256 of the link's secret, hex; the secret itself is shown once and not stored.
  hash       text NOT NULL,
  issue      integer NOT NULL DEFAULT 1,
  issued_at  timestamptz(3) NOT NULL,
  document   jsonb NOT NULL,
  -- What the present issue changed, in words.
  changes    jsonb NOT NULL,
  PRIMARY KEY (marina_id, stay_id),
  FOREIGN KEY (marina_id, stay_id) REFERENCES stay (marina_id, id)
);
CREATE UNIQUE INDEX boater_sheet_hash ON boater_sheet (hash);
