package postgres

import (
	"context"
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"wetside/jobs"
)

// fileOf is a file of one row a roll, each a reference and a stock.
func fileOf(t testing.TB, rolls ...string) jobs.OrderFile {
	t.Helper()
	var text strings.Builder
	text.WriteString("reference,stock,name,email,format,note\n")
	for _, roll := range rolls {
		fmt.Fprintf(&text, "%s,Wren Alder,wren@example.org,135,\n", roll)
	}
	file, err := jobs.ParseOrderFile(text.String())
	if err != nil {
		t.Fatal(err)
	}
	return file
}

func TestImport(t *testing.T) {
	t.Parallel()
	lab, ctx := newLab(t), context.Background()
	bea, err := lab.people.AddPerson(ctx, ada, "Bea", jobs.Staff, goodPassword)
	lab.must(err)
	imports := NewImportStore(lab.db)
	lab.order(newRoll(marl125))
	file := fileOf(t, "A-1,Sedge 160", "A-2,Marl 400", "A-1,Sedge 640")
	if _, err := imports.ImportOf(ctx, file); jobs.CodeOf(err) != jobs.NotFound {
		t.Fatalf("before it was sent: %v", err)
	}
	taken, again, err := imports.Import(ctx, bea.Actor(), file, "")
	if err != nil || again || len(taken.Orders) != 2 {
		t.Fatalf("%+v, again %v, %v", taken, again, err)
	}
	if len(taken.Orders[0].Rolls) != 2 || taken.Orders[0].Reference != "A-1" || taken.Orders[1].Rolls[0].Stock != marl400 ||
		taken.Orders[0].Token == taken.Orders[1].Token || taken.By != "Bea" || !taken.At.Equal(fixtureStart) {
		t.Errorf("taken %+v", taken)
	}
	read, err := imports.OneImport(ctx, taken.ID)
	lab.must(err)
	of, err := imports.ImportOf(ctx, file)
	lab.must(err)
	listed, err := imports.Imports(ctx, 5)
	lab.must(err)
	for _, one := range append(listed, read, of) {
		if diff := cmp.Diff(taken, one); diff != "" {
			t.Errorf("what was read differs from what was taken:\n%s", diff)
		}
	}
	found, err := lab.orders.Orders(ctx, jobs.OrderQuery{Search: "a-2", Limit: 9})
	if err != nil || len(found) != 1 || found[0].ID != taken.Orders[1].ID {
		t.Errorf("found by its reference: %+v, %v", found, err)
	}
	if n := lab.count("SELECT count(*) FROM events WHERE kind = 'import' AND by_name = 'Bea' AND person_id = $1 AND to_state = 'expected'", int64(bea.ID)); n != 3 {
		t.Errorf("%d events say that Bea brought the rolls in, want 3", n)
	}
	longer, err := fileOf(t, "B-1,Sedge 160", "a-2,Marl 400", ",Marl 400").Orders(lab.readCatalogue(), jobs.Workload{}, fixtureStart)
	lab.must(err)
	same, err := imports.SameReference(ctx, longer)
	lab.must(err)
	if diff := cmp.Diff([]jobs.OrderID{0, taken.Orders[1].ID, 0}, same); diff != "" {
		t.Errorf("orders of a file that seem to be there already:\n%s", diff)
	}
	longer[1].Admitted.Email = "ivy@example.org"
	if same, err = imports.SameReference(ctx, longer); err != nil || same[1] != 0 {
		t.Errorf("another customer with the same reference: %v, %v", same, err)
	}
	_, err = imports.OneImport(ctx, taken.ID+1)
	wantCode(t, err, jobs.NotFound)
}

func TestImportIsAllOrNothing(t *testing.T) {
	t.Parallel()
	lab, ctx := newLab(t), context.Background()
	imports := NewImportStore(lab.db)
	wantNothing := func(when string) {
		t.Helper()
		for _, rows := range []string{"orders", "rolls", "imports", "events WHERE roll_id IS NOT NULL"} {
			if n := lab.count("SELECT count(*) FROM " + rows); n != 0 {
				t.Errorf("%s: %d %s", when, n, rows)
			}
		}
	}
	_, _, err := imports.Import(ctx, ada, fileOf(t, "A,Sedge 160", "B,Sedge 200"), "")
	wantCode(t, err, jobs.Invalid)
	wantNothing("a stock that is none")
	// The records themselves fail at the last order.
	lab.exec(`ALTER TABLE orders ADD CONSTRAINT broken CHECK (reference <> 'C')`)
	if _, _, err = imports.Import(ctx, ada, fileOf(t, "A,Sedge 160", "B,Marl 400", "C,Marl 400"), ""); err == nil || jobs.CodeOf(err) != "" {
		t.Errorf("the last order could not be kept: %v", err)
	}
	wantNothing("an order that cannot be kept")
	lab.exec("ALTER TABLE orders DROP CONSTRAINT broken")
	_, again, err := imports.Import(ctx, ada, fileOf(t, "A,Sedge 160", "B,Marl 400", "C,Marl 400"), "")
	if err != nil || again || lab.count("SELECT count(*) FROM orders") != 3 {
		t.Errorf("tried once more: again %v, %v", again, err)
	}
}

