package jobs

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"wetside/chemistry"
)

// NewMix is what somebody has mixed.
type NewMix struct {
	MixRequest
	Storage chemistry.Storage // "" where nobody says
	Lots    []LotUse          // what really went in
	Note    string            // why it is not as the sheet says, where that is so
}

// maxLots is how many lots one mix may name.
const maxLots = 50

// CheckMix decides whether what was mixed may be recorded, given every lot that
// it names: Invalid for bad values and for parts that no lot is named for
// without a note, Refused for a lot that has expired or holds too little.
func (c Catalogue) CheckMix(mixed NewMix, lots map[LotID]Lot, now time.Time) error {
	if err := c.checkRequest(mixed.MixRequest); err != nil {
		return err
	}
	recipe := c.Solutions[mixed.Solution]
	var wrong fieldErrors
	if mixed.Storage != "" {
		wrong.oneOf("storage", string(mixed.Storage), names(chemistry.Storages))
	}
	wrong.paragraph("note", mixed.Note, MaxReason)
	if len(mixed.Lots) > maxLots {
		wrong.add("lots", "%d lots, at most %d", len(mixed.Lots), maxLots)
	}
	for i, use := range mixed.Lots {
		field := fmt.Sprintf("lots[%d]", i)
		lot, ok := lots[use.Lot]
		if !ok {
			wrong.add(field+".lot", "there is no such lot")
			continue
		}
		wrong.amount(field+".amount", use.Amount, lot.Unit)
		if part, ok := recipe.part(mixed.Preparation, lot); ok && part.Unit != lot.Unit {
			wrong.add(field+".lot", "%s is measured in %s, the recipe asks for it in %s", lot.Name(), lot.Unit, part.Unit)
		}
	}
	if doubts := recipe.doubts(mixed, lots); len(doubts) > 0 && strings.TrimSpace(mixed.Note) == "" {
		wrong.add("note", "%s: write why", strings.Join(doubts, "; "))
	}
	if err := wrong.err("the mix cannot be recorded like this"); err != nil {
		return err
	}
	return enough(mixed.Lots, lots, now.In(c.Lab.Zone()))
}

// part is the part of a preparation that a lot is of.
func (s Solution) part(preparation Preparation, lot Lot) (Part, bool) {
	for _, part := range s.Parts {
		if part.Preparation == preparation && lot.of(part.Name) {
			return part, true
		}
	}
	return Part{}, false
}

// doubts lists what keeps a mix from being traced, or from being what the
// recipe says: parts without a lot, and lots of something else.
func (s Solution) doubts(mixed NewMix, lots map[LotID]Lot) []string {
	var doubts []string
	for _, part := range s.Parts {
		named := slices.ContainsFunc(mixed.Lots, func(use LotUse) bool { return lots[use.Lot].of(part.Name) })
		if part.Preparation == mixed.Preparation && !named {
			doubts = append(doubts, "no lot is named for the "+part.Name)
		}
	}
	for _, use := range mixed.Lots {
		lot := lots[use.Lot]
		if _, ok := s.part(mixed.Preparation, lot); !ok && lot.ID != 0 && s.hasParts(mixed.Preparation) {
			doubts = append(doubts, lot.Name()+", is not in the recipe")
		}
	}
	return doubts
}

func (s Solution) hasParts(preparation Preparation) bool {
	return slices.ContainsFunc(s.Parts, func(p Part) bool { return p.Preparation == preparation })
}

// enough refuses lots that have expired or hold too little.
func enough(uses []LotUse, lots map[LotID]Lot, now time.Time) error {
	taken := map[LotID]float64{}
	for _, use := range uses {
		lot := lots[use.Lot]
		taken[lot.ID] = thousandths(taken[lot.ID] + use.Amount)
		switch {
		case lot.Expired(now):
			return Errorf(Refused, "%s, expired on %s: it may not be used", lot.Name(), lot.ExpiresOn.Format(dayFormat))
		case taken[lot.ID] > lot.Left:
			return Errorf(Refused, "%g %s are left of %s, %g %s are asked for", lot.Left, lot.Unit, lot.Name(), taken[lot.ID], lot.Unit)
		}
	}
	return nil
}

// Entries are what a mix does to the ledger.
func (m NewMix) Entries(id MixID) []Entry {
	entries := []Entry{{Kind: EntryMixed, Mix: id, Amount: float64(m.VolumeML), Why: strings.TrimSpace(m.Note)}}
	for _, use := range m.Lots {
		entries = append(entries, Entry{Kind: EntryMixed, Lot: use.Lot, Amount: -use.Amount})
	}
	return entries
}

// PartUse compares what the recipe asks for with what went in.
type PartUse struct {
	Name        string
	Unit        Unit
	Asked, Used float64 // Asked is 0 for what the recipe does not name
	Lots        []LotUse
}

// Uses compares what went into a mix with what its recipe asked for: the parts
// of the recipe in their order, then anything else.
func (r MixRecord) Uses() []PartUse {
	var uses []PartUse
	for _, part := range r.Recipe.Parts {
		if part.Preparation == r.Preparation {
			uses = append(uses, PartUse{Name: part.Name, Unit: part.Unit, Asked: part.forML(r.VolumeML)})
		}
	}
	for _, entry := range r.Moves {
		if entry.Kind != EntryMixed || entry.Lot == 0 {
			continue
		}
		lot := r.Lots[entry.Lot]
		at := slices.IndexFunc(uses, func(u PartUse) bool { return lot.of(u.Name) })
		if at < 0 {
			at = len(uses)
			uses = append(uses, PartUse{Name: lot.Part, Unit: lot.Unit})
		}
		uses[at].Used = thousandths(uses[at].Used - entry.Amount)
		uses[at].Lots = append(uses[at].Lots, LotUse{lot.ID, -entry.Amount})
	}
	return uses
}
