package postgres

import (
	"context"
	"fmt"
	"slices"
	"time"

	"github.com/jackc/pgx/v5"

	"wetside/chemistry"
	"wetside/jobs"
)

// WasteStore keeps the containers and what went through them.
type WasteStore struct{ db *DB }

var _ jobs.WasteService = (*WasteStore)(nil)

// NewWasteStore returns the containers kept in db.
func NewWasteStore(db *DB) *WasteStore { return &WasteStore{db} }

// Containers returns every container.
func (s *WasteStore) Containers(ctx context.Context) (jobs.Containers, error) {
	return containers(ctx, s.db.pool)
}

// SaveContainer adds or changes a container.
func (s *WasteStore) SaveContainer(ctx context.Context, by jobs.Actor, container jobs.Container) (saved jobs.Container, err error) {
	err = s.db.withTx(ctx, func(t tx) error {
		all, err := t.lockContainers(ctx)
		if err != nil {
			return err
		}
		if saved, err = all.CheckContainer(container); err != nil {
			return err
		}
		values := []any{saved.Name, saved.Kind, saved.VolumeML, saved.Active}
		if saved.ID == 0 {
			saved.ID, saved.Version, err = addEntry[jobs.ContainerID](ctx, t,
				"INSERT INTO containers (name, kind, volume_ml, active) VALUES ($1, $2, $3, $4)", values)
		} else {
			saved.Version, err = t.changeEntry(ctx, `UPDATE containers SET (name, kind, volume_ml, active) = ($1, $2, $3, $4),
				version = version + 1 WHERE id = $5 AND version = $6`, append(values, int64(saved.ID), saved.Version), "container", saved.Name)
		}
		if err != nil {
			return err
		}
		return t.addEvents(ctx, jobs.Event{By: by, Kind: "save container", Why: saved.Name})
	})
	return saved, err
}

// WasteLog returns the log, the last entry first.
func (s *WasteStore) WasteLog(ctx context.Context, query jobs.WasteQuery) (log []jobs.WasteEntry, err error) {
	err = s.db.withTx(ctx, func(t tx) error {
		all, err := containers(ctx, t)
		if err != nil {
			return err
		}
		kept, err := t.wasteEntries(ctx, query)
		if err != nil {
			return err
		}
		moves := make([]int64, len(kept))
		log = make([]jobs.WasteEntry, len(kept))
		for i, entry := range kept {
			moves[i] = entry.Move
			into := all[entry.Container]
			log[i] = jobs.WasteEntry{Entry: entry, ContainerName: into.Name, WasteKind: into.Kind}
		}
		return t.nameSources(ctx, log, moves)
	})
	return log, err
}

// wasteEntries returns the entries of containers that a query asks for, the
// last first.
func (t tx) wasteEntries(ctx context.Context, q jobs.WasteQuery) ([]jobs.Entry, error) {
	bound := func(at time.Time) *time.Time {
		if at.IsZero() {
			return nil
		}
		return &at
	}
	found, err := entries(ctx, t, `WHERE container_id IS NOT NULL AND id IN (SELECT l.id FROM ledger l JOIN containers c ON c.id = l.container_id
		WHERE ($1::bigint = 0 OR c.id = $1) AND ($2::text = '' OR c.kind = $2) AND ($3::timestamptz IS NULL OR l.at >= $3)
		AND ($4::timestamptz IS NULL OR l.at < $4) ORDER BY l.id DESC LIMIT nullif($5::int, 0))`,
		int64(q.Container), string(q.Kind), bound(q.From), bound(q.Before), q.Limit)
	slices.Reverse(found)
	return found, err
}

// nameSources finds what each entry came out of: the entry of the same act that
// is none of a container, if there is one.
func (t tx) nameSources(ctx context.Context, log []jobs.WasteEntry, moves []int64) error {
	sources, err := entries(ctx, t, "WHERE move = ANY($1) AND container_id IS NULL", moves)
	if err != nil {
		return err
	}
	names, err := t.accountNames(ctx, sources)
	if err != nil {
		return err
	}
	// What flowed out of a tank says more than what went into it by the same act,
	// and than the mix that this came from.
	weight := func(e jobs.Entry) int {
		switch {
		case e.Amount >= 0:
			return 0
		case e.Fill != 0:
			return 2
		}
		return 1
	}
	byMove := map[int64]jobs.Entry{}
	for _, entry := range sources {
		if kept, ok := byMove[entry.Move]; !ok || weight(entry) > weight(kept) {
			byMove[entry.Move] = entry
		}
	}
	for i := range log {
		if source, ok := byMove[log[i].Move]; ok {
			log[i].Source, log[i].SourceName = source, names[source.ID]
		}
	}
	return nil
}

