package postgres

import (
	"context"
	"errors"

	"wetside/jobs"
)

// intake is an order on its way into the records.
type intake struct {
	db         *DB
	by         jobs.Actor
	order      jobs.NewOrder
	key        string
	hash       []byte
	countedNow bool // the work was counted for this order

	work  counted
	taken jobs.Order
	again bool
}

// errCountAnew tells that the count of the work is too old for a promise.
var errCountAnew = errors.New("the count of the work is too old")

// take takes the order in, or finds the one that was taken before it.
func (in *intake) take(ctx context.Context, t tx) (err error) {
	c, seen, err := t.catalogueAndCount(ctx)
	if err != nil {
		return err
	}
	if in.work, err = t.workNow(ctx, in.db, c, seen); err != nil {
		return err
	}
	admitted, refused := jobs.Admit(in.order, c, in.work.Workload, t.now)
	if refused != nil {
		// What was taken before is returned as it is, even when the catalogue
		// would no longer allow it.
		if in.taken, in.again, err = t.takenBefore(ctx, in.key, in.hash); err != nil || in.again {
			return err
		}
		return refused
	}
	if !in.work.stands(t.now) && !in.countedNow {
		return errCountAnew
	}
	admitted.Token = newToken()
	added, err := t.addOrder(ctx, in.by, &admitted, in.key, in.hash, 0)
	if err != nil {
		return err
	}
	if !added {
		in.taken, in.again, err = t.takenBefore(ctx, in.key, in.hash)
		return err
	}
	in.taken = admitted
	if in.work.added < foldAt || in.work.lastRoll != seen.lastRoll {
		return nil
	}
	return t.fold(ctx, c, in.work)
}
