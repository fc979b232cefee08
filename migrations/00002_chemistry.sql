-- +goose Up

-- Recipes: what a solution is mixed from, how long it keeps, what it takes.

ALTER TABLE solutions
    ADD COLUMN replenish_ml_per_m2       double precision NOT NULL DEFAULT 0 CHECK (replenish_ml_per_m2 BETWEEN 0 AND 100000),
    ADD COLUMN replenish_push_factor     double precision NOT NULL DEFAULT 0 CHECK (replenish_push_factor = 0 OR replenish_push_factor BETWEEN 0.5 AND 2),
    ADD COLUMN minimum_ml_per_roll       double precision NOT NULL DEFAULT 0 CHECK (minimum_ml_per_roll BETWEEN 0 AND 100000),
    ADD COLUMN bromide_release_mg        double precision NOT NULL DEFAULT 0 CHECK (bromide_release_mg BETWEEN 0 AND 1000),
    ADD COLUMN bromide_replenisher_g_per_l double precision NOT NULL DEFAULT 0 CHECK (bromide_replenisher_g_per_l BETWEEN 0 AND 100),
    ADD COLUMN bromide_start_g_per_l     double precision NOT NULL DEFAULT 0 CHECK (bromide_start_g_per_l BETWEEN 0 AND 100),
    ADD COLUMN cost_per_l                double precision NOT NULL DEFAULT 0 CHECK (cost_per_l BETWEEN 0 AND 100000),
    ADD COLUMN replenisher_cost_per_l    double precision NOT NULL DEFAULT 0 CHECK (replenisher_cost_per_l BETWEEN 0 AND 100000);

CREATE TABLE solution_parts (
    solution_id  bigint NOT NULL REFERENCES solutions (id),
    preparation  text NOT NULL CHECK (preparation IN ('working', 'replenisher')),
    place        int NOT NULL CHECK (place >= 0),
    name         text NOT NULL CHECK (name = btrim(name) AND length(name) BETWEEN 1 AND 80),
    amount_per_l double precision NOT NULL CHECK (amount_per_l > 0 AND amount_per_l <= 1000),
    unit         text NOT NULL CHECK (unit IN ('mL', 'g')),
    acid         boolean NOT NULL DEFAULT false,
    PRIMARY KEY (solution_id, preparation, place)
);

CREATE TABLE solution_keeping (
    solution_id bigint NOT NULL REFERENCES solutions (id),
    place       int NOT NULL CHECK (place >= 0),
    storage     text NOT NULL CHECK (storage IN ('', 'full bottle', 'part-full bottle', 'tank with a floating lid', 'open tank')),
    months      int NOT NULL CHECK (months BETWEEN 0 AND 120),
    days        int NOT NULL CHECK (days BETWEEN 0 AND 3660),
    source      text NOT NULL DEFAULT '',
    PRIMARY KEY (solution_id, place),
    CHECK (months + days > 0)
);

-- Every version of every recipe, so that old fills and batches keep theirs.
CREATE TABLE solution_versions (
    solution_id bigint NOT NULL REFERENCES solutions (id),
    version     int NOT NULL,
    at          timestamptz NOT NULL,
    by_name     text NOT NULL,
    recipe      jsonb NOT NULL,
    PRIMARY KEY (solution_id, version)
);

INSERT INTO solution_versions (solution_id, version, at, by_name, recipe)
SELECT id, version, now(), 'wetside', jsonb_build_object('ID', id, 'Name', name, 'Process', process, 'Family', family,
    'Use', use_mode, 'TempC', temp_c, 'PerRollPercent', per_roll_percent, 'CapacityM2PerL', capacity_m2_per_l,
    'B', b, 'PushFactor', push_factor, 'Active', active, 'Version', version)
FROM solutions;

-- What a line's tank of a solution holds.
CREATE TABLE line_tanks (
    line_id     bigint NOT NULL REFERENCES lines (id),
    solution_id bigint NOT NULL REFERENCES solutions (id),
    volume_ml   int NOT NULL CHECK (volume_ml BETWEEN 1 AND 1000000),
    storage     text NOT NULL DEFAULT '' CHECK (storage IN ('', 'full bottle', 'part-full bottle', 'tank with a floating lid', 'open tank')),
    PRIMARY KEY (line_id, solution_id)
);

