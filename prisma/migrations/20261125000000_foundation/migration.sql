-- Exclusion constraints over text and ranges need btree_gist.
CREATE EXTENSION IF NOT EXISTS btree_gist;

CREATE TABLE marina (
  id                 text PRIMARY KEY,
  name               text NOT NULL,
  time_zone          text NOT NULL,
  seq                bigint NOT NULL DEFAULT 0,
  inventory_revision bigint NOT NULL DEFAULT 0,
  settings           jsonb NOT NULL,
  created_at         timestamptz(3) NOT NULL DEFAULT now()
);

CREATE TABLE token (
  marina_id  text NOT NULL REFERENCES marina (id),
  id         text NOT NULL,
  name       text NOT NULL,
  role       text NOT NULL CHECK (role IN ('harbormaster', 'dockhand', 'manager', 'viewer')),
  hash       text NOT NULL,
  created_at timestamptz(3) NOT NULL DEFAULT now(),
  revoked_at timestamptz(3),
  PRIMARY KEY (marina_id, id)
);
CREATE INDEX token_hash ON token (hash);

CREATE TABLE change (
  marina_id text NOT NULL REFERENCES marina (id),
  seq       bigint NOT NULL,
  kind      text NOT NULL,
  actor     text NOT NULL,
  at        timestamptz(3) NOT NULL,
  before    jsonb,
  after     jsonb,
  PRIMARY KEY (marina_id, seq)
);

CREATE TABLE idempotency_key (
  marina_id    text NOT NULL REFERENCES marina (id),
  principal    text NOT NULL,
  key          text NOT NULL,
  request_hash text NOT NULL,
  response     jsonb,
  created_at   timestamptz(3) NOT NULL DEFAULT now(),
  PRIMARY KEY (marina_id, principal, key)
);

CREATE TABLE practice (
  marina_id  text NOT NULL REFERENCES marina (id),
  id         text NOT NULL,
  position   integer NOT NULL,
  name text NOT NULL,
  rows jsonb NOT NULL,
  sub_meter_factor double precision,
  two_voltage_rule boolean NOT NULL,
  notes jsonb NOT NULL,
  source jsonb NOT NULL,
  retired_at timestamptz(3),
  PRIMARY KEY (marina_id, id)
);

CREATE TABLE adapter_kind (
  marina_id  text NOT NULL REFERENCES marina (id),
  id         text NOT NULL,
  position   integer NOT NULL,
  name text NOT NULL,
  plugs jsonb NOT NULL,
  connectors jsonb NOT NULL,
  conductors jsonb NOT NULL,
  interlock boolean NOT NULL,
  source jsonb NOT NULL,
  retired_at timestamptz(3),
  PRIMARY KEY (marina_id, id)
);

CREATE TABLE dock (
  marina_id  text NOT NULL REFERENCES marina (id),
  id         text NOT NULL,
  position   integer NOT NULL,
  label      text NOT NULL,
  kind       text NOT NULL CHECK (kind IN ('floating', 'fixed')),
  length_m   double precision,
  retired_at timestamptz(3),
  PRIMARY KEY (marina_id, id)
);

CREATE TABLE equipment (
  marina_id               text NOT NULL REFERENCES marina (id),
  id                      text NOT NULL,
  position                integer NOT NULL,
  label                   text NOT NULL,
  kind                    text NOT NULL CHECK (kind IN ('service', 'transformer', 'panelboard', 'feeder', 'branchCircuit')),
  parent_id               text,
  system_id               text,
  lines                   jsonb,
  breaker_a               double precision,
  conductor_ampacity_a    double precision,
  neutral_ampacity_a      double precision,
  bus_a                   double precision,
  conductor               jsonb,
  transformer             jsonb,
  ground_fault jsonb NOT NULL,
  other_loads             jsonb NOT NULL,
  earthing                text,
  retired_at              timestamptz(3),
  PRIMARY KEY (marina_id, id),
  FOREIGN KEY (marina_id, parent_id) REFERENCES equipment (marina_id, id) DEFERRABLE INITIALLY DEFERRED
);

CREATE TABLE pedestal (
  marina_id    text NOT NULL REFERENCES marina (id),
  id           text NOT NULL,
  position     integer NOT NULL,
  label        text NOT NULL,
  dock_id      text NOT NULL,
  fed_by_id    text NOT NULL,
  along_dock_m double precision,
  retired_at   timestamptz(3),
  PRIMARY KEY (marina_id, id),
  FOREIGN KEY (marina_id, dock_id) REFERENCES dock (marina_id, id),
  FOREIGN KEY (marina_id, fed_by_id) REFERENCES equipment (marina_id, id)
);

