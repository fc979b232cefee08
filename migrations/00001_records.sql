-- +goose Up

-- The lab and its people.

CREATE TABLE lab (
    one               boolean PRIMARY KEY DEFAULT true CHECK (one),
    name              text NOT NULL CHECK (name <> ''),
    ready_hours       int NOT NULL CHECK (ready_hours BETWEEN 1 AND 2400),
    combine_bw        boolean NOT NULL,
    tolerance_percent double precision NOT NULL CHECK (tolerance_percent BETWEEN 0 AND 15),
    opens_at          int NOT NULL CHECK (opens_at BETWEEN 0 AND 23),
    closes_at         int NOT NULL CHECK (closes_at BETWEEN 1 AND 24 AND closes_at > opens_at),
    time_zone         text NOT NULL,
    return_address    text NOT NULL DEFAULT '',
    version           int NOT NULL DEFAULT 1
);

INSERT INTO lab (name, ready_hours, combine_bw, tolerance_percent, opens_at, closes_at, time_zone)
VALUES ('The lab', 72, true, 5, 8, 18, 'UTC');

CREATE TABLE people (
    id            bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
    name          text NOT NULL CHECK (name = btrim(name) AND length(name) BETWEEN 1 AND 80),
    role          text NOT NULL CHECK (role IN ('staff', 'owner')),
    password_hash text NOT NULL,
    active        boolean NOT NULL DEFAULT true,
    created_at    timestamptz NOT NULL
);

CREATE UNIQUE INDEX people_name ON people (lower(name));

CREATE TABLE sessions (
    token  text PRIMARY KEY,
    data   bytea NOT NULL,
    expiry timestamptz NOT NULL
);

CREATE INDEX sessions_expiry ON sessions (expiry);

-- The catalogue.

CREATE TABLE solutions (
    id               bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
    name             text NOT NULL CHECK (name = btrim(name) AND length(name) BETWEEN 1 AND 80),
    process          text NOT NULL CHECK (process IN ('C-41', 'E-6', 'ECN-2', 'BW')),
    family           text NOT NULL,
    use_mode         text NOT NULL CHECK (use_mode IN ('one-shot', 'reused', 'replenished')),
    temp_c           double precision NOT NULL CHECK (temp_c BETWEEN 5 AND 60),
    per_roll_percent double precision NOT NULL CHECK (per_roll_percent BETWEEN 0 AND 50),
    capacity_m2_per_l double precision NOT NULL CHECK (capacity_m2_per_l BETWEEN 0 AND 100),
    b                double precision NOT NULL CHECK (b BETWEEN 0 AND 0.3),
    push_factor      double precision NOT NULL CHECK (push_factor = 0 OR push_factor BETWEEN 1 AND 3),
    active           boolean NOT NULL DEFAULT true,
    version          int NOT NULL DEFAULT 1
);

CREATE UNIQUE INDEX solutions_name ON solutions (lower(name));

CREATE TABLE stocks (
    id              bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
    name            text NOT NULL CHECK (name = btrim(name) AND length(name) BETWEEN 1 AND 80),
    process         text NOT NULL CHECK (process IN ('C-41', 'E-6', 'ECN-2', 'BW')),
    kind            text NOT NULL,
    remjet          text NOT NULL CHECK (remjet IN ('none', 'present', 'removed', 'unknown')),
    balance         text NOT NULL,
    iso_daylight    int NOT NULL CHECK (iso_daylight BETWEEN 0 AND 102400),
    iso_tungsten    int NOT NULL CHECK (iso_tungsten BETWEEN 0 AND 102400),
    max_push_sixths int NOT NULL CHECK (max_push_sixths BETWEEN 0 AND 60),
    max_pull_sixths int NOT NULL CHECK (max_pull_sixths BETWEEN 0 AND 60),
    unforgiving     boolean NOT NULL,
    dx              text NOT NULL DEFAULT '',
    solution_id     bigint REFERENCES solutions (id),
    active          boolean NOT NULL DEFAULT true,
    version         int NOT NULL DEFAULT 1,
    CHECK (iso_daylight > 0 OR iso_tungsten > 0),
    CHECK (solution_id IS NULL OR process = 'BW')
);

