package postgres

import (
	"context"
	"fmt"
	"testing"

	"wetside/jobs"
)

// benchOrder is an order of three rolls.
func benchOrder() jobs.NewOrder {
	return newOrder(newRoll(sedge160), newRoll(marl400), newRoll(sedge640))
}

// BenchmarkSubmit takes orders in, BenchmarkBareInserts only writes the same
// rows: the difference is what deciding costs.
func BenchmarkSubmit(b *testing.B) {
	lab, ctx := newLab(b), context.Background()
	for i := 0; b.Loop(); i++ {
		_, _, err := lab.orders.Submit(ctx, jobs.Customer, benchOrder(), fmt.Sprint("key ", i))
		lab.must(err)
	}
}

func BenchmarkBareInserts(b *testing.B) {
	lab, ctx := newLab(b), context.Background()
	admitted, err := jobs.Admit(benchOrder(), lab.readCatalogue(), jobs.Workload{}, fixtureStart)
	lab.must(err)
	for i := 0; b.Loop(); i++ {
		order := admitted
		order.Token = newToken()
		lab.must(lab.db.withTx(ctx, func(t tx) error {
			_, err := t.addOrder(ctx, jobs.Customer, &order, fmt.Sprint("key ", i), nil, 0)
			return err
		}))
	}
}
