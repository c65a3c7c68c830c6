-- What is metered, by what, and how.
CREATE TABLE meter (
  marina_id        text NOT NULL REFERENCES marina (id),
  id               text NOT NULL,
  label            text NOT NULL,
  subject_kind     text NOT NULL CHECK (subject_kind IN ('outlet', 'pedestal', 'equipment')),
  subject_id       text NOT NULL,
  quantity         text NOT NULL CHECK (quantity IN ('energyKwh', 'demandKw', 'demandKva', 'amperes', 'registerKwh')),
  interval_minutes integer NOT NULL CHECK (interval_minutes BETWEEN 1 AND 1440 AND 1440 % interval_minutes = 0),
  power_factor     double precision CHECK (power_factor > 0 AND power_factor <= 1),
  version          integer NOT NULL DEFAULT 1,
  retired_at       timestamptz(3),
  PRIMARY KEY (marina_id, id)
);

-- Two meters in use on one subject would count its load twice.
CREATE UNIQUE INDEX meter_subject ON meter (marina_id, subject_kind, subject_id) WHERE retired_at IS NULL;

-- One interval of one meter, or one reading of its register. The key makes a repeat harmless; partitions by the year keep
-- a season together and let an old one be dropped. Times outside the years go to the last partition. No foreign key to the
-- meter: the import checks it once a file, not once a row.
CREATE TABLE meter_reading (
  marina_id text NOT NULL,
  meter_id  text NOT NULL,
  line      smallint NOT NULL CHECK (line BETWEEN 0 AND 3),
  from_at   timestamptz(3) NOT NULL,
  value     double precision NOT NULL CHECK (value >= 0 AND value < 1e12),
  PRIMARY KEY (marina_id, meter_id, line, from_at)
) PARTITION BY RANGE (from_at);

DO $$
BEGIN
  FOR year IN 2015..2045 LOOP
    EXECUTE format(
      'CREATE TABLE meter_reading_%s PARTITION OF meter_reading FOR VALUES FROM (%L) TO (%L)',
      year, make_timestamptz(year, 1, 1, 0, 0, 0, 'UTC'), make_timestamptz(year + 1, 1, 1, 0, 0, 0, 'UTC'));
  END LOOP;
END
$$;
CREATE TABLE meter_reading_other PARTITION OF meter_reading DEFAULT;

-- What there is where no interval meter is: bills and notebooks, kept apart from readings.
CREATE TABLE load_note (
  marina_id      text NOT NULL REFERENCES marina (id),
  id             text NOT NULL,
  kind           text NOT NULL CHECK (kind IN ('bill', 'notebook')),
  subject_kind   text CHECK (subject_kind IN ('outlet', 'pedestal', 'equipment')),
  subject_id     text,
  from_at        timestamptz(3) NOT NULL,
  until_at       timestamptz(3) NOT NULL,
  energy_kwh     double precision CHECK (energy_kwh >= 0),
  peak_demand_kw double precision CHECK (peak_demand_kw >= 0),
  turned_away    integer CHECK (turned_away >= 0),
  supplied_by    text NOT NULL,
  note           text NOT NULL,
  created_at     timestamptz(3) NOT NULL,
  PRIMARY KEY (marina_id, id),
  CHECK (from_at < until_at)
);

CREATE TABLE tariff (
  marina_id text PRIMARY KEY REFERENCES marina (id),
  document  jsonb NOT NULL,
  version   integer NOT NULL DEFAULT 1
);

-- A what-if on a stored copy of the inventory. The copy stays as it is when the marina goes on.
CREATE TABLE upgrade_study (
  marina_id     text NOT NULL REFERENCES marina (id),
  id            text NOT NULL,
  name          text NOT NULL,
  base          jsonb NOT NULL,
  base_revision bigint NOT NULL,
  changes       jsonb NOT NULL,
  settings      jsonb NOT NULL,
  version       integer NOT NULL DEFAULT 1,
  created_at    timestamptz(3) NOT NULL,
  PRIMARY KEY (marina_id, id)
);
