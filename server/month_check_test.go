package server_test

import (
	"fmt"
	"math"
	"net/http"
	"slices"
	"time"

	"github.com/google/go-cmp/cmp"

	"wetside/chemistry"
	"wetside/jobs"
	"wetside/server/api"
)

// one reads one row of the records.
func (m *month) one(query string, args []any, into ...any) {
	m.t.Helper()
	if err := m.records.QueryRow(m.t.Context(), query, args...).Scan(into...); err != nil {
		m.t.Fatalf("%s: %v", query, err)
	}
}

// checkLedger compares the sums of every account with the book.
func (m *month) checkLedger() {
	t := m.t
	rows, err := m.records.Query(t.Context(), `SELECT 'lot', lot_id, sum(amount)::float8 FROM ledger WHERE lot_id IS NOT NULL GROUP BY lot_id
		UNION ALL SELECT 'mix', mix_id, sum(amount)::float8 FROM ledger WHERE mix_id IS NOT NULL GROUP BY mix_id
		UNION ALL SELECT 'fill', fill_id, sum(amount)::float8 FROM ledger WHERE fill_id IS NOT NULL GROUP BY fill_id
		UNION ALL SELECT 'container', container_id, sum(amount)::float8 FROM ledger WHERE container_id IS NOT NULL GROUP BY container_id`)
	if err != nil {
		t.Fatal(err)
	}
	defer rows.Close()
	found := 0
	for rows.Next() {
		var of account
		var sum float64
		if err := rows.Scan(&of.kind, &of.id, &sum); err != nil {
			t.Fatal(err)
		}
		found++
		m.agrees(of, sum)
	}
	if err := rows.Err(); err != nil || found != len(m.book) {
		t.Errorf("%d accounts in the ledger, %d in the book: %v", found, len(m.book), err)
	}
	negative := 0
	m.one(`SELECT count(*) FROM (SELECT sum(amount) OVER (PARTITION BY lot_id, mix_id, fill_id, container_id ORDER BY move) AS held
		FROM ledger WHERE solution_id IS NULL) AS course WHERE held < 0`, nil, &negative)
	if negative != 0 {
		t.Errorf("after %d acts an account held less than nothing", negative)
	}
}

// checkStock compares what the lab shows of every account with the book.
func (m *month) checkStock() {
	for _, lot := range ask[api.Lots](m.kit, "GET", "/lots", "", http.StatusOK).Lots {
		m.agrees(ofLot(lot.Id), lot.Left)
	}
	for _, mix := range ask[api.Mixes](m.kit, "GET", "/mixes", "", http.StatusOK).Mixes {
		m.agrees(ofMix(mix.Id), mix.LeftMl)
	}
	for _, fill := range ask[api.Fills](m.kit, "GET", "/fills", "", http.StatusOK).Fills {
		m.agrees(ofFill(fill.Id), fill.NowMl)
	}
	for _, container := range ask[api.Containers](m.kit, "GET", "/containers", "", http.StatusOK).Containers {
		m.agrees(ofContainer(container.Id), container.HoldsMl)
	}
}

// checkFilm compares where every roll is, and what film the ledger says went
// through each solution. A unit is 80 in² (Darkroom Cookbook, 3rd edition,
// p. 108, quoting Kodak J-86).
func (m *month) checkFilm() {
	t := m.t
	counts, ordered := map[jobs.RollState]int{}, 0
	for _, state := range m.rolls.states {
		counts[state]++
	}
	kept := map[jobs.RollState]int{}
	rows, err := m.records.Query(t.Context(), "SELECT state, count(*) FROM rolls GROUP BY state")
	if err != nil {
		t.Fatal(err)
	}
	defer rows.Close()
	for rows.Next() {
		var state jobs.RollState
		var n int
		if err := rows.Scan(&state, &n); err != nil {
			t.Fatal(err)
		}
		kept[state] = n
		ordered += n
	}
	if diff := cmp.Diff(counts, kept); diff != "" || rows.Err() != nil || ordered != len(m.rolls.states) {
		t.Errorf("of %d rolls the records have %d, %v:\n%s", len(m.rolls.states), ordered, rows.Err(), diff)
	}
	const unit = 80 * 0.0254 * 0.0254
	for solution, line := range map[jobs.SolutionID]jobs.LineID{m.mq: m.bw, m.dev: m.colour, m.fix: m.colour} {
		rolls, area, want := 0, 0.0, 0
		m.one(`SELECT sum(l.rolls), sum(l.area_m2) FROM ledger l JOIN fills f ON f.id = l.fill_id
			WHERE l.kind = 'film' AND f.solution_id = $1`, []any{int64(solution)}, &rolls, &area)
		for _, ran := range m.rolls.runs {
			if ran.line == line {
				want += len(ran.rolls)
			}
		}
		// The unit is published to four digits.
		if developed := m.rolls.developed[line] * unit; math.Abs(area-developed) > 1e-4*developed || rolls != want || rolls == 0 {
			t.Errorf("solution %d: %d rolls and %g m² in the ledger, %d and %g m² were developed", solution, rolls, area, want, developed)
		}
	}
}