CREATE TRIGGER solution_parts_changed AFTER INSERT OR UPDATE OR DELETE OR TRUNCATE ON solution_parts
    FOR EACH STATEMENT EXECUTE FUNCTION count_catalogue_change();
CREATE TRIGGER solution_keeping_changed AFTER INSERT OR UPDATE OR DELETE OR TRUNCATE ON solution_keeping
    FOR EACH STATEMENT EXECUTE FUNCTION count_catalogue_change();
CREATE TRIGGER line_tanks_changed AFTER INSERT OR UPDATE OR DELETE OR TRUNCATE ON line_tanks
    FOR EACH STATEMENT EXECUTE FUNCTION count_catalogue_change();
CREATE TRIGGER solution_versions_append_only BEFORE UPDATE OR DELETE OR TRUNCATE ON solution_versions
    FOR EACH STATEMENT EXECUTE FUNCTION refuse_change();

-- Concentrates by lot, mixes made of them, and the containers that take what
-- is used up. What is in them is the sum of their entries in the ledger.

CREATE TABLE lots (
    id          bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
    part        text NOT NULL CHECK (part = btrim(part) AND length(part) BETWEEN 1 AND 80),
    number      text NOT NULL CHECK (number = btrim(number) AND length(number) BETWEEN 1 AND 40),
    unit        text NOT NULL CHECK (unit IN ('mL', 'g')),
    expires_on  date,
    received_at timestamptz NOT NULL
);

CREATE UNIQUE INDEX lots_number ON lots (lower(part), lower(number));

CREATE TABLE mixes (
    id             bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
    solution_id    bigint NOT NULL,
    recipe_version int NOT NULL,
    preparation    text NOT NULL CHECK (preparation IN ('working', 'replenisher')),
    volume_ml      int NOT NULL CHECK (volume_ml BETWEEN 1 AND 1000000),
    storage        text NOT NULL CHECK (storage IN ('', 'full bottle', 'part-full bottle', 'tank with a floating lid', 'open tank')),
    mixed_at       timestamptz NOT NULL,
    by_name        text NOT NULL,
    note           text NOT NULL DEFAULT '',
    FOREIGN KEY (solution_id, recipe_version) REFERENCES solution_versions (solution_id, version)
);

CREATE TABLE containers (
    id        bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
    name      text NOT NULL CHECK (name = btrim(name) AND length(name) BETWEEN 1 AND 80),
    kind      text NOT NULL CHECK (kind IN ('developer', 'stop bath', 'silver-bearing', 'wash', 'other')),
    volume_ml int NOT NULL CHECK (volume_ml BETWEEN 0 AND 10000000), -- 0 where nobody has said
    active    boolean NOT NULL DEFAULT true,
    version   int NOT NULL DEFAULT 1
);

CREATE UNIQUE INDEX containers_name ON containers (lower(name));

-- A lab has one of each until its owner says otherwise.
INSERT INTO containers (name, kind, volume_ml) VALUES
    ('Developer waste', 'developer', 0), ('Stop bath waste', 'stop bath', 0), ('Silver-bearing waste', 'silver-bearing', 0),
    ('Wash water', 'wash', 0), ('Other waste', 'other', 0);

-- A container that a licensed hauler took away, full or not.
CREATE TABLE collections (
    id           bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
    container_id bigint NOT NULL REFERENCES containers (id),
    at           timestamptz NOT NULL,
    by_name      text NOT NULL,
    hauler       text NOT NULL CHECK (hauler <> ''),
    document     text NOT NULL CHECK (document <> ''),
    volume_ml    int NOT NULL CHECK (volume_ml > 0)
);

