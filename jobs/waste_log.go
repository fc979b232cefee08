package jobs

import (
	"context"
	"time"

	"wetside/chemistry"
)

// Collection is a container that a licensed hauler took away, full or not.
type Collection struct {
	ID            int64
	Container     ContainerID
	ContainerName string
	Kind          chemistry.WasteKind
	At            time.Time
	By            string
	Hauler        string
	Document      string
	VolumeML      int
}

// WasteQuery asks for a part of the waste log.
type WasteQuery struct {
	Container    ContainerID         // 0 for every one
	Kind         chemistry.WasteKind // "" for every one
	From, Before time.Time           // from From on and before Before; zero for no bound
	Limit        int                 // the last so many; 0 for all
}

// WasteEntry is one line of the waste log: what went into or out of a container.
type WasteEntry struct {
	Entry
	ContainerName string
	WasteKind     chemistry.WasteKind
	Source        Entry  // what it came out of, in the same act; zero where there is none
	SourceName    string // what that is called; "" where there is none
}

// WasteTotal is what went into and out of the containers of a kind, mL.
type WasteTotal struct {
	Kind    chemistry.WasteKind
	In, Out float64
}

// WasteTotals sums a log by kind, in the order of [chemistry.WasteKinds].
func WasteTotals(log []WasteEntry) []WasteTotal {
	var totals []WasteTotal
	for _, kind := range chemistry.WasteKinds {
		total := WasteTotal{Kind: kind}
		for _, entry := range log {
			switch {
			case entry.WasteKind != kind:
			case entry.Amount > 0:
				total.In += entry.Amount
			default:
				total.Out -= entry.Amount
			}
		}
		if total.In != 0 || total.Out != 0 {
			totals = append(totals, total)
		}
	}
	return totals
}

// SilverSince is the film whose silver went into the solutions since
// silver-bearing waste was collected last.
type SilverSince struct {
	Collected  time.Time // zero where it never was
	ColourM2   float64
	BlackWhite float64 // m²
}

// Estimate is the silver that this film left in the solutions, most of it in
// the waste by now: an order of magnitude.
func (s SilverSince) Estimate() (chemistry.SilverEstimate, error) {
	colour, err := chemistry.EstimateSilver(s.ColourM2, chemistry.ColourNegative)
	if err != nil {
		return chemistry.SilverEstimate{}, err
	}
	grey, err := chemistry.EstimateSilver(s.BlackWhite, chemistry.BlackAndWhite)
	colour.LowG += grey.LowG
	colour.HighG += grey.HighG
	return colour, err
}

// WasteService keeps the containers and the log of what went through them.
// Only an owner saves containers; the edge checks.
type WasteService interface {
	// Containers returns every container by key.
	Containers(ctx context.Context) (Containers, error)
	// SaveContainer adds a container (zero key) or changes one at its version:
	// Invalid with the fields, Duplicate for a name in use, NotFound, Stale when
	// changed since, Refused for another kind while it holds something and for
	// the last one in use of its kind.
	SaveContainer(ctx context.Context, by Actor, container Container) (Container, error)
	// WasteLog returns the log, the last entry first.
	WasteLog(ctx context.Context, query WasteQuery) ([]WasteEntry, error)
	// Collect records what a licensed hauler took: Invalid for missing words,
	// Refused for more than there is.
	Collect(ctx context.Context, by Actor, collection NewCollection) (Collection, error)
	// Collections lists what was collected, the last first.
	Collections(ctx context.Context) ([]Collection, error)
	// SilverSince returns the film that went through since silver-bearing waste
	// was collected last.
	SilverSince(ctx context.Context) (SilverSince, error)
}