func TestImportTwice(t *testing.T) {
	t.Parallel()
	lab, ctx := newLab(t), context.Background()
	imports := NewImportStore(lab.db)
	file := fileOf(t, "A,Sedge 160", "B,Marl 400")
	first, _, err := imports.Import(ctx, ada, file, "")
	lab.must(err)
	// The film has gone from the catalogue, yet the file was taken.
	lab.exec("UPDATE stocks SET active = false, name = 'Sedge 161' WHERE id = $1", int64(sedge160))
	second, again, err := imports.Import(ctx, jobs.Customer, file, "")
	lab.must(err)
	if !again || cmp.Diff(first, second) != "" {
		t.Errorf("again %v: %s", again, cmp.Diff(first, second))
	}
	// A key of its own tells the same content apart, and other content from it.
	marl := fileOf(t, "B,Marl 400")
	keyed, again, err := imports.Import(ctx, ada, marl, "week 10")
	if err != nil || again {
		t.Fatalf("again %v, %v", again, err)
	}
	if same, again, err := imports.Import(ctx, ada, marl, "week 10"); err != nil || !again || same.ID != keyed.ID {
		t.Errorf("import %d, again %v, %v", same.ID, again, err)
	}
	if other, again, err := imports.Import(ctx, ada, marl, "week 11"); err != nil || again || other.ID == keyed.ID {
		t.Errorf("import %d, again %v, %v", other.ID, again, err)
	}
	_, _, err = imports.Import(ctx, ada, fileOf(t, "C,Marl 400"), "week 10")
	wantCode(t, err, jobs.Duplicate)
	_, _, err = imports.Import(ctx, ada, marl, strings.Repeat("k", 201))
	wantCode(t, err, jobs.Invalid)
	if n := lab.count("SELECT count(*) FROM orders"); n != 4 {
		t.Errorf("%d orders are kept, want 4", n)
	}
	// After a month the same file is a new one.
	lab.exec("UPDATE stocks SET active = true, name = 'Sedge 160' WHERE id = $1", int64(sedge160))
	lab.clock.advance(keepKeys + time.Hour)
	lab.must(lab.db.withTx(ctx, func(t tx) error { return tidy(ctx, t) }))
	if late, again, err := imports.Import(ctx, ada, file, ""); err != nil || again || late.ID == first.ID {
		t.Errorf("a month later: import %d, again %v, %v", late.ID, again, err)
	}
}

func TestImportTwiceAtOnce(t *testing.T) {
	t.Parallel()
	lab := newLab(t)
	imports, file := NewImportStore(lab.db), fileOf(t, "A,Sedge 160", "B,Marl 400")
	const senders = 6
	var taken [senders]jobs.Import
	var again [senders]bool
	lab.atOnce(senders, func(ctx context.Context, i int) error {
		var err error
		taken[i], again[i], err = imports.Import(ctx, ada, file, "")
		return err
	})
	fresh := 0
	for i := range taken {
		if !again[i] {
			fresh++
		}
		if taken[i].ID != taken[0].ID || len(taken[i].Orders) != 2 {
			t.Errorf("sender %d got import %d with %d orders, sender 0 import %d", i, taken[i].ID, len(taken[i].Orders), taken[0].ID)
		}
	}
	if fresh != 1 || lab.count("SELECT count(*) FROM rolls") != 2 || lab.count("SELECT count(*) FROM imports") != 1 {
		t.Errorf("%d of %d took it, %d rolls are kept", fresh, senders, lab.count("SELECT count(*) FROM rolls"))
	}
}

// The orders of a file are promised behind each other and behind what was there,
// and what comes after them behind all of them.
func TestImportedOrdersArePromisedBehindEachOther(t *testing.T) {
	t.Parallel()
	lab, ctx := newLab(t), context.Background()
	lab.exec("UPDATE lab SET ready_hours = 1")
	before := lab.order(newRoll(tealSlide))
	var rolls []string
	for i := range jobs.MaxFileRolls {
		rolls = append(rolls, fmt.Sprintf("%c,Teal Slide 100", 'A'+i/50))
	}
	taken, _, err := NewImportStore(lab.db).Import(ctx, ada, fileOf(t, rolls...), "")
	lab.must(err)
	last := before
	for _, order := range append(taken.Orders, lab.order(newRoll(tealSlide))) {
		// Fifty slides are ten loads of half an hour in days of ten hours.
		least := last.Due.Add(4 * time.Hour)
		if len(order.Rolls) == 1 {
			least = last.Due
		}
		if order.Due.Before(least) {
			t.Errorf("order %d of %d rolls is promised for %v, the one before it for %v", order.ID, len(order.Rolls), order.Due, last.Due)
		}
		last = order
	}
	if n := lab.count("SELECT count(*) FROM orders o JOIN rolls r ON r.order_id = o.id WHERE r.due_at <> o.due_at"); n != 0 {
		t.Errorf("%d rolls are due at another time than their order", n)
	}
	// Old counts make no promises.
	lab.clock.advance(countedFor + time.Minute)
	late, _, err := NewImportStore(lab.db).Import(ctx, ada, fileOf(t, "Z,Teal Slide 100"), "")
	if err != nil || late.Orders[0].Due.Before(taken.Orders[4].Due) {
		t.Errorf("counted anew: promised for %v, %v", late.Orders[0].Due, err)
	}
}
