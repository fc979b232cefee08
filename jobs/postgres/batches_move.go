package postgres

import (
	"context"
	"slices"

	"wetside/jobs"
)

// MoveRolls takes rolls out of their batches, puts them into another, or both.
func (s *BatchStore) MoveRolls(ctx context.Context, by jobs.Actor, rolls []jobs.SeenRoll, to jobs.BatchID) error {
	if err := jobs.CheckMoves(rolls); err != nil {
		return err
	}
	return s.db.withTx(ctx, func(t tx) error {
		w, err := t.wetSide(ctx)
		if err != nil {
			return err
		}
		m, err := t.lockMove(ctx, rolls, to)
		if err != nil {
			return err
		}
		for i, roll := range m.rolls {
			if err := rolls[i].CheckSeen(roll, len(rolls), w.Lab, t.now); err != nil {
				return err
			}
			if err := jobs.CheckMove(roll, m.from[holding(roll)], m.into); err != nil {
				return err
			}
		}
		return t.moveBetween(ctx, by, w, m)
	})
}

// move is what a move of rolls touches, locked.
type move struct {
	rolls []jobs.RollView              // in the order in which they were named
	from  map[jobs.BatchID]*jobs.Batch // the batches that rolls leave
	into  *jobs.Batch                  // nil for the queue
}

// lockMove locks what a move of rolls touches, batches first. Which batches the
// rolls are in can only be asked before the locks, so it is asked again under
// them.
func (t tx) lockMove(ctx context.Context, seen []jobs.SeenRoll, to jobs.BatchID) (m move, err error) {
	ids := make([]jobs.RollID, len(seen))
	homes := map[jobs.RollID]jobs.BatchID{}
	for i, one := range seen {
		ids[i] = one.ID
	}
	asked, err := rollViews(ctx, t, "WHERE r.id = ANY($1)", ids)
	if err != nil {
		return m, err
	}
	keys := []jobs.BatchID{to}
	for _, roll := range asked {
		homes[roll.ID] = holding(roll)
		keys = append(keys, holding(roll))
	}
	slices.Sort(keys)
	m.from = map[jobs.BatchID]*jobs.Batch{}
	for _, key := range slices.Compact(keys) {
		if key == 0 {
			continue
		}
		b, err := t.lockBatch(ctx, key)
		if err != nil {
			return m, err
		}
		if m.from[key] = &b; key == to {
			m.into = &b
		}
	}
	locked, err := t.lockViews(ctx, ids)
	if err != nil {
		return m, err
	}
	for _, id := range ids {
		roll := locked[slices.IndexFunc(locked, func(r jobs.RollView) bool { return r.ID == id })]
		if holding(roll) != homes[id] {
			return m, jobs.MovedMeanwhile(roll)
		}
		m.rolls = append(m.rolls, roll)
	}
	return m, nil
}

// holding is the open batch that a roll is in, 0 for none.
func holding(roll jobs.RollView) jobs.BatchID {
	if roll.State == jobs.Batched || roll.State == jobs.Developing {
		return roll.Batch
	}
	return 0
}

// moveBetween takes the rolls out of all their batches and then puts them in
// together, so that a load is judged as it will be.
func (t tx) moveBetween(ctx context.Context, by jobs.Actor, w jobs.WetSide, m move) error {
	moves := make([]*jobs.RollMove, len(m.rolls))
	leaving := map[jobs.BatchID][]jobs.RollID{}
	for i, roll := range m.rolls {
		moves[i] = roll.Move()
		home := holding(roll)
		if home == 0 {
			continue
		}
		if err := m.from[home].TakeOut(moves[i]); err != nil {
			return err
		}
		leaving[home] = append(leaving[home], roll.ID)
	}
	for home, rolls := range leaving {
		out := make([]int64, len(rolls))
		for i, id := range rolls {
			out[i] = int64(id)
		}
		if err := t.takeOut(ctx, home, out); err != nil {
			return err
		}
		if err := t.saveBatch(ctx, *m.from[home], w.Without(*m.from[home], rolls...), nil); err != nil {
			return err
		}
	}
	if m.into != nil {
		reloaded, err := w.PutIn(*m.into, moves, m.rolls)
		if err != nil {
			return err
		}
		if err := t.putIn(ctx, m.into.ID, rollKeys(m.rolls)); err != nil {
			return err
		}
		if err := t.saveBatch(ctx, *m.into, reloaded, nil); err != nil {
			return err
		}
	}
	return t.moveRolls(ctx, by, m.rolls, moves)
}
