package postgres

import (
	"context"
	"fmt"
	"strings"

	"wetside/jobs"
)

// MixStore keeps the mixes.
type MixStore struct{ db *DB }

var _ jobs.MixService = (*MixStore)(nil)

// NewMixStore returns the mixes kept in db.
func NewMixStore(db *DB) *MixStore { return &MixStore{db} }

// Mixes lists the mixes with something left, then those used up lately.
func (s *MixStore) Mixes(ctx context.Context) ([]jobs.Mix, error) {
	const left = "(SELECT coalesce(sum(amount), 0) FROM ledger WHERE mix_id = m.id)"
	return mixes(ctx, s.db.pool, `WHERE `+left+` > 0 OR (SELECT max(at) FROM ledger WHERE mix_id = m.id) >= $1
		ORDER BY `+left+` <= 0, m.mixed_at DESC, m.id DESC`, s.db.now().Add(-shownUsedUp))
}

// Mix returns a mix with where it came from and went.
func (s *MixStore) Mix(ctx context.Context, id jobs.MixID) (record jobs.MixRecord, err error) {
	err = s.db.withTx(ctx, func(t tx) error {
		found, err := mixes(ctx, t, "WHERE m.id = $1", int64(id))
		if err != nil {
			return err
		}
		if len(found) == 0 {
			return errNoMix
		}
		record = jobs.MixRecord{Mix: found[0], Lots: map[jobs.LotID]jobs.Lot{}, Fills: map[jobs.FillID]jobs.Fill{}}
		if err := t.QueryRow(ctx, "SELECT recipe FROM solution_versions WHERE solution_id = $1 AND version = $2",
			int64(record.Solution), record.Mix.Recipe).Scan(&record.Recipe); err != nil {
			return fmt.Errorf("recipe of mix %d: %w", id, err)
		}
		if record.Moves, err = entries(ctx, t, "WHERE move IN (SELECT move FROM ledger WHERE mix_id = $1)", int64(id)); err != nil {
			return err
		}
		return t.nameMoves(ctx, &record)
	})
	return record, err
}

// nameMoves reads the lots and fills that a mix came from and went to.
func (t tx) nameMoves(ctx context.Context, record *jobs.MixRecord) error {
	var lotIDs, fillIDs []int64
	for _, entry := range record.Moves {
		lotIDs, fillIDs = append(lotIDs, int64(entry.Lot)), append(fillIDs, int64(entry.Fill))
	}
	foundLots, err := lots(ctx, t, t.now.Add(-lately), "WHERE l.id = ANY($2)", lotIDs)
	if err != nil {
		return err
	}
	for _, lot := range foundLots {
		record.Lots[lot.ID] = lot
	}
	foundFills, err := fills(ctx, t, "WHERE f.id = ANY($1)", fillIDs)
	for _, fill := range foundFills {
		record.Fills[fill.ID] = fill
	}
	return err
}

// MixingSheet says what to mix and from which lots.
func (s *MixStore) MixingSheet(ctx context.Context, wanted jobs.MixRequest) (sheet jobs.MixingSheet, err error) {
	err = s.db.withTx(ctx, func(t tx) error {
		c, err := t.catalogue(ctx)
		if err != nil {
			return err
		}
		there, err := lots(ctx, t, t.now.Add(-lately), "WHERE e.left_over > 0")
		if err != nil {
			return err
		}
		sheet, err = c.MixingSheet(wanted, there, t.now)
		return err
	})
	return sheet, err
}

// RecordMix records what was mixed.
func (s *MixStore) RecordMix(ctx context.Context, by jobs.Actor, mixed jobs.NewMix) (mix jobs.Mix, err error) {
	err = s.db.withTx(ctx, func(t tx) error {
		c, err := t.catalogue(ctx)
		if err != nil {
			return err
		}
		ids := make([]jobs.LotID, len(mixed.Lots))
		for i, use := range mixed.Lots {
			ids[i] = use.Lot
		}
		named, err := t.lockLots(ctx, ids)
		if err != nil {
			return err
		}
		if err := c.CheckMix(mixed, named, t.now); err != nil {
			return err
		}
		var id jobs.MixID
		if err := t.QueryRow(ctx, `INSERT INTO mixes (solution_id, recipe_version, preparation, volume_ml, storage, mixed_at, by_name, note)
			VALUES ($1, $2, $3, $4, $5, $6, $7, $8) RETURNING id`, int64(mixed.Solution), c.Solutions[mixed.Solution].Version,
			mixed.Preparation, mixed.VolumeML, mixed.Storage, t.now, by.Name, strings.TrimSpace(mixed.Note)).Scan(&id); err != nil {
			return fmt.Errorf("keep a mix: %w", err)
		}
		mix, err = t.postMix(ctx, by, id, "mix", mixed.Note, mixed.Entries(id)...)
		return err
	})
	return mix, err
}

// postMix posts what one act did to a mix, tells of it, and returns the mix as
// it is then.
func (t tx) postMix(ctx context.Context, by jobs.Actor, id jobs.MixID, kind, why string, posted ...jobs.Entry) (jobs.Mix, error) {
	if _, err := t.post(ctx, by, posted...); err != nil {
		return jobs.Mix{}, err
	}
	found, err := mixes(ctx, t, "WHERE m.id = $1", int64(id))
	if err != nil {
		return jobs.Mix{}, err
	}
	what := fmt.Sprintf("%+.10g mL of %s", posted[0].Amount, found[0].Name())
	return found[0], t.addEvents(ctx, jobs.Event{By: by, Kind: kind, Why: strings.TrimSuffix(what+": "+strings.TrimSpace(why), ": ")})
}

// LoseMix records what was dumped or spilled of a mix.
func (s *MixStore) LoseMix(ctx context.Context, by jobs.Actor, id jobs.MixID, loss jobs.Loss) (mix jobs.Mix, err error) {
	err = s.db.withTx(ctx, func(t tx) error {
		c, err := t.catalogue(ctx)
		if err != nil {
			return err
		}
		before, err := t.lockMix(ctx, id)
		if err != nil {
			return err
		}
		if before.ID == 0 {
			return errNoMix
		}
		held, err := t.lockContainers(ctx)
		if err != nil {
			return err
		}
		gone, err := c.LoseMix(before, held, loss)
		if err != nil {
			return err
		}
		mix, err = t.postMix(ctx, by, id, string(gone[0].Kind), gone[0].Why, gone...)
		return err
	})
	return mix, err
}