CREATE TABLE space_unit (
  marina_id     text NOT NULL REFERENCES marina (id),
  id            text NOT NULL,
  position      integer NOT NULL,
  label         text NOT NULL,
  dock_id       text NOT NULL,
  kind          text NOT NULL CHECK (kind IN ('slip', 'raftPlace', 'face')),
  face_length_m double precision,
  retired_at    timestamptz(3),
  PRIMARY KEY (marina_id, id),
  FOREIGN KEY (marina_id, dock_id) REFERENCES dock (marina_id, id)
);

CREATE TABLE berth (
  marina_id    text NOT NULL REFERENCES marina (id),
  id           text NOT NULL,
  position     integer NOT NULL,
  label        text NOT NULL,
  face_from_m  double precision,
  face_until_m double precision,
  mooring      text NOT NULL CHECK (mooring IN ('fingerPier', 'pilings', 'alongside', 'rafted', 'sternTo')),
  length_m     double precision,
  beam_m       double precision,
  depth_m      double precision,
  orientations jsonb NOT NULL,
  retired_at   timestamptz(3),
  PRIMARY KEY (marina_id, id)
);

CREATE TABLE outlet (
  marina_id               text NOT NULL REFERENCES marina (id),
  id                      text NOT NULL,
  position                integer NOT NULL,
  label                   text NOT NULL,
  pedestal_id             text NOT NULL,
  fed_by_id               text,
  configuration_id        text NOT NULL,
  lines                   jsonb,
  breaker_a               double precision,
  ground_fault jsonb NOT NULL,
  dedicated_berth_id      text,
  sub_metered             boolean NOT NULL,
  height_m                double precision,
  retired_at              timestamptz(3),
  PRIMARY KEY (marina_id, id),
  FOREIGN KEY (marina_id, pedestal_id) REFERENCES pedestal (marina_id, id),
  FOREIGN KEY (marina_id, fed_by_id) REFERENCES equipment (marina_id, id),
  FOREIGN KEY (marina_id, dedicated_berth_id) REFERENCES berth (marina_id, id) DEFERRABLE INITIALLY DEFERRED
);

CREATE TABLE berth_unit (
  marina_id text NOT NULL REFERENCES marina (id),
  berth_id  text NOT NULL,
  unit_id   text NOT NULL,
  position  integer NOT NULL,
  PRIMARY KEY (marina_id, berth_id, unit_id),
  FOREIGN KEY (marina_id, berth_id) REFERENCES berth (marina_id, id),
  FOREIGN KEY (marina_id, unit_id) REFERENCES space_unit (marina_id, id)
);

CREATE TABLE berth_reach (
  marina_id text NOT NULL REFERENCES marina (id),
  berth_id  text NOT NULL,
  outlet_id text NOT NULL,
  position  integer NOT NULL,
  along_m   double precision,
  across_m  double precision,
  detour_m  double precision NOT NULL,
  PRIMARY KEY (marina_id, berth_id, outlet_id),
  FOREIGN KEY (marina_id, berth_id) REFERENCES berth (marina_id, id),
  FOREIGN KEY (marina_id, outlet_id) REFERENCES outlet (marina_id, id)
);

CREATE TABLE adapter_stock (
  marina_id       text NOT NULL REFERENCES marina (id),
  id              text NOT NULL,
  position        integer NOT NULL,
  label           text NOT NULL,
  adapter_kind_id text NOT NULL,
  quantity        integer NOT NULL CHECK (quantity >= 0),
  retired_at      timestamptz(3),
  PRIMARY KEY (marina_id, id)
);

CREATE TABLE boat (
  marina_id  text NOT NULL REFERENCES marina (id),
  id         text NOT NULL,
  name       text NOT NULL,
  facts      jsonb NOT NULL,
  version    integer NOT NULL DEFAULT 1,
  created_at timestamptz(3) NOT NULL DEFAULT now(),
  retired_at timestamptz(3),
  PRIMARY KEY (marina_id, id)
);