// checkForecast compares the day on which the developer ran out with what was
// foretold two weeks earlier.
func (m *month) checkForecast() {
	t := m.t
	const day = "2006-01-02"
	if m.ranOut.IsZero() {
		t.Fatal("the developer never ran out")
	}
	ranOut, before := m.ranOut.Format(day), m.ranOut.AddDate(0, 0, -14).Format(day)
	course := ask[api.FillCourse](m.kit, "GET", fmt.Sprintf("/fills/%d/course", m.firstMQ), "", http.StatusOK)
	at := slices.IndexFunc(course.Stored, func(f api.Forecast) bool { return f.Day == before })
	if at < 0 {
		t.Fatalf("nothing was stored on %s: %+v", before, course.Stored)
	}
	told := course.Stored[at]
	t.Logf("ran out on %s; on %s %s to %s was foretold, most likely %s", ranOut, before, told.Earliest, told.Latest, told.RunsOut)
	if told.Earliest == "" || told.Earliest > ranOut || told.Latest < ranOut || told.Earliest <= before {
		t.Errorf("on %s %s to %s was foretold, it was %s", before, told.Earliest, told.Latest, ranOut)
	}
}

// checkTrace compares the trace of a strip that stopped the line with what the
// events say, and with the book: the film that went in after the last good strip
// and before the next.
func (m *month) checkTrace(strip jobs.StripID) {
	t := m.t
	told := m.traced("strip", int64(strip))
	var plain []int64
	m.one(`SELECT array_agg(DISTINCT e.roll_id ORDER BY e.roll_id) FROM events e JOIN batches b ON b.id = e.batch_id, strips s
		WHERE s.id = $1 AND b.line_id = s.line_id AND e.roll_id IS NOT NULL AND e.to_state = 'developing'
		AND e.at >= (SELECT max(at) FROM strips WHERE line_id = s.line_id AND verdict = 'in control' AND at < s.at)
		AND e.at < (SELECT min(at) FROM strips WHERE line_id = s.line_id AND verdict = 'in control' AND at > s.at)`,
		[]any{int64(strip)}, &plain)
	var from, until time.Time
	for _, read := range ask[api.Strips](m.kit, "GET", fmt.Sprintf("/strips?line=%d&limit=100", m.colour), "", http.StatusOK).Strips {
		switch good := read.Verdict == chemistry.InControl; {
		case good && read.Id > strip:
			until = read.At // the last read comes first
		case good && from.IsZero():
			from = read.At
		}
	}
	booked := m.ranIn(m.colour, from, until)
	if diff := cmp.Diff(plain, told); diff != "" || len(told) == 0 {
		t.Errorf("strip %d: %d rolls traced, a plain query finds:\n%s", strip, len(told), diff)
	}
	if diff := cmp.Diff(booked, told); diff != "" {
		t.Errorf("strip %d: the book says:\n%s", strip, diff)
	}
	if strip != m.bad[0] {
		return
	}
	var marked []int64
	for _, roll := range m.marked {
		marked = append(marked, int64(roll))
	}
	slices.Sort(marked)
	if diff := cmp.Diff(told, marked); diff != "" {
		t.Errorf("strip %d: other rolls were marked:\n%s", strip, diff)
	}
}

// checkFillTrace compares the trace of the developer that ran out with the book.
func (m *month) checkFillTrace() {
	told := m.traced("fill", int64(m.firstMQ))
	if diff := cmp.Diff(m.ranIn(m.bw, start, m.ranOut), told); diff != "" || len(told) == 0 {
		m.t.Errorf("of %d rolls through the first developer the book says:\n%s", len(told), diff)
	}
}

// traced lists the rolls that a cause touched, as the lab tells it.
func (m *month) traced(cause string, id int64) (rolls []int64) {
	trace := ask[api.Trace](m.kit, "GET", fmt.Sprintf("/traces/%s/%d", cause, id), "", http.StatusOK)
	for _, roll := range trace.Rolls {
		rolls = append(rolls, int64(roll.Roll.Id))
	}
	slices.Sort(rolls)
	return rolls
}

// ranIn lists the rolls of the book that went into a line within a span.
func (m *month) ranIn(line jobs.LineID, from, until time.Time) (rolls []int64) {
	for _, ran := range m.rolls.runs {
		if ran.line == line && !ran.at.Before(from) && ran.at.Before(until) {
			for _, roll := range ran.rolls {
				rolls = append(rolls, int64(roll))
			}
		}
	}
	slices.Sort(rolls)
	return rolls
}