CREATE UNIQUE INDEX stocks_name ON stocks (lower(name));

-- One row of a stock's times in a solution: at box speed at a temperature, or
-- pushed at the temperature of its first row.
CREATE TABLE stock_times (
    stock_id    bigint NOT NULL REFERENCES stocks (id),
    solution_id bigint NOT NULL REFERENCES solutions (id),
    kind        text NOT NULL CHECK (kind IN ('base', 'push')),
    place       int NOT NULL CHECK (place >= 0),
    temp_c      double precision,
    push_sixths int,
    seconds     int NOT NULL CHECK (seconds BETWEEN 1 AND 86400),
    source      text NOT NULL DEFAULT '',
    PRIMARY KEY (stock_id, solution_id, kind, place),
    CHECK ((kind = 'base') = (temp_c IS NOT NULL)),
    CHECK ((kind = 'push') = (push_sixths IS NOT NULL))
);

CREATE TABLE tested_times (
    process     text NOT NULL CHECK (process IN ('C-41', 'E-6', 'ECN-2')),
    push_sixths int NOT NULL CHECK (push_sixths BETWEEN -60 AND 60),
    seconds     int NOT NULL CHECK (seconds BETWEEN 1 AND 86400),
    source      text NOT NULL DEFAULT '',
    PRIMARY KEY (process, push_sixths)
);

CREATE TABLE lines (
    id                 bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
    name               text NOT NULL CHECK (name = btrim(name) AND length(name) BETWEEN 1 AND 80),
    capacity           int NOT NULL CHECK (capacity BETWEEN 1 AND 10000),
    turnaround_seconds int NOT NULL CHECK (turnaround_seconds BETWEEN 0 AND 86400),
    rotary             boolean NOT NULL,
    active             boolean NOT NULL DEFAULT true,
    version            int NOT NULL DEFAULT 1
);

CREATE UNIQUE INDEX lines_name ON lines (lower(name));

CREATE TABLE line_processes (
    line_id bigint NOT NULL REFERENCES lines (id),
    process text NOT NULL CHECK (process IN ('C-41', 'E-6', 'ECN-2', 'BW')),
    variant text NOT NULL DEFAULT '',
    PRIMARY KEY (line_id, process)
);

CREATE TABLE line_takes (
    line_id bigint NOT NULL REFERENCES lines (id),
    format  text NOT NULL CHECK (format IN ('135', '120', '220', '4x5')),
    units   int NOT NULL CHECK (units > 0),
    PRIMARY KEY (line_id, format)
);

-- Orders and their rolls. An order has no state of its own: its rolls have.

CREATE TABLE orders (
    id              bigint GENERATED ALWAYS AS IDENTITY (START WITH 1001) PRIMARY KEY,
    token           text NOT NULL UNIQUE CHECK (length(token) >= 22),
    name            text NOT NULL CHECK (name <> ''),
    email           text NOT NULL,
    phone           text NOT NULL,
    return_by       text NOT NULL CHECK (return_by IN ('collect', 'post')),
    address         text NOT NULL,
    submitted_at    timestamptz NOT NULL,
    due_at          timestamptz NOT NULL CHECK (due_at >= submitted_at),
    idempotency_key text UNIQUE CHECK (idempotency_key <> ''),
    content_hash    bytea,
    CHECK (return_by = 'collect' OR address <> '')
);

CREATE SEQUENCE twin_checks START WITH 100001;