// accountNames names what entries belong to, by the keys of the entries.
func (t tx) accountNames(ctx context.Context, found []jobs.Entry) (map[int64]string, error) {
	ids := make([]int64, len(found))
	for i, entry := range found {
		ids[i] = entry.ID
	}
	rows, err := t.Query(ctx, `SELECT e.id, coalesce(l.part || ', lot ' || l.number, fs.name || ' in ' || li.name, ms.name
			|| CASE WHEN m.preparation = 'replenisher' THEN ' replenisher' ELSE '' END || ', a mix', os.name, '')
		FROM ledger e LEFT JOIN lots l ON l.id = e.lot_id
		LEFT JOIN fills f ON f.id = e.fill_id LEFT JOIN solutions fs ON fs.id = f.solution_id LEFT JOIN lines li ON li.id = f.line_id
		LEFT JOIN mixes m ON m.id = e.mix_id LEFT JOIN solutions ms ON ms.id = m.solution_id
		LEFT JOIN solutions os ON os.id = e.solution_id WHERE e.id = ANY($1)`, ids)
	if err != nil {
		return nil, err
	}
	names := map[int64]string{}
	var id int64
	var name string
	_, err = pgx.ForEachRow(rows, []any{&id, &name}, func() error {
		names[id] = name
		return nil
	})
	return names, err
}

// Collect records what a licensed hauler took.
func (s *WasteStore) Collect(ctx context.Context, by jobs.Actor, collection jobs.NewCollection) (kept jobs.Collection, err error) {
	err = s.db.withTx(ctx, func(t tx) error {
		all, err := t.lockContainers(ctx)
		if err != nil {
			return err
		}
		n, err := all.CheckCollection(collection)
		if err != nil {
			return err
		}
		from := all[n.Container]
		kept = jobs.Collection{Container: n.Container, ContainerName: from.Name, Kind: from.Kind, At: t.now, By: by.Name,
			Hauler: n.Hauler, Document: n.Document, VolumeML: n.VolumeML}
		if err := t.QueryRow(ctx, `INSERT INTO collections (container_id, at, by_name, hauler, document, volume_ml)
			VALUES ($1, $2, $3, $4, $5, $6) RETURNING id`,
			int64(n.Container), t.now, by.Name, n.Hauler, n.Document, n.VolumeML).Scan(&kept.ID); err != nil {
			return fmt.Errorf("keep a collection: %w", err)
		}
		if _, err := t.post(ctx, by, n.Entry()); err != nil {
			return err
		}
		return t.addEvents(ctx, jobs.Event{By: by, Kind: "collect", Why: fmt.Sprintf("%d mL of %s, %s", n.VolumeML, from.Name, n.Entry().Why)})
	})
	return kept, err
}

// Collections lists what was collected, the last first.
func (s *WasteStore) Collections(ctx context.Context) ([]jobs.Collection, error) {
	rows, err := s.db.pool.Query(ctx, `SELECT k.id, k.container_id, c.name, c.kind, k.at, k.by_name, k.hauler, k.document, k.volume_ml
		FROM collections k JOIN containers c ON c.id = k.container_id ORDER BY k.id DESC`)
	if err != nil {
		return nil, err
	}
	return pgx.CollectRows(rows, pgx.RowToStructByPos[jobs.Collection])
}

// SilverSince returns the film that went through a bath which takes up silver
// since silver-bearing waste was collected last. Film passes several of them in
// one batch, and leaves its silver once.
func (s *WasteStore) SilverSince(ctx context.Context) (since jobs.SilverSince, err error) {
	var silver []string
	for _, family := range chemistry.SolutionFamilies {
		if family.Waste() == chemistry.SilverWaste {
			silver = append(silver, string(family))
		}
	}
	var collected *time.Time
	err = s.db.pool.QueryRow(ctx, `WITH last AS (SELECT max(k.at) AS at FROM collections k JOIN containers c ON c.id = k.container_id
			WHERE c.kind = 'silver-bearing'),
		through AS (SELECT DISTINCT ON (e.batch_id, e.push_sixths) e.area_m2, s.process FROM ledger e JOIN fills f ON f.id = e.fill_id
			JOIN solutions s ON s.id = f.solution_id, last
			WHERE e.kind = 'film' AND s.family = ANY($1) AND (last.at IS NULL OR e.at > last.at))
		SELECT (SELECT at FROM last), coalesce(sum(area_m2) FILTER (WHERE process <> 'BW'), 0),
			coalesce(sum(area_m2) FILTER (WHERE process = 'BW'), 0) FROM through`, silver).Scan(&collected, &since.ColourM2, &since.BlackWhite)
	if collected != nil {
		since.Collected = *collected
	}
	return since, err
}
