package postgres

import (
	"maps"
	"testing"

	"github.com/google/go-cmp/cmp"

	"wetside/jobs"
)

// A change to any part of the catalogue is seen by the next who asks, whoever
// made it and through whichever connection.
func TestEveryChangeOfTheCatalogueIsSeen(t *testing.T) {
	t.Parallel()
	lab := newLab(t)
	before := lab.readCatalogue()
	for _, change := range []string{
		"UPDATE lab SET ready_hours = ready_hours + 1",
		"UPDATE solutions SET temp_c = temp_c + 1",
		"UPDATE stocks SET active = NOT active",
		"UPDATE stock_times SET seconds = seconds + 5",
		"UPDATE lines SET turnaround_seconds = turnaround_seconds + 1",
		"DELETE FROM line_takes WHERE format = '220'",
		"DELETE FROM line_processes WHERE process = 'E-6'",
		"INSERT INTO tested_times (process, push_sixths, seconds, source) VALUES ('C-41', 6, 230, 'our strips')",
		"TRUNCATE tested_times",
		"INSERT INTO solution_parts (solution_id, preparation, place, name, amount_per_l, unit) VALUES (1, 'working', 0, 'Part A', 90, 'g')",
		"INSERT INTO solution_keeping (solution_id, place, storage, months, days) VALUES (1, 0, 'open tank', 1, 0)",
		"INSERT INTO line_tanks (line_id, solution_id, volume_ml) VALUES (1, 1, 1500)",
		"UPDATE line_tanks SET volume_ml = 2000",
	} {
		lab.exec(change)
		after := lab.readCatalogue()
		if cmp.Equal(before, after) {
			t.Errorf("%s: not seen", change)
		}
		before = after
	}
}

// What one caller does to the catalogue that it was given is its own business.
func TestTheCatalogueIsNotShared(t *testing.T) {
	t.Parallel()
	lab := newLab(t)
	mine, want := lab.readCatalogue(), lab.readCatalogue()
	maps.DeleteFunc(mine.Stocks, func(jobs.StockID, jobs.Stock) bool { return true })
	maps.DeleteFunc(mine.Solutions, func(jobs.SolutionID, jobs.Solution) bool { return true })
	maps.DeleteFunc(mine.Lines, func(jobs.LineID, jobs.Line) bool { return true })
	if diff := cmp.Diff(want, lab.readCatalogue()); diff != "" {
		t.Errorf("changed for everybody:\n%s", diff)
	}
}