CREATE TABLE rolls (
    id               bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
    order_id         bigint NOT NULL REFERENCES orders (id),
    position         int NOT NULL CHECK (position BETWEEN 1 AND 50),
    twin_check       text CHECK (twin_check ~ '^[A-Z0-9-]{3,16}$'),
    stock_id         bigint NOT NULL REFERENCES stocks (id),
    process          text NOT NULL CHECK (process IN ('C-41', 'E-6', 'ECN-2', 'BW')),
    remjet           text NOT NULL CHECK (remjet IN ('none', 'present', 'removed', 'unknown')),
    solution_id      bigint REFERENCES solutions (id),
    format           text NOT NULL CHECK (format IN ('135', '120', '220', '4x5')),
    exposures        int NOT NULL CHECK (exposures BETWEEN 0 AND 250),
    light            text NOT NULL,
    filter           text NOT NULL,
    ei               int NOT NULL CHECK (ei BETWEEN 1 AND 102400),
    push_sixths      int NOT NULL CHECK (push_sixths BETWEEN -60 AND 60),
    note             text NOT NULL CHECK (length(note) <= 2000),
    reading          text NOT NULL,
    confirm          boolean NOT NULL,
    cut_and_sleeve   boolean NOT NULL,
    scan             boolean NOT NULL,
    return_negatives boolean NOT NULL,
    state            text NOT NULL CHECK (state IN ('expected', 'received', 'held', 'queued', 'batched', 'developing',
                         'drying', 'finishing', 'ready', 'delivered', 'cancelled', 'spoiled')),
    since            timestamptz NOT NULL,
    due_at           timestamptz NOT NULL,
    question         text NOT NULL DEFAULT '',
    answer           text NOT NULL DEFAULT '',
    reason           text NOT NULL DEFAULT '',
    tracking         text NOT NULL DEFAULT '',
    batch_id         bigint, -- the batch it is in or went through; null while it is in none
    version          int NOT NULL DEFAULT 1,
    UNIQUE (order_id, position),
    UNIQUE (id, process, remjet),
    CHECK (state <> 'held' OR question <> ''),
    CHECK (state NOT IN ('spoiled', 'cancelled') OR reason <> ''),
    CHECK (state IN ('expected', 'cancelled') OR twin_check IS NOT NULL),
    CHECK (NOT confirm OR state IN ('expected', 'received', 'held', 'cancelled', 'spoiled')),
    CHECK (solution_id IS NULL OR process = 'BW')
);

CREATE UNIQUE INDEX rolls_twin_check ON rolls (twin_check);

-- The day's work is found through these, however many rolls the past holds.
CREATE INDEX rolls_open ON rolls (state, due_at, id) WHERE state NOT IN ('delivered', 'cancelled', 'spoiled');

CREATE INDEX rolls_batch ON rolls (batch_id);

-- Batches.

CREATE TABLE batches (
    id              bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
    line_id         bigint NOT NULL REFERENCES lines (id),
    process         text NOT NULL CHECK (process IN ('C-41', 'E-6', 'ECN-2', 'BW')),
    solution_id     bigint REFERENCES solutions (id),
    push_sixths     int CHECK (push_sixths BETWEEN -60 AND 60), -- null when rolls of several levels share it
    develop_seconds int NOT NULL CHECK (develop_seconds BETWEEN 1 AND 86400),
    temp_c          double precision NOT NULL,
    state           text NOT NULL CHECK (state IN ('accepted', 'locked', 'developing', 'finished', 'stopped', 'cancelled')),
    planned_start   timestamptz NOT NULL,
    started_at      timestamptz,
    ended_at        timestamptz,
    reason          text NOT NULL DEFAULT '',
    run_sheet       jsonb, -- as it was when the batch started
    version         int NOT NULL DEFAULT 1,
    UNIQUE (id, process),
    CHECK ((process = 'BW') = (solution_id IS NOT NULL)),
    CHECK (state NOT IN ('stopped', 'cancelled') OR reason <> ''),
    CHECK (state NOT IN ('developing', 'finished', 'stopped') OR (started_at IS NOT NULL AND run_sheet IS NOT NULL)),
    CHECK ((state IN ('finished', 'stopped', 'cancelled')) = (ended_at IS NOT NULL))
);