CREATE TABLE holding (
  marina_id    text NOT NULL REFERENCES marina (id),
  id           text NOT NULL,
  berth_id     text NOT NULL,
  face_from_m  double precision,
  face_until_m double precision,
  boat_id      text,
  holder_name  text NOT NULL,
  from_at      timestamptz(3) NOT NULL,
  until_at     timestamptz(3) NOT NULL,
  outlets      jsonb NOT NULL,
  version      integer NOT NULL DEFAULT 1,
  PRIMARY KEY (marina_id, id),
  CHECK (from_at < until_at),
  FOREIGN KEY (marina_id, berth_id) REFERENCES berth (marina_id, id),
  FOREIGN KEY (marina_id, boat_id) REFERENCES boat (marina_id, id)
);
CREATE INDEX holding_berth ON holding (marina_id, berth_id);

CREATE TABLE absence (
  marina_id        text NOT NULL REFERENCES marina (id),
  id               text NOT NULL,
  holding_id       text NOT NULL,
  from_at          timestamptz(3) NOT NULL,
  until_at         timestamptz(3) NOT NULL,
  recalled_at      timestamptz(3),
  recalled_from_at timestamptz(3),
  PRIMARY KEY (marina_id, id),
  CHECK (from_at < until_at),
  FOREIGN KEY (marina_id, holding_id) REFERENCES holding (marina_id, id)
);
CREATE INDEX absence_holding ON absence (marina_id, holding_id);

CREATE TABLE stay (
  marina_id           text NOT NULL REFERENCES marina (id),
  id                  text NOT NULL,
  boat_id             text NOT NULL,
  contact_name        text NOT NULL,
  contact_phone       text,
  arrival_at          timestamptz(3) NOT NULL,
  departure_at        timestamptz(3) NOT NULL,
  state               text NOT NULL CHECK (state IN ('requested', 'offered', 'promised', 'arrived', 'departed',
                        'cancelled', 'turnedAway', 'noShow')),
  wishes              jsonb NOT NULL,
  note                text NOT NULL DEFAULT '',
  turned_away_reasons jsonb,
  needs_berth         jsonb,
  version             integer NOT NULL DEFAULT 1,
  created_at          timestamptz(3) NOT NULL DEFAULT now(),
  PRIMARY KEY (marina_id, id),
  CHECK (arrival_at < departure_at),
  FOREIGN KEY (marina_id, boat_id) REFERENCES boat (marina_id, id)
);
CREATE INDEX stay_boat ON stay (marina_id, boat_id);
CREATE INDEX stay_arrival ON stay (marina_id, arrival_at, id);
CREATE INDEX stay_departure ON stay (marina_id, departure_at);
CREATE INDEX stay_needs_berth ON stay (marina_id, arrival_at) WHERE needs_berth IS NOT NULL;

CREATE TABLE assignment (
  marina_id          text NOT NULL REFERENCES marina (id),
  id                 text NOT NULL,
  stay_id            text NOT NULL,
  berth_id           text NOT NULL,
  face_from_m        double precision,
  face_until_m       double precision,
  orientation        text NOT NULL CHECK (orientation IN ('bowIn', 'sternIn')),
  from_at            timestamptz(3) NOT NULL,
  until_at           timestamptz(3) NOT NULL,
  occupied_until     timestamptz(3) NOT NULL,
  found              boolean NOT NULL DEFAULT false,
  hook_up            jsonb,
  findings           jsonb NOT NULL,
  verdict            text NOT NULL CHECK (verdict IN ('refused', 'unconfirmed', 'cautioned', 'clear')),
  overrides          jsonb NOT NULL,
  rules_edition      text NOT NULL,
  inventory_revision bigint NOT NULL,
  version            integer NOT NULL DEFAULT 1,
  created_at         timestamptz(3) NOT NULL DEFAULT now(),
  PRIMARY KEY (marina_id, id),
  CHECK (from_at < until_at AND until_at <= occupied_until),
  FOREIGN KEY (marina_id, stay_id) REFERENCES stay (marina_id, id),
  FOREIGN KEY (marina_id, berth_id) REFERENCES berth (marina_id, id),
  -- A boat is in one place at a time.
  CONSTRAINT assignment_one_place EXCLUDE USING gist
    (marina_id WITH =, stay_id WITH =, tstzrange(from_at, until_at, '[)') WITH &&) DEFERRABLE INITIALLY DEFERRED
);
CREATE INDEX assignment_period ON assignment USING gist (marina_id, tstzrange(from_at, until_at, '[)'));

