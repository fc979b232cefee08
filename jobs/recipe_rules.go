package jobs

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"wetside/chemistry"
)

// A recipe has no more parts, and no more entries on its keeping, than these.
const (
	maxParts   = 40
	maxKeeping = 20
)

// recipe checks what a solution takes, is kept going with and costs, and
// returns it as it is kept.
func (f *fieldErrors) recipe(s Solution) Solution {
	f.within("replenish_ml_per_m2", s.Replenisher.MLPerM2, 0, 1e5)
	if s.Replenisher.PushFactor != 0 {
		f.within("replenish_push_factor", s.Replenisher.PushFactor, 0.5, 2)
	}
	if s.Replenisher.MLPerM2 > 0 && s.Use != chemistry.Replenished {
		f.add("replenish_ml_per_m2", "only a replenished solution has a rate, this one is %s", s.Use)
	}
	f.within("minimum_ml_per_roll", s.MinimumMLPerRoll, 0, 1e5)
	f.within("bromide_release_mg", s.Bromide.ReleasedMGPerRoll, 0, 1000)
	f.within("bromide_replenisher_g_per_l", s.Bromide.ReplenisherGPerL, 0, 100)
	f.within("bromide_start_g_per_l", s.Bromide.StartGPerL, 0, 100)
	if s.Bromide != (chemistry.BromideFigures{}) && !s.Family.IsDeveloper() {
		f.add("bromide_release_mg", "only a developer takes up bromide, this is a %s", s.Family)
	}
	f.within("cost_per_l", s.CostPerL, 0, 100_000)
	f.within("replenisher_cost_per_l", s.ReplenisherCostPerL, 0, 100_000)
	s.Keeping = f.keeping(s.Keeping)
	s.Parts = f.parts(s.Parts, s.Use)
	return s
}

// keeping checks how long a solution keeps, once for a kind of storage, and
// puts the best storage first.
func (f *fieldErrors) keeping(entries []chemistry.Keeping) []chemistry.Keeping {
	if len(entries) > maxKeeping {
		f.add("keeping", "%d entries are too many, at most %d", len(entries), maxKeeping)
		return entries
	}
	seen := map[chemistry.Storage]bool{}
	entries = slices.Clone(entries)
	for i, entry := range entries {
		field := fmt.Sprintf("keeping[%d]", i)
		f.storage(field+".storage", entry.Storage)
		if seen[entry.Storage] {
			f.add(field+".storage", "this storage is named twice")
		}
		seen[entry.Storage] = true
		f.within(field+".months", float64(entry.Months), 0, 120)
		f.within(field+".days", float64(entry.Days), 0, 3660)
		if entry.Months == 0 && entry.Days == 0 {
			f.add(field+".days", "it keeps for a day at least")
		}
		f.line(field+".source", entry.Source.Text, maxSource)
		// Whoever typed it in, it is what this lab goes by.
		entries[i].Source.Standing = chemistry.LabsOwn
	}
	slices.SortStableFunc(entries, func(a, b chemistry.Keeping) int { return storageRank(a.Storage) - storageRank(b.Storage) })
	return entries
}

// storageRank orders kinds of storage, the best first and what goes for all of
// them last.
func storageRank(storage chemistry.Storage) int {
	if storage == "" {
		return len(chemistry.Storages)
	}
	return slices.Index(chemistry.Storages, storage)
}

// storage checks how something stands; "" where nobody has said.
func (f *fieldErrors) storage(field string, storage chemistry.Storage) {
	if storage != "" {
		f.oneOf(field, string(storage), names(chemistry.Storages))
	}
}

// parts checks what a solution is mixed from, and puts the parts of what film
// goes through before those of its replenisher.
func (f *fieldErrors) parts(parts []Part, use chemistry.UseMode) []Part {
	if len(parts) > maxParts {
		f.add("parts", "%d parts are too many, at most %d", len(parts), maxParts)
		return parts
	}
	type named struct {
		preparation Preparation
		name        string
	}
	seen, units, litre := map[named]bool{}, map[string]Unit{}, map[Preparation]float64{}
	parts = slices.Clone(parts)
	for i := range parts {
		part := &parts[i]
		part.Name = strings.TrimSpace(part.Name)
		field, name := fmt.Sprintf("parts[%d]", i), strings.ToLower(part.Name)
		f.part(field, *part, use)
		if seen[named{part.Preparation, name}] {
			f.add(field+".name", "%s is named twice", part.Name)
		}
		if unit, ok := units[name]; ok && unit != part.Unit {
			f.add(field+".unit", "%s is measured in %s above; one part has one unit", part.Name, unit)
		}
		seen[named{part.Preparation, name}], units[name] = true, part.Unit
		if part.Unit == Millilitres {
			litre[part.Preparation] += part.AmountPerL
		}
	}
	for _, preparation := range Preparations {
		if ml := litre[preparation]; ml > 1000+litreSlack {
			f.add("parts", "the parts of a litre of %s come to %g mL", preparation, ml)
		}
	}
	slices.SortStableFunc(parts, func(a, b Part) int {
		return slices.Index(Preparations, a.Preparation) - slices.Index(Preparations, b.Preparation)
	})
	return parts
}

// litreSlack is what parts may come to above a litre because of how numbers
// are rounded, in mL.
const litreSlack = 1e-6

func (f *fieldErrors) part(field string, part Part, use chemistry.UseMode) {
	f.oneOf(field+".preparation", string(part.Preparation), names(Preparations))
	if part.Preparation == ReplenisherMixture && use != chemistry.Replenished {
		f.add(field+".preparation", "only a replenished solution has a replenisher, this one is %s", use)
	}
	f.name(field+".name", part.Name)
	f.oneOf(field+".unit", string(part.Unit), names(Units))
	if !(part.AmountPerL > 0 && part.AmountPerL <= 1000) {
		f.add(field+".amount_per_l", "%g of %s for a litre is outside what is allowed, above 0 to 1000", part.AmountPerL, part.Name)
	}
}

// tanks checks what a line's tanks hold.
func (f *fieldErrors) tanks(l Line, c Catalogue) {
	for _, id := range slices.Sorted(maps.Keys(l.Tanks)) {
		field, tank := fmt.Sprintf("tanks[%d]", id), l.Tanks[id]
		solution, ok := c.Solutions[id]
		switch {
		case !ok:
			f.add(field, "there is no such solution")
		case !l.RunsProcess(solution.Process):
			f.add(field, "%s is for %s, which this line does not run", solution.Name, solution.Process)
		}
		if tank.VolumeML < MinVolumeML || tank.VolumeML > MaxVolumeML {
			f.add(field+".volume_ml", "%d mL is no volume of a tank, allowed are %d to %d mL", tank.VolumeML, MinVolumeML, MaxVolumeML)
		}
		f.storage(field+".storage", tank.Storage)
	}
}

// tanksOf refuses to make a solution of a process that a line with a tank of it
// does not run.
func (f *fieldErrors) tanksOf(s Solution, c Catalogue) {
	for _, id := range slices.Sorted(maps.Keys(c.Lines)) {
		line := c.Lines[id]
		if _, has := line.Tanks[s.ID]; has && s.ID != 0 && !line.RunsProcess(s.Process) {
			f.add("process", "%s has a tank of it and does not run %s", line.Name, s.Process)
			return
		}
	}
}