ALTER TABLE rolls ADD FOREIGN KEY (batch_id) REFERENCES batches (id);

CREATE INDEX batches_open ON batches (planned_start, id) WHERE state IN ('accepted', 'locked', 'developing');

-- A line runs one batch at a time.
CREATE UNIQUE INDEX batches_running ON batches (line_id) WHERE state = 'developing';

-- Which roll is in, or went through, which batch. While it is in, the roll's process and
-- remjet are carried along by foreign keys, so that the database itself keeps
-- film out of a tank that it would foul.
CREATE TABLE batch_rolls (
    batch_id bigint NOT NULL REFERENCES batches (id),
    roll_id  bigint NOT NULL REFERENCES rolls (id),
    open     boolean NOT NULL DEFAULT true,
    process  text,
    remjet   text,
    PRIMARY KEY (batch_id, roll_id),
    CHECK (open = (process IS NOT NULL)),
    CHECK (open = (remjet IS NOT NULL)),
    FOREIGN KEY (batch_id, process) REFERENCES batches (id, process),
    FOREIGN KEY (roll_id, process, remjet) REFERENCES rolls (id, process, remjet) ON UPDATE CASCADE,
    CONSTRAINT remjet_fouls_the_tank CHECK (process NOT IN ('C-41', 'E-6') OR remjet NOT IN ('present', 'unknown'))
);

CREATE UNIQUE INDEX batch_rolls_open ON batch_rolls (roll_id) WHERE open;

CREATE TABLE readings (
    id       bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
    batch_id bigint NOT NULL REFERENCES batches (id),
    at       timestamptz NOT NULL,
    by_name  text NOT NULL,
    step     text NOT NULL,
    temp_c   double precision NOT NULL CHECK (temp_c BETWEEN 0 AND 100),
    note     text NOT NULL DEFAULT ''
);

CREATE INDEX readings_batch ON readings (batch_id, id);

-- Fills and what went through them.

CREATE TABLE fills (
    id          bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
    solution_id bigint NOT NULL REFERENCES solutions (id),
    line_id     bigint NOT NULL REFERENCES lines (id),
    volume_ml   int NOT NULL CHECK (volume_ml BETWEEN 1 AND 1000000),
    filled_at   timestamptz NOT NULL,
    dumped_at   timestamptz CHECK (dumped_at >= filled_at),
    dump_reason text NOT NULL DEFAULT '',
    CHECK (dumped_at IS NULL OR dump_reason <> '')
);

CREATE UNIQUE INDEX fills_in_use ON fills (line_id, solution_id) WHERE dumped_at IS NULL;

CREATE TABLE fill_entries (
    id       bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
    fill_id  bigint NOT NULL REFERENCES fills (id),
    batch_id bigint NOT NULL REFERENCES batches (id),
    at       timestamptz NOT NULL,
    by_name  text NOT NULL,
    rolls    int NOT NULL CHECK (rolls >= 0),
    area_m2  double precision NOT NULL CHECK (area_m2 >= 0),
    UNIQUE (fill_id, batch_id)
);

-- The record. It has no foreign keys to what it tells of, which makes it cheap
-- to write; it is only ever added to.

CREATE TABLE events (
    id         bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
    at         timestamptz NOT NULL,
    person_id  bigint REFERENCES people (id),
    by_name    text NOT NULL,
    kind       text NOT NULL,
    order_id   bigint,
    roll_id    bigint,
    batch_id   bigint,
    fill_id    bigint,
    from_state text NOT NULL DEFAULT '',
    to_state   text NOT NULL DEFAULT '',
    why        text NOT NULL DEFAULT ''
);

CREATE INDEX events_roll ON events (roll_id, id) WHERE roll_id IS NOT NULL;
CREATE INDEX events_batch ON events (batch_id, id) WHERE batch_id IS NOT NULL;
-- How long film takes is learnt from these.
CREATE INDEX events_pace ON events (at) WHERE to_state IN ('received', 'drying', 'ready');

