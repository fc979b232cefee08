package postgres

import (
	"context"
	"time"

	"wetside/chemistry"
	"wetside/jobs"
)

// stockRoom is a lab with the stores of what is in stock, mixed and wasted. Its
// colour developer has two parts and keeps two months in a full bottle.
type stockRoom struct {
	*testLab
	lots  *LotStore
	mixes *MixStore
	waste *WasteStore
}

func newStockRoom(lab *testLab) stockRoom {
	ctx := context.Background()
	solution := lab.readCatalogue().Solutions[c41Developer]
	solution.Parts = []jobs.Part{
		{Preparation: jobs.Working, Name: "Part A", AmountPerL: 60, Unit: jobs.Millilitres},
		{Preparation: jobs.Working, Name: "Part B", AmountPerL: 5, Unit: jobs.Grams},
		{Preparation: jobs.ReplenisherMixture, Name: "Part A", AmountPerL: 80, Unit: jobs.Millilitres},
	}
	solution.Keeping = []chemistry.Keeping{{Storage: chemistry.FullBottle, Months: 2}}
	_, err := lab.catalogue.SaveSolution(ctx, ada, solution)
	lab.must(err)
	return stockRoom{lab, NewLotStore(lab.db), NewMixStore(lab.db), NewWasteStore(lab.db)}
}

// received takes a lot into stock.
func (s stockRoom) received(part, number string, unit jobs.Unit, amount float64, expires time.Time) jobs.Lot {
	s.t.Helper()
	lot, err := s.lots.Receive(context.Background(), ada, jobs.Receipt{Part: part, Number: number, Unit: unit, Amount: amount, ExpiresOn: expires})
	s.must(err)
	return lot
}

// mixed mixes a colour developer from lots.
func (s stockRoom) mixed(ml int, uses ...jobs.LotUse) jobs.Mix {
	s.t.Helper()
	mix, err := s.mixes.RecordMix(context.Background(), ada, jobs.NewMix{
		MixRequest: jobs.MixRequest{Solution: c41Developer, Preparation: jobs.Working, VolumeML: ml},
		Storage:    chemistry.FullBottle, Lots: uses, Note: "for the test",
	})
	s.must(err)
	return mix
}

// containerOf is the first container of a kind.
func (s stockRoom) containerOf(kind chemistry.WasteKind) jobs.Container {
	s.t.Helper()
	all, err := s.waste.Containers(context.Background())
	s.must(err)
	found, err := all.First(kind)
	s.must(err)
	return found
}