ALTER TABLE fills
    ADD COLUMN mix_id         bigint REFERENCES mixes (id), -- null where it is not on record
    ADD COLUMN recipe_version int,
    ADD COLUMN storage        text NOT NULL DEFAULT '' CHECK (storage IN ('', 'full bottle', 'part-full bottle', 'tank with a floating lid', 'open tank'));

-- Fills were judged by the present recipe until now, the only one on record.
UPDATE fills SET recipe_version = (SELECT version FROM solutions WHERE id = solution_id);

ALTER TABLE fills
    ALTER COLUMN recipe_version SET NOT NULL,
    ADD FOREIGN KEY (solution_id, recipe_version) REFERENCES solution_versions (solution_id, version);

-- The ledger: every move of chemistry and everything that film brought into it.
-- Entries that belong to one act share its number. An amount is in mL, of a lot
-- in the unit of the lot; what comes in is positive.

CREATE SEQUENCE moves;

CREATE TABLE ledger (
    id             bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
    move           bigint NOT NULL,
    at             timestamptz NOT NULL,
    person_id      bigint REFERENCES people (id),
    by_name        text NOT NULL,
    kind           text NOT NULL CHECK (kind IN ('received', 'mixed', 'filled', 'film', 'replenished', 'topped up',
                       'used once', 'spilled', 'fouled', 'dumped', 'collected')),
    lot_id         bigint REFERENCES lots (id),
    mix_id         bigint REFERENCES mixes (id),
    fill_id        bigint REFERENCES fills (id),
    container_id   bigint REFERENCES containers (id),
    solution_id    bigint REFERENCES solutions (id), -- one-shot, mixed for the film that went through it
    amount         numeric(14,3) NOT NULL DEFAULT 0,
    batch_id       bigint REFERENCES batches (id),
    rolls          int NOT NULL DEFAULT 0 CHECK (rolls >= 0),
    area_m2        double precision NOT NULL DEFAULT 0 CHECK (area_m2 >= 0),
    push_sixths    int NOT NULL DEFAULT 0 CHECK (push_sixths BETWEEN -60 AND 60),
    called_ml      numeric(14,3) NOT NULL DEFAULT 0 CHECK (called_ml >= 0),
    recipe_version int NOT NULL DEFAULT 0,
    answers        bigint REFERENCES ledger (id),
    why            text NOT NULL DEFAULT '',
    CHECK (num_nonnulls(lot_id, mix_id, fill_id, container_id, solution_id) = 1),
    CHECK ((kind = 'film') <= (num_nonnulls(fill_id, solution_id) = 1 AND batch_id IS NOT NULL AND rolls > 0 AND amount = 0)),
    CHECK (solution_id IS NULL OR kind = 'film'),
    CHECK (kind IN ('film', 'replenished') OR (rolls = 0 AND area_m2 = 0 AND called_ml = 0)),
    CHECK (kind NOT IN ('spilled', 'fouled', 'dumped') OR why <> '')
);

-- Film of one push level goes through a bath once in a batch, and is poured for
-- once.
CREATE UNIQUE INDEX ledger_film ON ledger (fill_id, batch_id, push_sixths) WHERE kind = 'film' AND fill_id IS NOT NULL;
CREATE UNIQUE INDEX ledger_one_shot ON ledger (solution_id, batch_id, push_sixths) WHERE solution_id IS NOT NULL;
CREATE UNIQUE INDEX ledger_answers ON ledger (answers) WHERE answers IS NOT NULL;
CREATE INDEX ledger_lot ON ledger (lot_id, id) WHERE lot_id IS NOT NULL;
CREATE INDEX ledger_mix ON ledger (mix_id, id) WHERE mix_id IS NOT NULL;
CREATE INDEX ledger_fill ON ledger (fill_id, id) WHERE fill_id IS NOT NULL;
CREATE INDEX ledger_container ON ledger (container_id, id) WHERE container_id IS NOT NULL;
CREATE INDEX ledger_move ON ledger (move);
CREATE INDEX ledger_batch ON ledger (batch_id) WHERE batch_id IS NOT NULL;
-- What usually comes in is learnt from the film of the last weeks.
CREATE INDEX ledger_film_at ON ledger (at) WHERE kind = 'film';

