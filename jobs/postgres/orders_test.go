package postgres

import (
	"context"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"wetside/chemistry"
	"wetside/jobs"
)

func TestSubmitAndRead(t *testing.T) {
	t.Parallel()
	lab, ctx := newLab(t), context.Background()
	in := newOrder(pushed(sedge640, 1), newRoll(marl400))
	in.Return, in.Address = jobs.Post, "1 Quay Street\nSallow"
	taken, again, err := lab.orders.Submit(ctx, jobs.Customer, in, "")
	if err != nil || again {
		t.Fatalf("Submit: again %v, %v", again, err)
	}
	if len(taken.Token) != 22 || taken.ID < 1001 || len(taken.Rolls) != 2 {
		t.Fatalf("taken %+v", taken)
	}
	read, err := lab.orders.Order(ctx, taken.ID)
	lab.must(err)
	if diff := cmp.Diff(taken, read); diff != "" {
		t.Errorf("what was read differs from what was taken:\n%s", diff)
	}
	byToken, err := lab.orders.OrderByToken(ctx, taken.Token)
	lab.must(err)
	if diff := cmp.Diff(read, byToken); diff != "" {
		t.Errorf("by its private link it differs:\n%s", diff)
	}
	roll := read.Rolls[0]
	if roll.Push != chemistry.Stop || roll.Process != chemistry.C41 || roll.EI != 640 || roll.State != jobs.Expected || roll.Version != 1 {
		t.Errorf("first roll %+v", roll)
	}
	if read.Rolls[1].Solution != mqBorax {
		t.Errorf("Marl 400 goes into solution %d, not its usual one", read.Rolls[1].Solution)
	}
}

func TestNoSuchOrder(t *testing.T) {
	t.Parallel()
	lab, ctx := newLab(t), context.Background()
	_, err := lab.orders.Order(ctx, 12)
	wantCode(t, err, jobs.NotFound)
	for _, token := range []string{"", "nothing", "\x00", strings.Repeat("é", 40)} {
		_, err = lab.orders.OrderByToken(ctx, token)
		wantCode(t, err, jobs.NotFound)
	}
}

func TestBadOrderIsNotStored(t *testing.T) {
	t.Parallel()
	lab, ctx := newLab(t), context.Background()
	good, bad := newRoll(sedge160), pushed(sedge160, 3)
	_, _, err := lab.orders.Submit(ctx, jobs.Customer, newOrder(good, bad), "key")
	wantCode(t, err, jobs.Invalid)
	for _, table := range []string{"orders", "rolls"} {
		if n := lab.count("SELECT count(*) FROM " + table); n != 0 {
			t.Errorf("%d rows are left in %s", n, table)
		}
	}
}

func TestSubmitTwice(t *testing.T) {
	t.Parallel()
	lab, ctx := newLab(t), context.Background()
	in := newOrder(newRoll(sedge160))
	first, _, err := lab.orders.Submit(ctx, jobs.Customer, in, "k1")
	lab.must(err)
	// The film has gone from the catalogue, yet the order was taken.
	lab.exec("UPDATE stocks SET active = false WHERE id = $1", int64(sedge160))
	second, again, err := lab.orders.Submit(ctx, jobs.Customer, in, "k1")
	lab.must(err)
	if !again || cmp.Diff(first, second) != "" {
		t.Errorf("again %v: %s", again, cmp.Diff(first, second))
	}
	in.Name = "Somebody Else"
	_, _, err = lab.orders.Submit(ctx, jobs.Customer, in, "k1")
	wantCode(t, err, jobs.Duplicate)
	if n := lab.count("SELECT count(*) FROM orders"); n != 1 {
		t.Errorf("%d orders are kept, want 1", n)
	}
	if _, _, err = lab.orders.Submit(ctx, jobs.Customer, in, strings.Repeat("k", 201)); jobs.CodeOf(err) != jobs.Invalid {
		t.Errorf("an endless key: %v", err)
	}
}

