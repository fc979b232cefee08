package postgres

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"sync"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/jackc/pgx/v5"

	"wetside/chemistry"
	"wetside/jobs"
)

// recount is what every lot, mix, fill and container must hold by what the
// calls said that they did, in thousandths.
type recount struct {
	mutex  sync.Mutex
	holds  map[string]int64
	lots   []jobs.LotID
	mixes  []jobs.MixID
	fills  map[jobs.FillID]int // in use, with the volume poured
	did    map[string]int
	failed []error // that are no answer for people
}

func (r *recount) add(account string, amount float64) {
	r.holds[account] += int64(math.Round(amount * 1000))
}

func lotAccount(id jobs.LotID) string             { return fmt.Sprintf("lot %d", id) }
func mixAccount(id jobs.MixID) string             { return fmt.Sprintf("mix %d", id) }
func fillAccount(id jobs.FillID) string           { return fmt.Sprintf("fill %d", id) }
func containerAccount(id jobs.ContainerID) string { return fmt.Sprintf("container %d", id) }

// pick draws one of several, the zero value where there is none.
func pick[T any](random *rand.Rand, from []T) (one T) {
	if len(from) > 0 {
		one = from[random.IntN(len(from))]
	}
	return one
}

// hand is somebody who does what comes to mind, as fast as the records let.
type hand struct {
	stockRoom
	room   *recount
	random *rand.Rand
	silver jobs.ContainerID
	drum   jobs.ContainerID // of developer
}

// acted notes what a call did, or that it was refused.
func (h *hand) acted(what string, err error, note func()) {
	h.room.mutex.Lock()
	defer h.room.mutex.Unlock()
	switch {
	case err == nil:
		h.room.did[what]++
		note()
	case jobs.CodeOf(err) == "":
		h.room.failed = append(h.room.failed, fmt.Errorf("%s: %w", what, err))
	default:
		h.room.did[what+", refused"]++
	}
}

// seen draws from what there is by now.
func (h *hand) seen() (lot jobs.LotID, mix jobs.MixID, fill jobs.FillID) {
	h.room.mutex.Lock()
	defer h.room.mutex.Unlock()
	for id := range h.room.fills {
		fill = id
		break
	}
	return pick(h.random, h.room.lots), pick(h.random, h.room.mixes), fill
}

func (h *hand) act(ctx context.Context) {
	lot, mix, fill := h.seen()
	switch h.random.IntN(8) {
	case 0:
		h.receive(ctx)
	case 1, 2:
		h.mix(ctx, lot)
	case 3:
		h.pour(ctx, mix)
	case 4:
		h.dump(ctx, fill)
	case 5:
		h.loseMix(ctx, mix)
	case 6:
		h.loseLot(ctx, lot)
	default:
		h.collect(ctx)
	}
}

func (h *hand) receive(ctx context.Context) {
	amount := float64(h.random.IntN(5_000_000)) / 1000
	got, err := h.lots.Receive(ctx, ada, jobs.Receipt{Part: "Part A", Number: fmt.Sprint(h.random.IntN(4)), Unit: jobs.Millilitres, Amount: amount})
	h.acted("receive", err, func() {
		h.room.add(lotAccount(got.ID), amount)
		h.room.lots = append(h.room.lots, got.ID)
	})
}

func (h *hand) mix(ctx context.Context, lot jobs.LotID) {
	other, _, _ := h.seen()
	uses := []jobs.LotUse{{Lot: lot, Amount: float64(1+h.random.IntN(3_000_000)) / 1000}, {Lot: other, Amount: 12.345}}
	volume := h.random.IntN(8000)
	got, err := h.mixes.RecordMix(ctx, ada, jobs.NewMix{
		MixRequest: jobs.MixRequest{Solution: c41Developer, Preparation: jobs.Working, VolumeML: volume}, Lots: uses, Note: "no B left"})
	h.acted("mix", err, func() {
		h.room.add(mixAccount(got.ID), float64(volume))
		for _, use := range uses {
			h.room.add(lotAccount(use.Lot), -use.Amount)
		}
		h.room.mixes = append(h.room.mixes, got.ID)
	})
}

func (h *hand) pour(ctx context.Context, mix jobs.MixID) {
	if mix == 0 {
		return
	}
	volume := h.random.IntN(5000)
	got, err := h.fills.PourFill(ctx, ada, jobs.Pour{Solution: c41Developer, Line: pick(h.random, []jobs.LineID{drum, dipAndDunk}), VolumeML: volume, Mix: mix})
	h.acted("pour", err, func() {
		h.room.add(mixAccount(mix), -float64(volume))
		h.room.add(fillAccount(got.ID), float64(volume))
		h.room.fills[got.ID] = volume
	})
}

func (h *hand) dump(ctx context.Context, fill jobs.FillID) {
	got, err := h.fills.DumpFill(ctx, ada, fill, jobs.Dump{Reason: "tired"})
	h.acted("dump", err, func() {
		h.room.add(fillAccount(got.ID), -float64(got.VolumeML))
		h.room.add(containerAccount(h.drum), float64(got.VolumeML))
		delete(h.room.fills, got.ID)
	})
}