CREATE TRIGGER ledger_append_only BEFORE UPDATE OR DELETE OR TRUNCATE ON ledger
    FOR EACH STATEMENT EXECUTE FUNCTION refuse_change();

-- Nothing gives more than it holds.
-- +goose StatementBegin
CREATE FUNCTION refuse_overdrawn() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    IF EXISTS (SELECT FROM (SELECT DISTINCT lot_id FROM added WHERE lot_id IS NOT NULL AND amount < 0) a
               WHERE (SELECT sum(amount) FROM ledger l WHERE l.lot_id = a.lot_id) < 0)
    OR EXISTS (SELECT FROM (SELECT DISTINCT mix_id FROM added WHERE mix_id IS NOT NULL AND amount < 0) a
               WHERE (SELECT sum(amount) FROM ledger l WHERE l.mix_id = a.mix_id) < 0)
    OR EXISTS (SELECT FROM (SELECT DISTINCT fill_id FROM added WHERE fill_id IS NOT NULL AND amount < 0) a
               WHERE (SELECT sum(amount) FROM ledger l WHERE l.fill_id = a.fill_id) < 0)
    OR EXISTS (SELECT FROM (SELECT DISTINCT container_id FROM added WHERE container_id IS NOT NULL AND amount < 0) a
               WHERE (SELECT sum(amount) FROM ledger l WHERE l.container_id = a.container_id) < 0)
    THEN
        RAISE EXCEPTION 'more is taken out than there is' USING ERRCODE = 'check_violation', CONSTRAINT = 'ledger_overdrawn';
    END IF;
    RETURN NULL;
END
$$;
-- +goose StatementEnd

CREATE TRIGGER ledger_overdrawn AFTER INSERT ON ledger
    REFERENCING NEW TABLE AS added FOR EACH STATEMENT EXECUTE FUNCTION refuse_overdrawn();

-- What film called for and nobody has confirmed yet. The ledger itself keeps it,
-- so that the few that are open are found behind years of those that are not.
CREATE TABLE open_doses (entry_id bigint PRIMARY KEY REFERENCES ledger (id));

-- +goose StatementBegin
CREATE FUNCTION keep_open_doses() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    INSERT INTO open_doses SELECT id FROM added WHERE kind = 'film' AND called_ml > 0;
    DELETE FROM open_doses USING added WHERE entry_id = added.answers;
    RETURN NULL;
END
$$;
-- +goose StatementEnd

CREATE TRIGGER ledger_open_doses AFTER INSERT ON ledger
    REFERENCING NEW TABLE AS added FOR EACH STATEMENT EXECUTE FUNCTION keep_open_doses();

-- What was recorded before there was a ledger.
INSERT INTO ledger (move, at, by_name, kind, fill_id, amount)
SELECT nextval('moves'), filled_at, 'wetside', 'filled', id, volume_ml FROM fills ORDER BY id;
INSERT INTO ledger (move, at, by_name, kind, fill_id, batch_id, rolls, area_m2)
SELECT nextval('moves'), at, by_name, 'film', fill_id, batch_id, rolls, area_m2 FROM fill_entries WHERE rolls > 0 ORDER BY id;
INSERT INTO ledger (move, at, by_name, kind, fill_id, amount, why)
SELECT nextval('moves'), dumped_at, 'wetside', 'dumped', id, -volume_ml, dump_reason FROM fills
WHERE dumped_at IS NOT NULL ORDER BY id;

DROP TABLE fill_entries;

-- Nothing goes into a fill that was dumped, nor out of it.
-- +goose StatementBegin
CREATE FUNCTION refuse_dumped() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    IF EXISTS (SELECT FROM added JOIN fills ON fills.id = added.fill_id
               WHERE fills.dumped_at IS NOT NULL AND (added.amount <> 0 OR added.kind = 'film'))
    THEN
        RAISE EXCEPTION 'the fill was dumped' USING ERRCODE = 'check_violation', CONSTRAINT = 'ledger_dumped';
    END IF;
    RETURN NULL;