CREATE TABLE out_of_service (
  marina_id text NOT NULL REFERENCES marina (id),
  id        text NOT NULL,
  outlet_id text,
  unit_id   text,
  from_m    double precision,
  until_m   double precision,
  from_at   timestamptz(3) NOT NULL,
  until_at  timestamptz(3) NOT NULL,
  reason    text NOT NULL,
  version   integer NOT NULL DEFAULT 1,
  PRIMARY KEY (marina_id, id),
  CHECK (from_at < until_at),
  CHECK ((outlet_id IS NULL) <> (unit_id IS NULL)),
  FOREIGN KEY (marina_id, outlet_id) REFERENCES outlet (marina_id, id),
  FOREIGN KEY (marina_id, unit_id) REFERENCES space_unit (marina_id, id)
);

CREATE TABLE space_use (
  marina_id         text NOT NULL REFERENCES marina (id),
  id                bigint GENERATED BY DEFAULT AS IDENTITY,
  unit_id           text NOT NULL,
  from_m            double precision NOT NULL,
  until_m           double precision NOT NULL,
  from_at           timestamptz(3) NOT NULL,
  until_at          timestamptz(3) NOT NULL,
  assignment_id     text,
  holding_id        text,
  out_of_service_id text,
  PRIMARY KEY (marina_id, id),
  CHECK (from_m < until_m AND from_at < until_at),
  CHECK (num_nonnulls(assignment_id, holding_id, out_of_service_id) = 1),
  FOREIGN KEY (marina_id, unit_id) REFERENCES space_unit (marina_id, id),
  FOREIGN KEY (marina_id, assignment_id) REFERENCES assignment (marina_id, id),
  FOREIGN KEY (marina_id, holding_id) REFERENCES holding (marina_id, id),
  FOREIGN KEY (marina_id, out_of_service_id) REFERENCES out_of_service (marina_id, id),
  CONSTRAINT space_use_once EXCLUDE USING gist
    (marina_id WITH =, unit_id WITH =, numrange(from_m::numeric, until_m::numeric, '[)') WITH &&,
     tstzrange(from_at, until_at, '[)') WITH &&) DEFERRABLE INITIALLY DEFERRED
);
CREATE INDEX space_use_period ON space_use USING gist (marina_id, tstzrange(from_at, until_at, '[)'));
CREATE INDEX space_use_assignment ON space_use (marina_id, assignment_id);

CREATE TABLE outlet_use (
  marina_id         text NOT NULL REFERENCES marina (id),
  id                bigint GENERATED BY DEFAULT AS IDENTITY,
  outlet_id         text NOT NULL,
  from_at           timestamptz(3) NOT NULL,
  until_at          timestamptz(3) NOT NULL,
  stated_va         double precision,
  assignment_id     text,
  holding_id        text,
  out_of_service_id text,
  PRIMARY KEY (marina_id, id),
  CHECK (from_at < until_at),
  CHECK (num_nonnulls(assignment_id, holding_id, out_of_service_id) = 1),
  FOREIGN KEY (marina_id, outlet_id) REFERENCES outlet (marina_id, id),
  FOREIGN KEY (marina_id, assignment_id) REFERENCES assignment (marina_id, id),
  FOREIGN KEY (marina_id, holding_id) REFERENCES holding (marina_id, id),
  FOREIGN KEY (marina_id, out_of_service_id) REFERENCES out_of_service (marina_id, id),
  CONSTRAINT outlet_use_once EXCLUDE USING gist
    (marina_id WITH =, outlet_id WITH =, tstzrange(from_at, until_at, '[)') WITH &&) DEFERRABLE INITIALLY DEFERRED
);
CREATE INDEX outlet_use_period ON outlet_use USING gist (marina_id, tstzrange(from_at, until_at, '[)'));
CREATE INDEX outlet_use_assignment ON outlet_use (marina_id, assignment_id);

CREATE TABLE stock_use (
  marina_id     text NOT NULL REFERENCES marina (id),
  id            bigint GENERATED BY DEFAULT AS IDENTITY,
  stock_id      text NOT NULL,
  quantity      integer NOT NULL CHECK (quantity > 0),
  from_at       timestamptz(3) NOT NULL,
  until_at      timestamptz(3) NOT NULL,
  assignment_id text NOT NULL,
  PRIMARY KEY (marina_id, id),
  CHECK (from_at < until_at),
  FOREIGN KEY (marina_id, stock_id) REFERENCES adapter_stock (marina_id, id),
  FOREIGN KEY (marina_id, assignment_id) REFERENCES assignment (marina_id, id)
);
CREATE INDEX stock_use_period ON stock_use USING gist (marina_id, tstzrange(from_at, until_at, '[)'));
CREATE INDEX stock_use_assignment ON stock_use (marina_id, assignment_id);