-- +goose StatementBegin
CREATE FUNCTION refuse_change() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    RAISE EXCEPTION '% is only ever added to', TG_TABLE_NAME USING ERRCODE = 'restrict_violation';
END
$$;
-- +goose StatementEnd

CREATE TRIGGER events_append_only BEFORE UPDATE OR DELETE OR TRUNCATE ON events
    FOR EACH STATEMENT EXECUTE FUNCTION refuse_change();
CREATE TRIGGER fill_entries_append_only BEFORE UPDATE OR DELETE OR TRUNCATE ON fill_entries
    FOR EACH STATEMENT EXECUTE FUNCTION refuse_change();
CREATE TRIGGER readings_append_only BEFORE UPDATE OR DELETE OR TRUNCATE ON readings
    FOR EACH STATEMENT EXECUTE FUNCTION refuse_change();

-- How often the catalogue was changed: whoever has read it knows by this number
-- whether it is still the same.
CREATE TABLE catalogue_changes (
    one    boolean PRIMARY KEY DEFAULT true CHECK (one),
    number bigint NOT NULL DEFAULT 0
);

INSERT INTO catalogue_changes DEFAULT VALUES;

-- +goose StatementBegin
CREATE FUNCTION count_catalogue_change() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    UPDATE catalogue_changes SET number = number + 1;
    RETURN NULL;
END
$$;
-- +goose StatementEnd

CREATE TRIGGER lab_changed AFTER INSERT OR UPDATE OR DELETE OR TRUNCATE ON lab
    FOR EACH STATEMENT EXECUTE FUNCTION count_catalogue_change();
CREATE TRIGGER solutions_changed AFTER INSERT OR UPDATE OR DELETE OR TRUNCATE ON solutions
    FOR EACH STATEMENT EXECUTE FUNCTION count_catalogue_change();
CREATE TRIGGER stocks_changed AFTER INSERT OR UPDATE OR DELETE OR TRUNCATE ON stocks
    FOR EACH STATEMENT EXECUTE FUNCTION count_catalogue_change();
CREATE TRIGGER stock_times_changed AFTER INSERT OR UPDATE OR DELETE OR TRUNCATE ON stock_times
    FOR EACH STATEMENT EXECUTE FUNCTION count_catalogue_change();
CREATE TRIGGER tested_times_changed AFTER INSERT OR UPDATE OR DELETE OR TRUNCATE ON tested_times
    FOR EACH STATEMENT EXECUTE FUNCTION count_catalogue_change();
CREATE TRIGGER lines_changed AFTER INSERT OR UPDATE OR DELETE OR TRUNCATE ON lines
    FOR EACH STATEMENT EXECUTE FUNCTION count_catalogue_change();
CREATE TRIGGER line_processes_changed AFTER INSERT OR UPDATE OR DELETE OR TRUNCATE ON line_processes
    FOR EACH STATEMENT EXECUTE FUNCTION count_catalogue_change();
CREATE TRIGGER line_takes_changed AFTER INSERT OR UPDATE OR DELETE OR TRUNCATE ON line_takes
    FOR EACH STATEMENT EXECUTE FUNCTION count_catalogue_change();

-- Scheduled work claims its day here, so that it runs once, and late rather
-- than never.
CREATE TABLE scheduled (
    name      text PRIMARY KEY,
    last_done timestamptz NOT NULL
);

-- What lies before the next order, as it was last counted: the work without a
-- batch and the lines that batches hold, and how long film usually takes. Rolls
-- with a greater key than the last one counted are added when it is read.
CREATE TABLE workload (
    one        boolean PRIMARY KEY DEFAULT true CHECK (one),
    counted_at timestamptz NOT NULL,
    last_roll  bigint NOT NULL,
    work       jsonb NOT NULL,
    learnt_at  timestamptz NOT NULL,
    pace       jsonb NOT NULL
);

INSERT INTO workload (counted_at, last_roll, work, learnt_at, pace) VALUES ('epoch', 0, '{}', 'epoch', '{}');