END
$$;
-- +goose StatementEnd

CREATE TRIGGER ledger_dumped AFTER INSERT ON ledger
    REFERENCING NEW TABLE AS added FOR EACH STATEMENT EXECUTE FUNCTION refuse_dumped();

-- How long a scrap of film took to clear in a fixer.
CREATE TABLE clearing_tests (
    id            bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
    fill_id       bigint NOT NULL REFERENCES fills (id),
    at            timestamptz NOT NULL,
    by_name       text NOT NULL,
    fresh_seconds double precision NOT NULL CHECK (fresh_seconds BETWEEN 1 AND 3600),
    now_seconds   double precision NOT NULL CHECK (now_seconds BETWEEN 1 AND 3600)
);

CREATE INDEX clearing_tests_fill ON clearing_tests (fill_id, id);
CREATE TRIGGER clearing_tests_append_only BEFORE UPDATE OR DELETE OR TRUNCATE ON clearing_tests
    FOR EACH STATEMENT EXECUTE FUNCTION refuse_change();

-- Why an owner let a batch start although something spoke against it.
ALTER TABLE batches ADD COLUMN override text NOT NULL DEFAULT '';

-- Control strips.

CREATE TABLE strip_boxes (
    id         bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
    process    text NOT NULL CHECK (process IN ('C-41', 'E-6', 'ECN-2', 'BW')),
    number     text NOT NULL CHECK (number = btrim(number) AND length(number) BETWEEN 1 AND 40),
    aim        jsonb NOT NULL,
    basis      jsonb NOT NULL, -- what the aim was worked out from
    limits     jsonb NOT NULL,
    strips     int NOT NULL CHECK (strips BETWEEN 0 AND 1000), -- in the box when it was opened; 0 not counted
    expires_on date,
    opened_at  timestamptz NOT NULL,
    active     boolean NOT NULL DEFAULT true,
    version    int NOT NULL DEFAULT 1
);

CREATE UNIQUE INDEX strip_boxes_number ON strip_boxes (process, lower(number));
-- A process is judged by one box at a time.
CREATE UNIQUE INDEX strip_boxes_active ON strip_boxes (process) WHERE active;

CREATE TABLE strips (
    id       bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
    line_id  bigint NOT NULL REFERENCES lines (id),
    process  text NOT NULL CHECK (process IN ('C-41', 'E-6', 'ECN-2', 'BW')),
    box_id   bigint NOT NULL REFERENCES strip_boxes (id),
    at       timestamptz NOT NULL,
    by_name  text NOT NULL,
    reading  jsonb NOT NULL,
    aim      jsonb NOT NULL, -- of the box, as it was
    result   jsonb NOT NULL,
    verdict  text NOT NULL CHECK (verdict IN ('in control', 'past the action limit', 'past the control limit')),
    confirms bigint REFERENCES strips (id) -- the strip that this second one was run to confirm
);

CREATE INDEX strips_line ON strips (line_id, process, id);
CREATE UNIQUE INDEX strips_confirms ON strips (confirms) WHERE confirms IS NOT NULL;
CREATE TRIGGER strips_append_only BEFORE UPDATE OR DELETE OR TRUNCATE ON strips
    FOR EACH STATEMENT EXECUTE FUNCTION refuse_change();

-- An owner's word that a line may run although its last strip says no.
CREATE TABLE strip_releases (
    strip_id bigint PRIMARY KEY REFERENCES strips (id),
    at       timestamptz NOT NULL,
    by_name  text NOT NULL,
    reason   text NOT NULL CHECK (reason <> '')
);

CREATE TRIGGER strip_releases_append_only BEFORE UPDATE OR DELETE OR TRUNCATE ON strip_releases
    FOR EACH STATEMENT EXECUTE FUNCTION refuse_change();

-- Film is traced from a strip by when it was developed.
CREATE INDEX batches_started ON batches (line_id, started_at) WHERE started_at IS NOT NULL;