func (h *hand) loseMix(ctx context.Context, mix jobs.MixID) {
	amount, spilled := float64(h.random.IntN(2000)), h.random.IntN(2) == 0
	_, err := h.mixes.LoseMix(ctx, ada, mix, jobs.Loss{Amount: &amount, Reason: "by the test", Spilled: spilled, Container: h.drum})
	h.acted("lose a mix", err, func() {
		h.room.add(mixAccount(mix), -amount)
		if !spilled {
			h.room.add(containerAccount(h.drum), amount)
		}
	})
}

func (h *hand) loseLot(ctx context.Context, lot jobs.LotID) {
	amount := float64(h.random.IntN(500_000)) / 1000
	into := pick(h.random, []jobs.ContainerID{h.drum, h.silver})
	_, err := h.lots.LoseLot(ctx, ada, lot, jobs.Loss{Amount: &amount, Reason: "by the test", Container: into})
	h.acted("lose a lot", err, func() {
		h.room.add(lotAccount(lot), -amount)
		h.room.add(containerAccount(into), amount)
	})
}

func (h *hand) collect(ctx context.Context) {
	volume := h.random.IntN(4000)
	_, err := h.waste.Collect(ctx, ada, jobs.NewCollection{Container: h.drum, VolumeML: volume, Hauler: "Tern Haulage", Document: "77/12"})
	h.acted("collect", err, func() { h.room.add(containerAccount(h.drum), -float64(volume)) })
}

// Many hands at once, on one set of records: what each account holds is what
// the calls said they did, no account was ever below nothing, and none runs
// backwards.
func TestTheLedgerIsWhatThePeopleDid(t *testing.T) {
	t.Parallel()
	s, ctx := newStockRoom(newLab(t)), context.Background()
	room := &recount{holds: map[string]int64{}, fills: map[jobs.FillID]int{}, did: map[string]int{}}
	const hands, acts = 8, 40
	s.race(hands, func(ctx context.Context, i int) error {
		h := &hand{stockRoom: s, room: room, random: rand.New(rand.NewPCG(uint64(i), 5)),
			silver: s.containerOf(chemistry.SilverWaste).ID, drum: s.containerOf(chemistry.DeveloperWaste).ID}
		h.receive(ctx)
		for range acts {
			h.act(ctx)
			s.clock.advance(time.Duration(h.random.IntN(1000)) * time.Millisecond)
		}
		return nil
	})
	for _, err := range room.failed {
		t.Error(err)
	}
	for _, what := range []string{"receive", "mix", "pour", "dump", "lose a mix", "lose a lot", "collect"} {
		if room.did[what] == 0 {
			t.Errorf("nobody managed to %s: %v", what, room.did)
		}
	}
	if diff := cmp.Diff(room.holds, s.sums(ctx)); diff != "" {
		t.Errorf("the recount and the ledger differ after %v:\n%s", room.did, diff)
	}
	const account = "PARTITION BY lot_id, mix_id, fill_id, container_id ORDER BY id"
	for law, broken := range map[string]string{
		"no account is ever below nothing": "SELECT count(*) FROM (SELECT sum(amount) OVER (" + account + ") AS held FROM ledger) e WHERE held < 0",
		"no account runs backwards":        "SELECT count(*) FROM (SELECT at < lag(at) OVER (" + account + ") AS back FROM ledger) e WHERE back",
		"what goes from one account to another in mL is neither more nor less there": `SELECT count(*) FROM
			(SELECT sum(amount) AS rest FROM ledger WHERE kind IN ('filled', 'dumped') GROUP BY move HAVING count(*) > 1) e WHERE rest <> 0`,
		"every collection is in the ledger": `SELECT abs((SELECT coalesce(sum(volume_ml), 0) FROM collections)
			+ (SELECT coalesce(sum(amount), 0) FROM ledger WHERE kind = 'collected'))::int`,
	} {
		if n := s.count(broken); n != 0 {
			t.Errorf("%s, but %d are not so", law, n)
		}
	}
}

// sums adds the ledger up, in thousandths.
func (s stockRoom) sums(ctx context.Context) map[string]int64 {
	s.t.Helper()
	rows, err := s.db.pool.Query(ctx, `SELECT CASE WHEN lot_id > 0 THEN 'lot ' || lot_id WHEN mix_id > 0 THEN 'mix ' || mix_id
		WHEN fill_id > 0 THEN 'fill ' || fill_id ELSE 'container ' || container_id END, (1000 * sum(amount))::bigint FROM ledger GROUP BY 1`)
	s.must(err)
	sums := map[string]int64{}
	var account string
	var sum int64
	_, err = pgx.ForEachRow(rows, []any{&account, &sum}, func() error {
		sums[account] = sum
		return nil
	})
	s.must(err)
	return sums
}