func TestSubmitTwiceAtOnce(t *testing.T) {
	t.Parallel()
	lab := newLab(t)
	in := newOrder(newRoll(sedge160), newRoll(marl400))
	const senders = 6
	var taken [senders]jobs.Order
	var again [senders]bool
	lab.atOnce(senders, func(ctx context.Context, i int) error {
		var err error
		taken[i], again[i], err = lab.orders.Submit(ctx, jobs.Customer, in, "same")
		return err
	})
	fresh := 0
	for i := range taken {
		if !again[i] {
			fresh++
		}
		if taken[i].ID != taken[0].ID || len(taken[i].Rolls) != 2 {
			t.Errorf("sender %d got order %d with %d rolls, sender 0 order %d", i, taken[i].ID, len(taken[i].Rolls), taken[0].ID)
		}
	}
	if fresh != 1 || lab.count("SELECT count(*) FROM rolls") != 2 {
		t.Errorf("%d of %d took it, %d rolls are kept", fresh, senders, lab.count("SELECT count(*) FROM rolls"))
	}
}

func TestListOrders(t *testing.T) {
	t.Parallel()
	lab, ctx := newLab(t), context.Background()
	first := lab.order(newRoll(sedge160))
	in := newOrder(newRoll(sedge160))
	in.Name = `100%_sure \ O'Brien`
	second, _, err := lab.orders.Submit(ctx, jobs.Customer, in, "")
	lab.must(err)
	roll := lab.checkedIn(newRoll(marl125))[0]
	_, err = lab.rolls.Cancel(ctx, ada, first.Rolls[0].ID, 0, "changed his mind")
	lab.must(err)
	for _, c := range []struct {
		name  string
		query jobs.OrderQuery
		want  []jobs.OrderID
	}{
		{"all", jobs.OrderQuery{Limit: 100}, []jobs.OrderID{roll.Order, second.ID, first.ID}},
		{"page", jobs.OrderQuery{Limit: 1}, []jobs.OrderID{roll.Order}},
		{"next page", jobs.OrderQuery{Limit: 9, Before: roll.Order}, []jobs.OrderID{second.ID, first.ID}},
		{"open", jobs.OrderQuery{Limit: 9, Open: true}, []jobs.OrderID{roll.Order, second.ID}},
		{"name in any case", jobs.OrderQuery{Limit: 9, Search: "o'brien"}, []jobs.OrderID{second.ID}},
		{"wildcards are letters", jobs.OrderQuery{Limit: 9, Search: "%_s"}, []jobs.OrderID{second.ID}},
		{"no wildcard", jobs.OrderQuery{Limit: 9, Search: "W_en"}, nil},
		{"backslash", jobs.OrderQuery{Limit: 9, Search: `\ o`}, []jobs.OrderID{second.ID}},
		{"SQL is text", jobs.OrderQuery{Limit: 9, Search: "'; DROP TABLE orders; --"}, nil},
		{"number", jobs.OrderQuery{Limit: 9, Search: " 1001 "}, []jobs.OrderID{1001}},
		{"twin-check", jobs.OrderQuery{Limit: 9, Search: strings.ToLower(roll.TwinCheck)}, []jobs.OrderID{roll.Order}},
		{"open by name", jobs.OrderQuery{Limit: 9, Search: "wren", Open: true}, []jobs.OrderID{roll.Order}},
	} {
		found, err := lab.orders.Orders(ctx, c.query)
		lab.must(err)
		var ids []jobs.OrderID
		for _, order := range found {
			ids = append(ids, order.ID)
			if len(order.Rolls) != 1 {
				t.Errorf("%s: order %d has %d rolls", c.name, order.ID, len(order.Rolls))
			}
		}
		if diff := cmp.Diff(c.want, ids); diff != "" {
			t.Errorf("%s:\n%s", c.name, diff)
		}
	}
	for _, limit := range []int{0, -1, 101} {
		_, err := lab.orders.Orders(ctx, jobs.OrderQuery{Limit: limit})
		wantCode(t, err, jobs.Invalid)
	}
}