-- Rolls that somebody has to look at because of what went wrong in a tank.
CREATE TABLE inspections (
    id       bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
    roll_id  bigint NOT NULL REFERENCES rolls (id),
    at       timestamptz NOT NULL,
    by_name  text NOT NULL,
    cause    text NOT NULL CHECK (cause IN ('fill', 'mix', 'lot', 'strip')),
    cause_id bigint NOT NULL,
    why      text NOT NULL CHECK (why <> ''),
    done_at  timestamptz,
    done_by  text NOT NULL DEFAULT '',
    outcome  text NOT NULL DEFAULT '' CHECK (outcome IN ('', 'good', 'spoiled', 'let go')),
    finding  text NOT NULL DEFAULT '',
    CHECK ((done_at IS NULL) = (finding = '')),
    CHECK ((done_at IS NULL) = (outcome = ''))
);

-- A roll is marked once for a cause, however often somebody asks.
CREATE UNIQUE INDEX inspections_once ON inspections (roll_id, cause, cause_id);
CREATE INDEX inspections_open ON inspections (roll_id) WHERE done_at IS NULL;

-- Scheduled work: when, by whose choice, and what it came to.

ALTER TABLE scheduled
    ADD COLUMN cron       text NOT NULL DEFAULT '30 3 * * *', -- by the lab's clock
    ADD COLUMN active     boolean NOT NULL DEFAULT true,
    ADD COLUMN version    int NOT NULL DEFAULT 1,
    ADD COLUMN changed_at timestamptz NOT NULL DEFAULT 'epoch', -- what fell due before is not caught up
    ADD COLUMN failed_at  timestamptz,                          -- null once it was done since
    ADD COLUMN failure    text NOT NULL DEFAULT '',
    ALTER COLUMN last_done DROP NOT NULL;                       -- null until it was done once

INSERT INTO scheduled (name, cron) VALUES ('upkeep', '30 3 * * *'), ('recalculate', '15 * * * *'), ('morning list', '0 6 * * *')
ON CONFLICT (name) DO NOTHING;

CREATE TABLE forecasts (
    fill_id  bigint NOT NULL REFERENCES fills (id),
    day      date NOT NULL, -- the lab's day on which it was made
    at       timestamptz NOT NULL,
    runs_out date,          -- null where nothing could be foretold
    earliest date,
    latest   date,
    state    jsonb NOT NULL,
    PRIMARY KEY (fill_id, day)
);

CREATE TABLE morning_lists (
    day   date PRIMARY KEY,
    at    timestamptz NOT NULL,
    items jsonb NOT NULL
);

-- Orders that came together in a file.
CREATE TABLE imports (
    id        bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
    at        timestamptz NOT NULL,
    person_id bigint REFERENCES people (id),
    by_name   text NOT NULL,
    key       text UNIQUE CHECK (key <> ''), -- under which it is taken once; null when that was long ago
    content   text NOT NULL                  -- what tells it from another file
);

ALTER TABLE orders
    ADD COLUMN reference text NOT NULL DEFAULT '', -- the sender's own word for it
    ADD COLUMN import_id bigint REFERENCES imports (id);

CREATE INDEX orders_reference ON orders (lower(reference)) WHERE reference <> '';
CREATE INDEX orders_import ON orders (import_id) WHERE import_id IS NOT NULL;

-- Days on which the lab is closed: weekdays, one bit each from Sunday on and
-- never all of them, and days in a row with a name.

ALTER TABLE lab ADD COLUMN closed_on int NOT NULL DEFAULT 0 CHECK (closed_on BETWEEN 0 AND 126);

CREATE TABLE closures (
    id        bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
    first_day date NOT NULL,
    last_day  date NOT NULL CHECK (last_day BETWEEN first_day AND first_day + 182),
    name      text NOT NULL CHECK (name = btrim(name) AND length(name) BETWEEN 1 AND 80),
    EXCLUDE USING gist (daterange(first_day, last_day, '[]') WITH &&)
);

CREATE TRIGGER closures_changed AFTER INSERT OR UPDATE OR DELETE OR TRUNCATE ON closures
    FOR EACH STATEMENT EXECUTE FUNCTION count_catalogue_change();
